"""What is decided before the search: which wishes are kept together, and what the sittings of them hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from itertools import count

import pytest

from genplan.case import Case
from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind, in_order
from genplan.evidence.log import Log
from genplan.plan import Sitting, Unkept, WishAnswer
from genplan.planning.decided import Decided
from genplan.planning.week_context import week_context_of
from tests.fixtures.planning_cases import NOW, WEEK, product_case, told_sitting

HOLD, MOVE, ADD, NOT, APART, RATHER = WishKind
MONDAY = datetime.combine(WEEK.monday, time())


def decided(case: Case, told: tuple[Sitting, ...], *wishes: PlannersWish) -> Decided:
    asked = replace(case, wishes=in_order(wishes))
    return week_context_of(asked, Log(), WEEK, NOW, {}, told).decided


def added(case: Case, start: datetime, number: int = 0) -> PlannersWish:
    target = case.targets["skill"]
    values = target.combinations()[number]
    return PlannersWish(
        kind=ADD,
        start=start,
        learner=target.learner,
        adult=values[0],
        location=values[1],
        target=target.id,
        values=(("material_set", values[2]),),
    )


@pytest.mark.parametrize("minutes", [15, 120])
def test_what_is_put_in_for_a_sitting_may_be_on_its_day_with_its_adult(minutes: int) -> None:
    """As another place on the same day is taken: the old sitting is not to be, and another probe is put in near it. All
    else of the two stays out of that day."""
    case = product_case((1, 1, 2), cover="all")
    told = told_sitting(case, 2, 13)
    start = told.start.replace(tzinfo=None) + timedelta(minutes=minutes)
    gone = PlannersWish(kind=NOT, sitting=told.id, at=told.start.replace(tzinfo=None))
    found = decided(case, (told,), gone, added(case, start, 1))
    assert [a.kept for a in found.answers] == [True, True]
    assert [(s.day, s.start % (24 * 60)) for s in found.seats] == [(2, 13 * 60 + minutes)]
    assert found.barred.keys() == {("wren", "a0-0")}


def test_nothing_can_be_put_into_the_very_place_of_what_is_not_to_be() -> None:
    case = product_case((1, 1, 2), cover="all")
    told = told_sitting(case, 2, 13)
    gone = PlannersWish(kind=NOT, sitting=told.id)
    found = decided(case, (told,), gone, added(case, told.start.replace(tzinfo=None), 1))
    assert [(a.wish.kind, a.kept, a.why) for a in found.answers] == [
        (ADD, True, None),
        (NOT, False, Unkept.WISHES),
    ]


def test_of_two_children_with_one_sign_the_one_is_meant_who_was_told_that_sitting() -> None:
    case = product_case((1, 1, 1), cover="all")
    (target,), (wren,) = case.targets.values(), case.learners.values()
    namesake = next(i for n in count() if mark_of(i := f"rook-{n}") == mark_of("wren"))
    targets = {**case.targets, "other": replace(target, id="other", learner=namesake)}
    both = replace(case, learners={**case.learners, namesake: replace(wren, id=namesake)}, targets=targets)
    first = told_sitting(both, 2, 10)
    second = told_sitting(both, 2, 13, ("other", target.combinations()[0]))
    second = replace(second, id=f"{second.id}-b")
    held: WishAnswer
    found = decided(both, (first, second), PlannersWish(kind=HOLD, sitting=second.id))
    (held,) = found.answers
    assert held.kept
    assert [s.learner for s in found.seats] == [namesake]
