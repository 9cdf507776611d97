"""Wishes for a week: read, written as a line, taken back. The sentences of faults stand in `bad_input`."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan.case import Case, Week
from genplan.case.sitting_ids import SittingId, mark_of, stem_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.casefile import load
from genplan.casefile.change_entries import WishEntry, add_change, take_back
from genplan.errors import UsageError
from tests.fixtures.casefile_cases import SMALL, write

W49, W50 = Week(2026, 49), Week(2026, 50)
TUESDAY = f"2026-W49-tue-mum-{mark_of('wren')}"
THURSDAY = datetime(2026, 12, 3, 16)
EACH = [
    PlannersWish(kind=WishKind.HOLD, sitting=TUESDAY, at=datetime(2026, 12, 1, 16), note="it suits us"),
    PlannersWish(kind=WishKind.NOT, sitting=f"{TUESDAY}-b"),
    PlannersWish(kind=WishKind.MOVE, sitting=TUESDAY, start=THURSDAY, adult="mum", location="home"),
    PlannersWish(
        kind=WishKind.RATHER, adult="mum", learner="wren", start=THURSDAY, end=datetime(2026, 12, 5)
    ),
    PlannersWish(
        kind=WishKind.ADD,
        learner="wren",
        adult="mum",
        location="home",
        start=THURSDAY,
        target="zips",
        values=(("material_set", "jackets"), ("wording", "Zip it up")),
    ),
    PlannersWish(kind=WishKind.APART, two=(TUESDAY, "zips")),
]


def case_with(folder: Path, *wishes: PlannersWish) -> Case:
    lines = "".join(WishEntry(w).line() for w in wishes)
    found = load(write(folder, case=SMALL, changes=f"changes:\n{lines}"))
    assert found.case, found.findings
    return found.case


@pytest.mark.parametrize("wish", EACH, ids=lambda w: w.kind.value)
def test_a_wish_that_is_written_is_read_as_it_was(tmp_path: Path, wish: PlannersWish) -> None:
    assert case_with(tmp_path, wish).wishes == (wish,)


@pytest.mark.parametrize("wish", EACH, ids=lambda w: w.kind.value)
def test_a_wish_is_added_and_taken_back(tmp_path: Path, wish: PlannersWish) -> None:
    before = case_with(tmp_path, *EACH[:1]) if wish is not EACH[0] else case_with(tmp_path, EACH[1])
    add_change(tmp_path, WishEntry(wish))
    with pytest.raises(UsageError, match="says so already"):
        add_change(tmp_path, WishEntry(wish))
    after = load(tmp_path).case
    assert after
    assert wish in after.wishes
    take_back(tmp_path, wish)
    assert load(tmp_path).case == before
    with pytest.raises(UsageError, match="no such wish"):
        take_back(tmp_path, wish)


def test_rather_another_adult_is_for_each_child_of_that_adult_unless_one_is_named(tmp_path: Path) -> None:
    two = SMALL.replace("learners:\n", "learners:\n  lark: {free: {daily: '15:00-18:00'}}\n", 1)
    write(tmp_path, case=two, changes="changes:\n  - {rather: mum, from: 2026-12-03}\n")
    case = load(tmp_path).case
    assert case
    assert [w.learner for w in case.wishes] == ["lark", "wren"]
    take_back(tmp_path, case.wishes[0])
    left = load(tmp_path).case
    assert left
    assert left.wishes == ()


def test_what_cannot_be_meant_is_not_added(tmp_path: Path) -> None:
    write(tmp_path, case=SMALL)
    with pytest.raises(UsageError, match="the unknown adult 'mun'"):
        add_change(tmp_path, WishEntry(PlannersWish(kind=WishKind.HOLD, sitting="2026-W49-tue-mun-abc")))
    assert not (tmp_path / "changes.yaml").exists()


def test_the_order_of_lines_decides_nothing(tmp_path: Path) -> None:
    one = case_with(tmp_path / "one", *EACH)
    assert one == case_with(tmp_path / "two", *reversed(EACH))
    assert [w.kind for w in one.wishes] == list(WishKind)


def test_a_wish_holds_in_its_week_alone(tmp_path: Path) -> None:
    for wish in EACH:
        assert wish.holds_in(W49), wish
        assert not wish.holds_in(W50), wish
    always = PlannersWish(kind=WishKind.APART, two=("zips", "ties"))
    assert always.holds_in(W49)
    assert always.holds_in(W50)
    over_both = PlannersWish(kind=WishKind.RATHER, start=THURSDAY, end=datetime(2026, 12, 8), adult="mum")
    assert over_both.holds_in(W50)
    assert not PlannersWish(kind=WishKind.RATHER, start=THURSDAY, end=datetime(2026, 12, 7)).holds_in(W50)


def test_the_parts_of_an_id() -> None:
    """An adult's id may hold hyphens, and end as a sign or a letter does."""
    for adult in ("mum", "aunt-b", "a-3fa", "x-3fa-b"):
        for letter in ("", "b"):
            stem = stem_of(W49, "tue", adult, "wren")
            found = SittingId.parse(f"{stem}-{letter}" if letter else stem)
            assert (found.adult, found.day, found.letter, found.stem) == (adult, "tue", letter, stem)
