"""A thing is held back after it was tried: what was tried stays to be seen, and the figures say what they leave out."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan import workflow
from tests.fixtures.local_server import Local, running
from tests.fixtures.small_case import SUNDAY, TEXT

HEAD = "date,time,target,kind,adult,location,material_set,trials,correct\n"
FAILED = "2026-11-27,16:00,puts-on,probe,gran,yard,hats,5,3\n"
MET = "2026-11-26,16:00,puts-on,probe,gran,home,hats,5,5\n"
# Of 2 adults, 2 places and 2 things there are 12 pairs, 4 of them of adult and place and 4 with the hats. The row with
# Gran and hats in the yard shows 3: one of them goes on to count, without hats.


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    folder.mkdir()
    (folder / "case.yaml").write_text(TEXT.replace("cover: all", "cover: pairs"), "utf-8")
    (folder / "results.csv").write_text(HEAD + FAILED, "utf-8")
    return folder


@pytest.fixture
def local(folder: Path) -> Iterator[Local]:
    with running(folder) as local:
        yield local


def put(folder: Path, old: str, new: str) -> None:
    text = (folder / "case.yaml").read_text("utf-8")
    assert old in text
    (folder / "case.yaml").write_text(text.replace(old, new), "utf-8")


def hold_back(folder: Path, thing: str = "Three hats") -> None:
    put(folder, f"{{name: {thing}}}", f"{{name: {thing}, hazards: [magnet]}}")


def shown(local: Local, address: str) -> str:
    text = re.sub(r"<[^>]*>", "", local.get(address).text)
    return " ".join(html.unescape(text).split())


def test_the_figures_say_what_they_leave_out_and_how_much_of_it_was_tried(local: Local, folder: Path) -> None:
    for address in ("/", "/matrix"):
        assert "3 of 12 right" not in shown(local, address)
        assert "3 of 12 pairs tried, 0 met" in shown(local, address)
        assert "left out" not in shown(local, address)
    hold_back(folder)
    left_out = (
        "4 pairs with a thing that is held back by a caution are left out here (2 of them tried, 0 met)."
    )
    assert f"1 of 8 pairs tried, 0 met; 3 taught and not tried. {left_out}" in shown(local, "/")
    of_all = "1 of 8 pairs tried, 0 met, 0 met without teaching; 3 taught and not tried."
    assert f"{of_all} {left_out}" in shown(local, "/matrix")
    (folder / "results.csv").write_text(HEAD + FAILED + MET, "utf-8")
    assert "left out here (3 of them tried, 2 met)." in shown(local, "/")
    hold_back(folder, "Two boots")
    assert "Nothing of it is possible as the case stands:" in shown(local, "/matrix")
    assert "12 pairs with a thing that is held back by a caution are left out here" in shown(local, "/matrix")


def test_a_failed_check_keeps_its_sign_and_its_counts(local: Local, folder: Path) -> None:
    assert "At a glance: 1 not met, 1 taught, 6 untested." in shown(local, "/matrix")
    hold_back(folder)
    page = shown(local, "/matrix")
    assert "At a glance: 1 not met, 1 taught, 3 untested, 3 not possible." in page
    assert "not met 3/5 27 Nov not possible now" in re.sub(r"(\D)(3/5)(27)", r"\1\2 \3", page) or (
        "not met 3/5" in page and "not possible now" in page
    )
    assert "'Three hats' holds a magnet that a child can get at" in page


def test_a_file_for_programs_says_as_ever_that_it_is_not_possible(local: Local, folder: Path) -> None:
    hold_back(folder)
    (row,) = [line for line in local.get("/matrix.csv").text.splitlines() if ",gran,yard,hats," in line]
    assert ",not possible," in row
    assert ",3,5," in row


@pytest.mark.parametrize("held", [True, False])
def test_what_is_not_planned_is_not_said_to_be_planned_all_the_same(
    local: Local, folder: Path, held: bool
) -> None:
    put(folder, "born:", "allergens: [milk], born:")
    put(folder, "{name: Two boots}", "{name: Two boots, free_of: [milk]}")
    put(folder, "cover: pairs}", "cover: pairs, material_sets: [boots, hats]}")
    if held:
        hold_back(folder)
    found = [f.found for f in workflow.check(folder, SUNDAY)]
    assert any("'hats', which is not planned:" in f for f in found) is held
    assert any("Three hats; it may be planned for L. all the same" in f for f in found) is not held
    page = shown(local, "/check")
    assert ("planned for L. all the same" in page) is not held
