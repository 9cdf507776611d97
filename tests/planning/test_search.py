"""The search for a caseload: whole without any one of its operators, the same with any number of processes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from genplan.audit import audit
from genplan.case import Case, SolverLimits
from genplan.evidence.log import Log
from genplan.plan import COVERAGE
from genplan.planning import caseload
from genplan.planning.alone import plan_alone, proven_of
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.planner import plan_week
from genplan.planning.search.operators import OPERATORS
from genplan.planning.solver_pool import process_pool
from genplan.planning.week_context import week_context_of
from genplan.report.document import plan_json
from tests.fixtures.planning_cases import NOW, WEEK, Inline
from tests.fixtures.random_cases import random_case, random_log
from tests.fixtures.search_settings import search_with


@pytest.fixture
def scarce(monkeypatch: pytest.MonkeyPatch) -> tuple[Case, Log]:
    """Four learners who all want the same two of the adults, and may have a few hours of them."""
    search_with(monkeypatch, "caseload", joint_variables=0)
    case = random_case(4, learners=4, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    policy = replace(case.policy, solver=SolverLimits(work_per_stage=0.5))
    return replace(case, policy=policy), random_log(case, 4)


def planned(case: Case, log: Log, executor: Any = None) -> Any:
    now = NOW.replace(tzinfo=case.timezone)
    return plan_week(case, log, WEEK, now, {}, (), executor or Inline(), lambda _: None)


@pytest.mark.parametrize("left_out", [o.name for o in OPERATORS])
def test_the_week_is_whole_without_any_operator(
    left_out: str, scarce: tuple[Case, Log], monkeypatch: pytest.MonkeyPatch
) -> None:
    case, log = scarce
    others = tuple(o for o in OPERATORS if o.name != left_out)
    assert len(others) == len(OPERATORS) - 1
    monkeypatch.setattr(caseload, "OPERATORS", others)
    found = planned(case, log)
    assert audit(case, log, found.plan, {}) == ()
    assert {s.learner for s in found.plan.sittings} == set(case.learners)
    assert left_out not in {step["step"] for step in found.steps}
    assert not [o for o in found.plan.left_out if o.rule == "less urgent"]


def test_the_number_of_processes_decides_nothing(scarce: tuple[Case, Log], nightly: bool) -> None:
    """By day two; three are in `properties/test_search_bytes.py`."""
    case, log = scarce
    usual = plan_json(case, planned(case, log).plan)
    for processes in (1, 2, 3) if nightly else (2,):
        with process_pool(processes) as pool:
            assert plan_json(case, planned(case, log, pool).plan) == usual


def test_each_step_says_how_it_went(scarce: tuple[Case, Log]) -> None:
    found = planned(*scarce)
    steps = {str(step["step"]): step for step in found.steps}
    assert {"needs and openings", "search", "alone", "reasons"} <= steps.keys()
    assert {o.name for o in OPERATORS} <= steps.keys()
    assert steps["alone"]["searches"] == steps["finishing"]["tried"] == 4
    assert steps["in turn"]["tried"] == steps["in turn"]["accepted"] == 4
    alone: Any = steps["alone"]
    assert 0 < alone["cpu"] <= steps["search"]["cpu"]  # type: ignore[operator]
    assert sum(stage["work"] for stage in alone["stages"].values()) > 0
    whole = sum(s for name, s in found.seconds.items() if not name.startswith("stage "))
    assert found.seconds["search"] <= whole
    assert "alone" not in found.seconds


def test_what_is_proven_of_the_start_is_not_searched_for_and_changes_nothing(
    scarce: tuple[Case, Log],
) -> None:
    case, log = scarce
    load = week_context_of(case, log, WEEK, NOW.replace(tzinfo=case.timezone), {}, ()).caseload
    outcomes = plan_alone(load, Workers(Inline(), lambda _: None))
    proven = {i: o for i, o in outcomes.items() if o.shows_the_most}
    assert proven
    for learner, alone in proven.items():
        problem = replace(load.problem((learner,), (), {}), proven=proven_of([alone], 1))
        job = SolveJob(problem=problem, goals=load.objectives(*COVERAGE), start=alone.seats)
        again = run_solve(job)
        assert again.seats == alone.seats
        assert [(o.name, o.value, o.bound) for o in again.objectives] == [
            (o.name, o.value, o.bound) for o in alone.objectives if o.name in COVERAGE
        ]
        assert not again.seconds
