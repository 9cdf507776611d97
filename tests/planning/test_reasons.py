"""What is left out has one true reason: the innocent, the limit and the near miss of each kind."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Adult, LearnerLimits, WeeklyHours
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan, ProbeKind
from genplan.text.limits import limit_sentence
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import NOW, hours, plan_one, product_case, with_learner
from tests.fixtures.random_cases import random_case, random_log


def rules(plan: Plan) -> set[str]:
    return {item.rule for item in plan.left_out}


def test_nothing_is_left_out_of_a_week_with_time_for_all() -> None:
    # 2x2x2 pairs take 4 probes, and the policy allows 4 a week
    assert plan_one(product_case((2, 2, 2))).left_out == ()


def test_the_probes_of_a_week_are_used_up() -> None:
    plan = plan_one(product_case((2, 2, 2), a_week=3))
    assert rules(plan) == {"target and week"}
    assert sum(item.tuples for item in plan.left_out) == sum(c.open for c in plan.coverage)


def test_an_adult_without_hours_is_named_and_the_other_is_not() -> None:
    case = product_case((2, 2, 2))
    gone = Adult(id="a0-0", name="Ann", free=WeeklyHours.never())
    plan = plan_one(replace(case, adults={**case.adults, "a0-0": gone}))
    case = replace(case, adults={**case.adults, "a0-0": gone})
    assert {limit_sentence(case, item.limit) for item in plan.left_out} == {
        "Ann is not free this week for the 10 minutes it takes"
    }
    # 2 places and 2 sets with Ann: 4 pairs hold her and nothing else is left out
    assert [item.tuples for item in plan.left_out] == [1] * 4


def test_the_limit_of_a_day_is_told_when_days_are_few() -> None:
    case = with_learner(
        product_case((3, 3, 3), a_day=3),
        free=hours((9, 17), None),
        limits=LearnerLimits(probes_per_day=1),
    )
    plan = plan_one(case)
    assert rules(plan) == {"probes of a day"}


def test_a_failure_waits_for_teaching_and_then_is_probed_again() -> None:
    case = product_case((2, 2, 2))
    combination = case.targets["skill"].combinations()[0]
    failed = Result(
        line=2,
        date=date(2026, 11, 20),
        time=None,
        target="skill",
        kind=ResultKind.PROBE,
        combination=combination,
        trials=5,
        correct=1,
    )
    waiting = plan_one(case, Log.of([failed]))
    assert [i.rule for i in waiting.left_out if i.kind is ProbeKind.RETEST] == ["teaching"]
    taught = Result(
        line=3,
        date=date(2026, 11, 21),
        time=None,
        target="skill",
        kind=ResultKind.TEACHING,
        combination=combination,
    )
    again = plan_one(case, Log.of([failed, taught]))
    assert [p.kind for s in again.sittings for p in s.probes if p.combination == combination] == ["retest"]


@pytest.mark.parametrize("seed", by_day_the_first(range(20), 8))
def test_every_reason_is_a_sentence_and_every_open_tuple_has_one(seed: int) -> None:
    case = random_case(seed, learners=1 + seed % 2, oddity=0.5)
    plan = plan_one(case, random_log(case, seed), now=NOW.replace(tzinfo=case.timezone))
    assert all(
        limit_sentence(case, item.limit).strip() and item.rule and (item.values or item.due)
        for item in plan.left_out
    )
    assert sum(item.tuples for item in plan.left_out) == sum(c.open for c in plan.coverage)
    assert "less urgent" not in rules(plan) or any(o.value for o in plan.objectives if o.name == "due")


def _why_no_maintenance(*rows: tuple[date, ResultKind, bool], taught: bool = False, may: bool = True) -> str:
    """What is said of the maintenance probe of a target with one combination: rows of it, each met or not; whether
    `taught` names it, and whether it may still be run."""
    case = product_case((1, 1, 1), mastered_on=date(2026, 11, 2), maintenance_days=(28,))
    (target,) = case.targets.values()
    (values,) = target.combinations()
    named = dict(zip(target.dimension_names, values, strict=True))
    changed = replace(target, taught=(named,) if taught else (), never=() if may else (named,))
    case = replace(case, targets={"skill": changed})
    log = Log.of(
        Result(
            line=line,
            date=day,
            time=None,
            target="skill",
            kind=kind,
            combination=values,
            trials=5,
            correct=5 if met else 0,
        )
        for line, (day, kind, met) in enumerate(rows, 2)
    )
    found = [x for x in plan_one(case, log, now=NOW).left_out if x.kind is ProbeKind.MAINTENANCE]
    return ", ".join(limit_sentence(case, x.limit) for x in found)


def test_why_there_is_nothing_to_repeat() -> None:
    november = [date(2026, 11, day) for day in (16, 24, 25, 27)]
    met, failed = (november[0], ResultKind.PROBE, True), (november[3], ResultKind.PROBE, False)
    lessons = [(day, ResultKind.TEACHING, True) for day in november[1:3]]
    assert _why_no_maintenance(taught=True) == ""  # the innocent: what `taught` names is repeated
    assert _why_no_maintenance(met) == ""
    assert _why_no_maintenance() == "nothing counts as taught or met yet, so there is nothing to repeat"
    lost = (
        "what was met or taught was not met any more on 2026-11-27, and nothing else that can be run is met: there is"
        " nothing to repeat until something is met again"
    )
    assert _why_no_maintenance(met, *lessons, failed, taught=True) == lost
    assert _why_no_maintenance(met, failed) == lost
    assert _why_no_maintenance(failed, taught=True) == lost
    # never met and named nowhere: nothing was lost
    assert _why_no_maintenance(failed) == "nothing counts as taught or met yet, so there is nothing to repeat"
    nothing = "nothing that can be run is met, so there is nothing to repeat"
    assert _why_no_maintenance(met, may=False) == nothing
    assert _why_no_maintenance(*lessons) == nothing
    assert _why_no_maintenance(taught=True, may=False) == (
        "what was taught is not possible as the case stands ('genplan check' says why), and nothing else that can be"
        " run is met, so there is nothing to repeat"
    )
