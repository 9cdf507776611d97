"""Weeks that the planner once saw wrongly: two sittings in the same hours, times that were told, hours nearly over."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from genplan.case import Case, Preferences, WeeklyHours
from genplan.plan import Plan, Sitting
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, hours, plan_one, product_case, with_learner
from tests.fixtures.search_settings import search_with


def value(plan: Plan, name: str) -> float:
    return next(o for o in plan.objectives if o.name == name).value


def on_monday(case: Case, start: int, end: int) -> Case:
    return with_learner(case, free=hours((start, end), None))


def later(sitting: Sitting, minutes: int) -> Sitting:
    more = timedelta(minutes=minutes)
    return replace(sitting, start=sitting.start + more, end=sitting.end + more)


def test_the_second_sitting_in_the_same_hours_stays_as_told() -> None:
    # two probes of one target, so two sittings: at 9:00 and, after the rest, at 9:45; told for 10:30
    case = on_monday(product_case((1, 1, 2), cover="all", a_day=2), 9, 12)
    first, second = plan_one(case).sittings
    kept = (first, later(second, 45))
    again = plan_one(case, kept=kept)
    assert [s.start for s in again.sittings] == [s.start for s in kept]
    assert value(again, "told") == 2 * (2 + 1 + 2)


def test_a_probe_stays_with_its_people_and_day_when_the_hours_move() -> None:
    # told for 9:00, and now it can only be at 10:00 on that day: the probe stays, the time does not
    case = product_case((1, 1, 1), cover="all")
    kept = plan_one(on_monday(case, 9, 10)).sittings
    assert value(plan_one(on_monday(case, 10, 11), kept=kept), "told") == 1


def test_a_sitting_told_for_a_time_off_the_grid_cannot_stay_at_its_time() -> None:
    # told for 9:20 on a grid of 15 minutes: the probe stays, the time cannot
    case = on_monday(product_case((1, 1, 1), cover="all"), 9, 10)
    (sitting,) = plan_one(case).sittings
    again = plan_one(case, kept=(later(sitting, 20),))
    assert [s.start for s in again.sittings] != [later(sitting, 20).start]
    assert value(again, "told") == 1


def test_early_counts_what_is_held_and_nothing_else() -> None:
    # one probe and two people who could run it at 9:00, the 36th step of the day's grid
    case = on_monday(product_case((2, 1, 1), cover="all", a_week=1), 9, 10)
    plan = plan_one(case)
    assert len(plan.sittings) == 1
    assert value(plan, "early") == 36


def test_two_sittings_around_another_adults_hour() -> None:
    # Ann has 9:00 to 10:45, Ben 9:35 to 10:10: 30 minutes with Ann, 30 with Ben, 30 with Ann. Ann's two skills in one
    # sitting take 55 minutes, and neither 9:00 to 9:40 nor 10:05 to 10:45 holds those.
    case = monday_case(
        {"wren": monday(105)},
        {"ann": monday(105), "ben": monday(35, after_nine=35)},
        skill("a", "wren", "ann", minutes=25),
        skill("b", "wren", "ann", minutes=25),
        skill("c", "wren", "ben", minutes=25),
    )
    assert value(plan_one(case), "new tuples") == 3


def test_two_sittings_around_another_learners_hour() -> None:
    # Ann has 9:00 to 10:15; Robin can have her from 9:30 to 9:40 only. Wren's two skills of 25 minutes fit before and
    # after in sittings of 30, and in one of 55 nowhere.
    case = monday_case(
        {"robin": monday(10, after_nine=30), "wren": monday(75)},
        {"ann": monday(75)},
        skill("a", "wren", "ann", minutes=25),
        skill("b", "wren", "ann", minutes=25),
        skill("c", "robin", "ann", minutes=5),
    )
    assert value(plan_one(case), "new tuples") == 3


def test_an_adult_whose_hours_are_nearly_over_can_be_planned() -> None:
    # Ann had 60 minutes on Monday and has 10 left on Tuesday: with what is planned there, 70 of 10 are 70 tenths
    hours_of_both = WeeklyHours((*monday(60).days[:1], *monday(10).days[:1], *[()] * 5))
    skills = (skill("a", "wren", sets="x y", minutes=50), skill("b", "wren", sets="u v"))
    case = monday_case({"wren": hours_of_both}, {"ann": hours_of_both}, *skills)
    case = replace(case, policy=replace(case.policy, prefer=Preferences(fair_shares=True)))
    monday_only = replace(case, policy=replace(case.policy, days=(0,)))
    kept = plan_one(monday_only).sittings
    assert [(s.end - s.start).total_seconds() for s in kept] == [60 * 60]
    plan = plan_one(case, kept=kept, now=NOW + timedelta(days=1))
    assert [s.begun for s in plan.sittings] == [True, False]


def test_an_adult_whose_hours_others_have_can_be_planned(monkeypatch: pytest.MonkeyPatch) -> None:
    # of Ann's 100 minutes three learners take 30 each; with Wren's 10 she is asked for 100 of the 10 that are left
    search_with(monkeypatch, "caseload", joint_variables=0)
    others = [f"learner-{n}" for n in range(3)]
    skills = [skill(f"skill-{i}", i, minutes=25) for i in others]
    case = monday_case(
        dict.fromkeys([*others, "wren"], monday(100)),
        {"ann": monday(100), "ben": monday(100)},
        *skills,
        skill("w", "wren", "ann"),
        skill("x", "wren", "ben"),
    )
    case = replace(case, policy=replace(case.policy, prefer=Preferences(fair_shares=True)))
    assert value(plan_one(case), "new tuples") == 5
