"""Weeks that were told as proven best and were not: each counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from functools import cache

import pytest

from genplan.audit import audit
from genplan.case import (
    Absence,
    AdultLimits,
    Case,
    LearnerLimits,
    MaterialSet,
    Target,
    WeeklyHours,
    Window,
    Wish,
)
from genplan.case.dated_facts import in_week
from genplan.evidence.log import Log
from genplan.plan import Objective, Plan
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, ZONE, plan_one, product_case, with_learner


def planned(case: Case, **more: object) -> Plan:
    plan = plan_one(case, **more)  # type: ignore[arg-type]
    assert audit(in_week(case, WEEK), Log(), plan, more.get("busy", {})) == ()  # type: ignore[arg-type]
    return plan


def of(plan: Plan, name: str) -> Objective:
    return next(o for o in plan.objectives if o.name == name)


def on(days: dict[int, list[tuple[int, int]]]) -> WeeklyHours:
    """By day: stretches in minutes of it."""
    return WeeklyHours(tuple(tuple(Window(*w) for w in days.get(d, [])) for d in range(7)))


def same_skill(case: Case, skills: int) -> Case:
    """So many skills like the case's only one."""
    (one,) = case.targets.values()
    return replace(case, targets={f"skill-{n}": replace(one, id=f"skill-{n}") for n in range(skills)})


@pytest.mark.parametrize(("skills", "minutes"), [(8, 720), (6, 390)])
def test_a_long_day_holds_more_than_four_sittings(skills: int, minutes: int) -> None:
    """Each skill has one combination, which shows three pairs, and a sitting holds one probe. Of a day of twelve hours
    eight sittings of ten minutes, with half an hour between two, take less than six; six take 210 of 390 minutes."""
    case = same_skill(product_case([1, 1, 1]), skills)
    day = on({0: [(8 * 60, 8 * 60 + minutes)]})
    case = with_learner(case, free=day, limits=LearnerLimits(probes_per_sitting=1))
    plan = planned(replace(case, adults={i: replace(a, free=day) for i, a in case.adults.items()}))
    assert len(plan.sittings) == skills
    assert (of(plan, "new tuples").value, of(plan, "new tuples").bound) == (3 * skills, 3 * skills)
    assert not plan.left_out


@pytest.mark.parametrize("other_day", [0, 1])
def test_the_earlier_of_two_windows(other_day: int) -> None:
    """From 9 to 10 or from 16 to 17, on one day or on two: 9 o'clock is 36 quarters after midnight."""
    case = product_case([1, 1, 1])
    late, early = (16 * 60, 17 * 60), (9 * 60, 10 * 60)
    free = on({0: [early, late]}) if other_day == 0 else on({0: [late], 1: [early]})
    plan = planned(with_learner(case, free=free))
    assert [s.start.hour for s in plan.sittings] == [9]
    assert (of(plan, "early").value, of(plan, "early").bound) == (36, 36)


BY_WEDNESDAY = date(2026, 12, 2)


def wished(days: dict[int, list[tuple[int, int]]], by: date, sets: int = 1) -> Case:
    case = product_case([1, 2, sets], first=(Wish({"location": "l1-0"}, by),), a_week=1)
    return with_learner(case, free=on(days))


def test_days_after_a_wishs_date_do_not_count_for_it() -> None:
    """Tuesday and Saturday; the wish is by Wednesday. Saturday is earlier in the day."""
    case = wished({1: [(16 * 60, 17 * 60)], 5: [(9 * 60, 10 * 60)]}, BY_WEDNESDAY)
    plan = planned(case)
    assert [(s.location, s.start.date()) for s in plan.sittings] == [("l1-0", date(2026, 12, 1))]
    # the pairs of the place with the adult and with the set
    assert (of(plan, "dated").value, of(plan, "wished").value) == (2, 2)


def test_what_is_shown_after_the_date_is_no_wish_kept() -> None:
    """Saturday alone: the wish by Wednesday cannot be kept, and nothing is told as kept. Once the date has passed the
    wish is late, and any day will do."""
    case = wished({5: [(9 * 60, 10 * 60)]}, BY_WEDNESDAY)
    plan = planned(case)
    assert [of(plan, n).value for n in ("dated", "wished", "new tuples")] == [0, 0, 3]
    assert [of(plan, n).bound for n in ("dated", "wished", "new tuples")] == [0, 0, 3]
    late = planned(case, now=datetime(2026, 12, 3, 12, tzinfo=ZONE))
    assert [of(late, n).value for n in ("dated", "wished", "new tuples")] == [2, 2, 3]


def test_two_wishes_for_one_place_each_count_by_their_own_date() -> None:
    case = wished({5: [(9 * 60, 10 * 60)]}, BY_WEDNESDAY)
    (skill,) = case.targets.values()
    more = replace(skill, first=(*skill.first, Wish({"location": "l1-0"}, date(2026, 12, 20))))
    plan = planned(replace(case, targets={skill.id: more}))
    assert [of(plan, n).value for n in ("dated", "wished")] == [0, 2]


