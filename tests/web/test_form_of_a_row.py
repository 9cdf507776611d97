"""The form of a row: a thing that is held back is marked where it is looked at, more trials than were planned are asked
about, and nothing lies over what is asked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.fixtures.local_server import Local, form_fields, running
from tests.fixtures.small_case import small_case

CHECK = {
    "target": "puts-on",
    "date": "2026-11-27",
    "time": "16:00",
    "kind": "probe",
    "with-adult": "mum",
    "with-location": "home",
    "with-material_set": "hats",
}
FORM = f"/record/row?{urlencode(CHECK)}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_case(tmp_path / "case")


@pytest.fixture
def local(folder: Path) -> Iterator[Local]:
    with running(folder) as local:
        yield local


def rows(folder: Path) -> list[str]:
    file = folder / "results.csv"
    return file.read_text("utf-8").splitlines()[1:] if file.is_file() else []


def hold_back(folder: Path) -> None:
    case = folder / "case.yaml"
    text = case.read_text("utf-8").replace("{name: Three hats}", "{name: Three hats, hazards: [magnet]}")
    case.write_text(text, "utf-8")


def test_a_thing_that_is_held_back_is_marked_at_the_head_and_at_the_beginning_of_its_line(
    local: Local, folder: Path
) -> None:
    assert "held back" not in local.get(FORM).text
    hold_back(folder)
    page = local.get(FORM).text
    head = page[: page.index("<legend>")]
    assert "It is held back for now, neither taught nor probed: &#39;Three hats&#39; holds a magnet" in head
    assert '<option value="hats" selected>Held back: Three hats</option>' in page
    assert '<option value="boots">Two boots</option>' in page
    other = local.get(FORM.replace("hats", "boots")).text
    assert "neither taught nor probed" not in other


@pytest.mark.parametrize(
    ("counts", "result"),
    [
        ({"marks": "+++++++", "trials": "", "correct": ""}, "7 were counted. Was one counted twice?"),
        ({"trials": "6", "correct": "5"}, "held against 4/5: met."),
        ({"trials": "7", "correct": "5"}, "held against 4/5: not met."),
        ({"kind": "teaching", "trials": "6", "correct": "5"}, "6 were counted. Was one counted twice?"),
        ({"kind": "baseline", "trials": "6", "correct": "5"}, "6 were counted. Was one counted twice?"),
    ],
)
def test_more_trials_than_were_planned_are_asked_about(
    local: Local, folder: Path, counts: dict[str, str], result: str
) -> None:
    fields = local.form(FORM) | {name: [value] for name, value in counts.items()}
    asked = local.post("/record/add", fields)
    assert asked.status == 409
    assert "5 trials of &#39;Puts it on&#39; were planned, and " in asked.text
    assert result in asked.text
    assert rows(folder) == []
    sure = re.findall(r'name="sure" value="(\w+)"', asked.text)
    assert len(sure) == 1
    assert local.post("/record/add", fields | {"sure": sure}).status == 303
    assert len(rows(folder)) == 1


@pytest.mark.parametrize("kind", ["probe", "teaching"])
def test_as_many_as_were_planned_are_not(local: Local, folder: Path, kind: str) -> None:
    fields = local.form(FORM) | {"kind": [kind], "trials": ["5"], "correct": ["5"]}
    assert local.post("/record/add", fields).status == 303
    assert len(rows(folder)) == 1


def test_what_is_asked_stands_first_with_a_button_and_nothing_lies_over_it(local: Local) -> None:
    assert '<div class="bar">' in local.get(FORM).text
    fields = local.form(FORM) | {"trials": ["7"], "correct": ["5"]}
    page = local.post("/record/add", fields).text
    assert '<div class="bar still">' in page
    asked = page.index("Was one counted twice?")
    assert asked < page.index("Add it all the same") < page.index("Counts as correct:")
    assert form_fields(page)["correct"] == ["5"]


def test_a_check_of_other_trials_is_another_form(local: Local) -> None:
    """By its word a browser keeps what is counted: five taps of five are not three of ten."""
    five, ten = (local.form(f"{FORM}&trials={n}")["form"] for n in (5, 10))
    assert five != ten
    assert five == local.form(f"{FORM}&trials=5")["form"]
