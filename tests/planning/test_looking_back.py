"""Fairness over several weeks: what was had in the weeks before counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from random import Random

import pytest

from genplan.audit import audit
from genplan.case import Case, Preferences
from genplan.case.dated_facts import in_week
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan, Probe, ProbeKind, Sitting, ToldLately, WeeksBefore
from genplan.planning.looking_back import weeks_before
from tests.fixtures.looked_back import told_lately
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, ZONE, plan_one
from tests.fixtures.random_cases import random_case, random_log
from tests.fixtures.search_settings import search_with

FAIR = Preferences(fair_shares=True)


def two_adults(weeks: int) -> Case:
    """One probe of ten minutes, with Ann or with Ben, who have an hour each."""
    hours = {"ann": monday(60), "ben": monday(60)}
    case = monday_case({"wren": monday(60)}, hours, skill("zip", "wren", "ann ben", sets="coat"))
    policy = replace(case.policy, prefer=FAIR, probes_per_target_per_week=1, fair_over_weeks=weeks)
    return replace(case, policy=policy)


def told(adult: str, minutes: int, day: int = 25, *, cancelled: bool = False) -> ToldLately:
    start = datetime(2026, 11, day, 9, tzinfo=ZONE)
    probe = Probe(
        target="zip", combination=(adult, "home", "coat"), kind=ProbeKind.RETEST, trials=5, new_tuples=0
    )
    sitting = Sitting(
        id=f"{adult}-{day}",
        learner="wren",
        adult=adult,
        location="home",
        start=start,
        end=start + timedelta(minutes=minutes),
        probes=(probe,),
    )
    return ToldLately(sitting, cancelled)


def row(day: int, target: str, combination: tuple[str, ...], kind: ResultKind = ResultKind.PROBE) -> Result:
    counts = {"trials": 5, "correct": 5} if kind.is_probe else {}
    return Result(
        line=2,
        date=date(2026, 11, day),
        time=None,
        target=target,
        kind=kind,
        combination=combination,
        **counts,
    )


def loads(plan: Plan) -> tuple[float, float]:
    return next((o.value, o.bound) for o in plan.objectives if o.name == "loads")


@pytest.mark.parametrize(("had", "asked"), [("ann", "ben"), ("ben", "ann")])
def test_who_had_much_in_the_week_before_is_spared(had: str, asked: str) -> None:
    case, lately = two_adults(2), (told(had, 40),)
    plan = plan_one(case, lately=lately)
    assert [s.adult for s in plan.sittings] == [asked]
    assert loads(plan) == (7, 7)  # 40 of 60 minutes are 6.7 tenths, the other's 10 are 1.7
    assert plan.before == WeeksBefore(1, {had: 40}, {})
    assert audit(case, NOTHING_RUN, plan, {}, (), lately) == ()


def test_one_week_alone_is_planned_as_ever() -> None:
    case = two_adults(1)
    plan = plan_one(case)
    assert plan_one(case, lately=(told("ann", 40),)) == plan
    assert plan.before == WeeksBefore()


def test_what_the_auditor_counts_otherwise_is_said() -> None:
    case, lately = two_adults(2), (told("ann", 40),)
    plan = replace(plan_one(case, lately=lately), before=WeeksBefore(2, {"ann": 30}, {"wren": 1}))
    complaints = audit(case, NOTHING_RUN, plan, {}, (), lately)
    assert "Fairness is told to look back at 2 weeks, and the policy says 1." in complaints
    assert "Adult ann: 30 minutes are told of the weeks before, and it is 40." in complaints
    assert "Learner wren: 1 new tuples are told of the weeks before, and it is 0." in complaints


@pytest.mark.parametrize(("had", "first"), [("robin", "wren"), ("wren", "robin")])
def test_the_child_that_had_less_comes_first(had: str, first: str) -> None:
    """Ann has time for one of two children, each with a skill of two combinations."""
    skills = [skill(f"zip-{i}", i, sets=f"red-{i} tan-{i}") for i in ("robin", "wren")]
    case = monday_case({"robin": monday(10), "wren": monday(10)}, {"ann": monday(10)}, *skills)
    case = replace(case, policy=replace(case.policy, fair_over_weeks=2, maintenance_days=()))
    log = Log.of([row(25, f"zip-{had}", ("ann", "home", f"red-{had}"))])
    plan = plan_one(case, log)
    assert [s.learner for s in plan.sittings] == [first]
    assert plan.before.tuples == {had: 1}
    # the one has one of the two that it could have by now, the other one of one
    assert next(o.value for o in plan.objectives if o.name == "shares") == 0.5
    assert audit(case, log, plan, {}) == ()


def test_what_counts_of_the_weeks_before() -> None:
    """Of Ann's three told sittings one was not run and one was cancelled; Ben's was not told. Two weeks are looked at:
    what was told or run three weeks before counts for nothing."""
    case = two_adults(3)
    lately = (told("ann", 20, 17), told("ann", 30, 18), told("ann", 40, 24, cancelled=True))
    combination = ("ann", "home", "coat")
    rows = [
        row(18, "zip", combination, ResultKind.NOT_RUN),
        row(19, "zip", ("ben", "home", "coat")),
        row(11, "zip", combination),
    ]
    found = weeks_before(case, Log.of(rows), WEEK, (*lately, told("ann", 50, 11)), NOW)
    assert found == WeeksBefore(2, {"ann": 20, "ben": 10}, {"wren": 1})


@pytest.mark.parametrize("seed", range(3))
def test_of_many_planned_in_turns_the_auditor_counts_the_same(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=0)
    case = random_case(seed, learners=2, targets=2, adults=3, locations=2, sets=2, oddity=0.3)
    case = replace(case, policy=replace(case.policy, prefer=FAIR, fair_over_weeks=3))
    log, lately = random_log(case, seed, 3), told_lately(Random(seed), case)
    plan = plan_one(case, log, lately=lately)
    assert plan.before.minutes
    assert audit(in_week(case, WEEK), log, plan, {}, (), lately) == ()