NEXT_WEEK = date(2026, 12, 11)
"""Friday of the week after the planned one."""


def wish_of_next_week(**target: object) -> tuple[Case, str]:
    """A place is wished by Friday of next week; a skill of its own takes the only hour of this week otherwise."""
    case = product_case([1, 1, 1], first=(Wish({"location": "l1-0"}, NEXT_WEEK),), **target)
    return case, next(iter(case.adults))


def dated(case: Case, busy: dict[str, tuple[Absence, ...]] | None = None) -> float:
    return of(planned(case, busy=busy or {}), "dated").value


def test_minutes_too_short_for_a_probe_are_no_later_chance() -> None:
    """A probe needs ten minutes with settling. Next week has eight, or ten that do not begin on the grid's quarters."""
    case, adult = wish_of_next_week()

    def next_week(minutes: int, past: int = 0) -> Case:
        start = datetime(2026, 12, 8, 16, past)
        hour = Absence(datetime(2026, 12, 1, 16), datetime(2026, 12, 1, 17), "extra")
        later = Absence(start, start.replace(minute=past + minutes), "extra")
        someone = replace(case.adults[adult], free=WeeklyHours.never(), extra=(hour, later))
        return replace(case, adults={adult: someone})

    assert dated(next_week(8)) == 2
    assert dated(next_week(10, past=5)) == 2
    assert dated(next_week(10)) == 0


def test_a_busy_calendar_of_later_weeks_takes_chances_away() -> None:
    case, adult = wish_of_next_week()
    week = Absence(datetime(2026, 12, 7), datetime(2026, 12, 14), "busy")
    assert dated(case) == 0
    assert dated(case, {adult: (week,)}) == 2
    day = Absence(datetime(2026, 12, 8), datetime(2026, 12, 9), "busy")
    assert dated(case, {adult: (day,)}) == 0


def test_a_later_week_has_room_for_so_many_probes_as_its_days_and_limits_leave() -> None:
    """Two sets in the wished place take two probes; a skill has one a day, and next week has one day, or two."""
    case = product_case([1, 1, 2], first=(Wish({"location": "l1-0"}, NEXT_WEEK),))
    (adult,) = case.adults.values()

    def with_days(*days: int, **limits: int) -> Case:
        extra = tuple(
            Absence(datetime(2026, 12, d, 16), datetime(2026, 12, d, 17), "extra") for d in (1, 2, *days)
        )
        someone = replace(adult, free=WeeklyHours.never(), extra=extra, limits=AdultLimits(**limits))
        return replace(case, adults={adult.id: someone})

    assert dated(with_days(8)) == 3
    assert dated(with_days(8, 9)) == 0
    assert dated(with_days(8, 9, minutes_per_week=10)) > 0


def test_a_set_that_is_missing_later_is_no_later_chance() -> None:
    case, _ = wish_of_next_week()
    (name,) = case.material_sets
    gone = Absence(datetime(2026, 12, 7), datetime(2026, 12, 14), "missing")
    assert dated(replace(case, material_sets={name: MaterialSet(id=name, name=name, missing=(gone,))})) == 2


@pytest.mark.parametrize("needs", by_day_the_first([1.1, 0.001, 1.2, 0.7, 2.3, 1.000001]))
def test_shares_of_fractional_needs(needs: float) -> None:
    """Two children and one adult, who has time for one of them each day: the worst off of two has the same share
    whatever the weights are."""
    assert shares(needs) == shares(1.0)


@cache
def shares(needs: float) -> tuple[float, float]:
    case = product_case([1, 2, 3], a_week=3)
    learner, (skill,) = case.learners["wren"], case.targets.values()
    ten = on({d: [(9 * 60, 9 * 60 + 10)] for d in range(5)})
    two = {i: replace(learner, id=i, name=i, alias=i, needs=needs, free=ten) for i in ("robin", "wren")}
    skills: dict[str, Target] = {i: replace(skill, id=i, learner=i) for i in two}
    plan = planned(replace(case, learners=two, targets=skills))
    o = of(plan, "shares")
    return o.value, o.bound


def test_a_set_that_comes_in_the_middle_of_the_hours_cuts_no_other_sitting() -> None:
    """The only ten minutes lie across the minute at which a set comes that only the other skill uses."""
    case = product_case([1, 1, 2])
    skill = case.targets["skill"]
    other, own = skill.dimensions[2].values
    at = 9 * 60
    away = Absence(datetime(2026, 11, 1), datetime(2026, 11, 30, 9, 5), "missing")
    one = replace(skill, dimensions=(*skill.dimensions[:2], replace(skill.dimensions[2], values=(own,))))
    case = with_learner(case, free=on({0: [(at, at + 10)]}))
    sets = {**case.material_sets, other: MaterialSet(id=other, name=other, missing=(away,))}
    plan = planned(replace(case, material_sets=sets, targets={"skill": one}))
    assert len(plan.sittings) == 1
    # with the set itself nothing can begin before it is there
    both = planned(replace(case, material_sets=sets))
    assert {p.combination[2] for s in both.sittings for p in s.probes} == {own}
