"""What was run in the running week without being planned counts against the policy's probes of a target."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from genplan.audit import audit
from genplan.case import Case, Policy
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan
from genplan.rules.limits import Kind, Limit
from tests.fixtures.planning_cases import NOW, WEEK, plan_one, product_case

TUESDAY = NOW + timedelta(days=2)


def case_of(a_week: int = 4, a_day: int = 1) -> Case:
    """One adult and place, six sets; each is one tuple."""
    return product_case((1, 1, 6), cover="all", a_week=a_week, a_day=a_day)


def run(day: int, material: int, at: int | None = None) -> Result:
    """A probe that was met, on a day of the week (0 is Monday)."""
    return Result(
        line=10 * day + material + 2,
        date=WEEK.monday + timedelta(days=day),
        time=None if at is None else time(at),
        target="skill",
        kind=ResultKind.PROBE,
        combination=("a0-0", "l1-0", f"m2-{material}"),
        trials=5,
        correct=5,
    )


def days_ahead(plan: Plan) -> list[date]:
    return [s.start.date() for s in plan.sittings if not s.begun for _ in s.probes]


@pytest.mark.parametrize(
    ("rows", "a_week", "ahead"),
    [
        ([], 3, 3),
        ([run(0, 0)], 3, 2),
        ([run(0, 0), run(0, 1), run(1, 2)], 3, 0),
        ([run(0, 0), run(0, 1), run(0, 2), run(1, 3)], 3, 0),
        ([run(-1, 0), run(-2, 1)], 3, 3),  # of the week before
        ([run(0, 0), replace(run(0, 0), line=99)], 3, 2),  # one corrects the other
        ([run(0, 0, 9), run(0, 0, 15)], 3, 1),
    ],
)
def test_what_was_run_leaves_fewer_of_the_week(rows: list[Result], a_week: int, ahead: int) -> None:
    case, log = case_of(a_week), Log.of(rows)
    plan = plan_one(case, log, now=TUESDAY)
    assert len(days_ahead(plan)) == ahead
    assert audit(case, log, plan, {}) == ()
    if ahead == 0:
        assert {item.limit for item in plan.left_out} == {Limit(Kind.TARGET_WEEK, figure=a_week)}


def test_a_day_on_which_it_was_run_has_none() -> None:
    case = replace(case_of(), policy=Policy(days=(0, 1)))
    log = Log.of([run(1, 0)])
    plan = plan_one(case, log, now=TUESDAY)
    assert days_ahead(plan) == []
    assert {item.limit for item in plan.left_out} == {Limit(Kind.TARGET_DAY, figure=1)}
    assert len(days_ahead(plan_one(case, Log(), now=TUESDAY))) == 1


def test_what_the_kept_plan_holds_is_counted_once() -> None:
    """Monday's probe was planned and is written down; another on Monday was not planned."""
    kept = plan_one(replace(case_of(), policy=Policy(days=(0,)))).sittings
    ((own,),) = [s.probes for s in kept]
    material = int(own.combination[2][-1])
    case = case_of()
    for rows, ahead in (
        ([], 3),
        ([run(0, material)], 3),
        ([run(0, material), run(0, (material + 1) % 6)], 2),
    ):
        plan = plan_one(case, Log.of(rows), now=TUESDAY, kept=kept)
        assert len(days_ahead(plan)) == ahead
        assert audit(case, Log.of(rows), plan, {}, kept) == ()


def test_the_auditor_counts_what_was_run_too() -> None:
    case = case_of(3, 1)
    plan = plan_one(case, Log(), now=TUESDAY)
    day = days_ahead(plan)[0]
    wrong = audit(case, Log.of([run((day - WEEK.monday).days, 5)]), plan, {})
    assert any(f"2 probes of skill on {day} are over the limit" in c for c in wrong)
    assert any("4 probes of skill in the week are over the limit" in c for c in wrong)
