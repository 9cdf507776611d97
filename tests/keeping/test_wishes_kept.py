"""Which wishes the week that people were told of keeps already."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from genplan.case.sitting_ids import stem_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.keeping.wishes_kept import kept_already
from genplan.plan import Sitting
from tests.fixtures import builders as b


def named(s: Sitting, day: str) -> Sitting:
    return replace(s, id=stem_of(b.WEEK, day, s.adult, s.learner))


_TUESDAY, _SATURDAY = b.the_sittings()
TUESDAY, SATURDAY = named(_TUESDAY, "tue"), named(_SATURDAY, "sat")
BEGINS = TUESDAY.start.replace(tzinfo=None)
LATER = BEGINS + timedelta(hours=1)
MOVED = replace(TUESDAY, start=TUESDAY.start + timedelta(hours=1), end=TUESDAY.end + timedelta(hours=1))
MOVE = PlannersWish(kind=WishKind.MOVE, sitting=TUESDAY.id, at=BEGINS, start=LATER)
NOT = PlannersWish(kind=WishKind.NOT, sitting=TUESDAY.id, at=BEGINS)
HOLD = PlannersWish(kind=WishKind.HOLD, sitting=TUESDAY.id, at=BEGINS)
ADD = PlannersWish(
    kind=WishKind.ADD,
    learner="wren",
    adult="mum",
    location="home",
    target="zips-jacket",
    start=SATURDAY.start.replace(tzinfo=None),
    values=(("material_set", "jackets"),),
)
RATHER = PlannersWish(
    kind=WishKind.RATHER,
    learner="wren",
    adult="mum",
    start=datetime(2026, 12, 5),
    end=datetime(2026, 12, 6),
)


@pytest.mark.parametrize(
    ("wish", "told", "kept"),
    [
        (HOLD, (TUESDAY, SATURDAY), True),
        (HOLD, (SATURDAY,), False),
        (NOT, (TUESDAY, SATURDAY), False),
        (NOT, (SATURDAY,), True),
        (MOVE, (TUESDAY, SATURDAY), False),
        (MOVE, (MOVED, SATURDAY), True),
        (ADD, (TUESDAY,), False),
        (ADD, (TUESDAY, SATURDAY), True),
        (RATHER, (TUESDAY,), False),
        (RATHER, (TUESDAY, SATURDAY), True),
        (replace(RATHER, start=datetime(2026, 12, 5, 9, 50)), (TUESDAY, SATURDAY), False),  # it begins before
    ],
)
def test_a_wish_is_kept_once_people_were_told_so(
    wish: PlannersWish, told: tuple[Sitting, ...], kept: bool
) -> None:
    assert kept_already([wish], told) == ({wish} if kept else set())


def test_what_came_into_the_place_of_what_was_called_off_is_not_that() -> None:
    """Tuesday's is not to be, and another is put in at its very time."""
    there = replace(TUESDAY, location="home")
    put_in = replace(
        ADD,
        adult="grandad",
        start=BEGINS,
        values=(("material_set", "fleece"),),
    )
    assert kept_already([NOT, put_in], (TUESDAY,)) == set()
    assert kept_already([NOT, put_in], (there,)) == {NOT, put_in}


def test_two_things_are_apart_on_the_days_of_the_wish() -> None:
    other = named(replace(SATURDAY, start=TUESDAY.start, end=TUESDAY.end), "tue")
    apart = PlannersWish(kind=WishKind.APART, two=(TUESDAY.id, SATURDAY.id))
    assert kept_already([apart], (TUESDAY, SATURDAY)) == {apart}
    assert kept_already([apart], (TUESDAY, other)) == set()
    from_wednesday = replace(apart, start=datetime(2026, 12, 2), end=datetime(2026, 12, 7))
    assert kept_already([from_wednesday], (TUESDAY, other)) == {from_wednesday}
    once = PlannersWish(kind=WishKind.APART, two=("zips-jacket", "zips-jacket"))
    assert kept_already([once], (TUESDAY, SATURDAY)) == {once}
    assert kept_already([once], (TUESDAY, other)) == set()
    # the same two people by the ids of two days: once a day at the most
    again = PlannersWish(kind=WishKind.APART, two=(TUESDAY.id, TUESDAY.id.replace("tue", "wed")))
    assert kept_already([again], (TUESDAY, SATURDAY)) == {again}
    assert kept_already([again], (TUESDAY, MOVED)) == set()
