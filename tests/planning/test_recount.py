"""What a plan tells of itself is counted on its seats: also where learners were planned one after the other, and where
the search was cut short. The auditor counts with other code."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.audit import audit
from genplan.case import SolverLimits
from genplan.case.dated_facts import in_week
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, plan_one
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with


def planned(seed: int, work: float, companions: bool) -> Plan:
    case = random_case(seed, learners=2 + seed % 2, targets=2, adults=3, locations=2, sets=2, oddity=0.5)
    policy = replace(case.policy, solver=SolverLimits(work_per_stage=work), accompany_new_adults=companions)
    case = replace(case, policy=policy)
    log, now = random_log(case, seed, 3), now_of(case)
    plan = plan_one(case, log, now=now)
    assert audit(in_week(case, WEEK), log, plan, {}) == ()
    return plan


@pytest.mark.parametrize("work", [0.001, 20])
@pytest.mark.parametrize("seed", by_day_the_first(range(6), 3))
def test_in_turns_and_cut_short(seed: int, work: float, monkeypatch: pytest.MonkeyPatch) -> None:
    search_with(monkeypatch, "caseload", joint_variables=0)
    planned(seed, work, companions=bool(seed % 3))


@pytest.mark.parametrize("seed", by_day_the_first(range(4), 2))
def test_together(seed: int) -> None:
    planned(seed, 0.001, companions=bool(seed % 2))


@pytest.mark.parametrize("variables", [0, 4000])
def test_with_nothing_new_there_is_nothing_to_share(variables: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two learners who are owed a retest each."""
    search_with(monkeypatch, "caseload", joint_variables=variables)
    skills = [skill(name, learner, sets=name) for name, learner in (("a", "robin"), ("b", "wren"))]
    case = monday_case({"robin": monday(60), "wren": monday(60)}, {"ann": monday(60)}, *skills)
    rows = [
        Result(
            line=line,
            date=date(2026, 11, 2 + n),
            time=None,
            target=s.id,
            kind=kind,
            combination=("ann", "home", s.id),
            trials=counts[0],
            correct=counts[1],
        )
        for line, (n, s, kind, counts) in enumerate(
            (n, s, kind, counts)
            for s in skills
            for n, kind, counts in ((0, ResultKind.PROBE, (5, 0)), (1, ResultKind.TEACHING, (None, None)))
        )
    ]
    log = Log.of(rows)
    plan = plan_one(case, log)
    assert audit(case, log, plan, {}) == ()
    (shares,) = [o for o in plan.objectives if o.name == "shares"]
    assert (shares.value, shares.bound, len(plan.sittings)) == (0, 0, 2)
    assert plan.alone == {"robin": 0, "wren": 0}


NOT_RUN = Result(
    line=2,
    date=date(2026, 11, 27),
    time=None,
    target="a",
    kind=ResultKind.NOT_RUN,
    combination=("bob", "home", "set-a"),
    trials=None,
    correct=None,
)


def test_what_fell_through_of_a_skill_that_nobody_can_run_is_missed_in_every_week() -> None:
    away, there = skill("a", "robin", adult="bob"), skill("b", "robin")
    case = monday_case({"robin": monday(60)}, {"ann": monday(60), "bob": monday(0)}, away, there)
    for skills in ((away,), (away, there)):
        changed = replace(case, targets={t.id: t for t in skills})
        plan = plan_one(changed, Log.of([NOT_RUN]))
        assert audit(changed, Log.of([NOT_RUN]), plan, {}) == ()
        (missed,) = [o for o in plan.objectives if o.name == "fell through"]
        assert (missed.value, missed.bound) == (1, 1)


@pytest.mark.parametrize("variables", [0, 4000])
def test_so_it_is_of_several_learners_and_what_comes_after_it_is_proven(
    variables: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=variables)
    skills = [skill("a", "robin", adult="bob"), skill("b", "robin"), skill("c", "wren")]
    hours = {"ann": monday(120), "bob": monday(0)}
    case = monday_case({"robin": monday(60), "wren": monday(60)}, hours, *skills)
    plan = plan_one(case, Log.of([NOT_RUN]))
    assert audit(case, Log.of([NOT_RUN]), plan, {}) == ()
    known = {o.name.value: (o.value, o.bound) for o in plan.objectives}
    assert [known[name] for name in ("fell through", "sittings", "probes")] == [(1, 1), (2, 2), (2, 2)]
