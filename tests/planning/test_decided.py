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
from genplan.planning.wish_answers import answers_to_wishes
from genplan.rules.limits import Kind
from genplan.text.wishes import answer_text
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


@pytest.mark.parametrize("told_of_it", [True, False])
def test_what_was_put_in_and_told_is_kept_once_it_has_begun(told_of_it: bool) -> None:
    """Wednesday at nine, looked at on Thursday; without anybody told of it the wish came to nothing."""
    case = product_case((1, 1, 2), cover="all")
    combination = case.targets["skill"].combinations()[0]
    told = told_sitting(case, 2, 9, ("skill", combination))
    wish = added(case, told.start.replace(tzinfo=None))
    asked = replace(case, wishes=(wish,))
    context = week_context_of(asked, Log(), WEEK, NOW + timedelta(days=4), {}, (told,) if told_of_it else ())
    (answer,) = context.decided.answers
    assert answer.kept is told_of_it
    assert (Kind.PAST in {limit.kind for limit in answer.limits}) is not told_of_it
    assert not context.decided.seats


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


def two_skills(**policy: int) -> Case:
    """The skill twice, with four sets; one probe of a skill a day."""
    case = product_case((1, 1, 4), cover="all")
    (target,) = case.targets.values()
    targets = {i: replace(target, id=i) for i in ("skill", "zeal")}
    return replace(case, targets=targets, policy=replace(case.policy, **policy))


def moved_to(told: Sitting, day: int, hour: int) -> PlannersWish:
    return PlannersWish(kind=MOVE, sitting=told.id, start=MONDAY + timedelta(days=day, hours=hour))


def test_two_sittings_that_move_to_one_day_hold_as_much_as_fits_there() -> None:
    """Each held both skills; of each skill the day has room for one probe, so either sitting holds one of them."""
    case = two_skills()
    of = case.targets["skill"].combinations()
    one, two = (
        told_sitting(case, day, 10, ("skill", of[n]), ("zeal", of[n])) for n, day in enumerate((0, 1))
    )
    found = decided(case, (one, two), moved_to(one, 2, 10), moved_to(two, 2, 12))
    assert [(a.kept, a.proven) for a in found.answers] == [(True, True)] * 2
    assert [[p.target for p in s.probes] for s in found.seats] == [["skill"], ["zeal"]]
    (alone,) = decided(case, (one, two), moved_to(one, 2, 10)).seats
    assert [p.target for p in alone.probes] == ["skill", "zeal"]


def test_a_sitting_that_moves_leaves_out_what_does_not_fit_whichever_comes_first() -> None:
    """The first skill takes an hour, and what is left of the day is a quarter of one."""
    case = two_skills()
    long = {**case.targets, "skill": replace(case.targets["skill"], minutes=60)}
    case = replace(case, targets=long)
    combination = case.targets["skill"].combinations()[0]
    told = told_sitting(case, 0, 10, ("skill", combination), ("zeal", combination))
    move = replace(moved_to(told, 2, 16), start=MONDAY + timedelta(days=2, hours=16, minutes=45))
    found = decided(case, (told,), move)
    assert [a.kept for a in found.answers] == [True]
    assert [[p.target for p in s.probes] for s in found.seats] == [["zeal"]]


def test_moves_that_cannot_be_kept_together_say_what_stands_in_the_way() -> None:
    """Both to ten o'clock of one day, with two adults."""
    case = product_case((2, 1, 2), cover="all")
    of = case.targets["skill"].combinations()
    one, two = (told_sitting(case, day, 10, ("skill", of[n])) for n, day in ((0, 0), (3, 1)))
    found = decided(case, (one, two), moved_to(one, 2, 10), moved_to(two, 2, 10))
    assert sorted((a.kept, a.why) for a in found.answers) == [(False, Unkept.WISHES), (True, None)]
    (refused,) = (a for a in found.answers if not a.kept)
    assert refused.proven
    assert refused.limits


def test_a_stretch_that_is_too_short_for_any_sitting_is_said_so() -> None:
    """Both are free then and the place is open, but for five minutes."""
    case = product_case((1, 1, 1), cover="all")
    start = MONDAY + timedelta(days=2, hours=13)
    short = PlannersWish(
        kind=RATHER, learner="wren", adult="a0-0", start=start, end=start + timedelta(minutes=5)
    )
    ground = week_context_of(replace(case, wishes=(short,)), Log(), WEEK, NOW, {}, ())
    (answer,) = answers_to_wishes(ground, (), ())
    assert answer.why is Unkept.RULES
    assert "at no place that is open then" in answer_text(case, answer)


def test_a_sitting_that_was_told_for_another_time_is_named_with_the_time() -> None:
    """Its id is that of a told one, so to propose that id once more would help nobody."""
    case = product_case((1, 1, 2), cover="all")
    told = told_sitting(case, 2, 13)
    sooner = told.start.replace(tzinfo=None) - timedelta(hours=1)
    (answer,) = decided(case, (told,), PlannersWish(kind=HOLD, sitting=told.id, at=sooner)).answers
    assert (answer.kept, answer.why, answer.nearest) == (False, Unkept.UNKNOWN, "")
    assert f"no sitting {told.id} at 12:00" in answer_text(case, answer)
