"""A search with next to no time: a whole plan comes out whatever the limit, with bounds that are true."""

from __future__ import annotations

from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from genplan.audit import audit
from genplan.case import SolverLimits
from genplan.errors import SolverError
from genplan.planning.solver.search import search
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import plan_one
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with

LITTLE = (0.0001, 0.01, 0.1)


@pytest.mark.parametrize(("targets", "sets", "turns"), by_day_the_first([(2, 2, 0), (3, 3, 0), (3, 3, 4000)]))
def test_a_plan_comes_out_whatever_the_limit(
    targets: int, sets: int, turns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = random_case(
        2, learners=3, targets=targets, adults=targets + 1, locations=sets, sets=sets, staff=2, oddity=0.3
    )
    log, now = random_log(case, 2), now_of(case)
    best = plan_one(case, log, now=now)
    search_with(monkeypatch, "caseload", joint_variables=turns)
    for work in LITTLE:
        limited = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=work)))
        plan = plan_one(limited, log, now=now)
        assert audit(limited, log, plan, {}, ()) == ()
        first, proven = plan.objectives[0], best.objectives[0]
        assert first.value <= proven.bound <= first.bound
        assert plan.repeatable


def chosen_of_ten(most: int) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    """As many of ten as possible, at most `most`, worth 2 each and 5 beside."""
    model = cp_model.CpModel()
    chosen = [model.new_bool_var("") for _ in range(10)]
    model.add(sum(chosen) <= most)
    model.maximize(2 * sum(chosen) + 5)
    return model, chosen


def test_without_work_the_hints_are_the_answer() -> None:
    model, chosen = chosen_of_ten(3)
    for index, var in enumerate(chosen):
        model.add_hint(var, index < 2)
    found = search(model, 0.0)
    assert [found.solver.value(var) for var in chosen] == [1, 1] + [0] * 8
    assert found.bound == 2 * 10 + 5  # all ten, since nothing was searched


def test_without_work_and_with_hints_that_do_not_hold_nothing_is_chosen() -> None:
    model, chosen = chosen_of_ten(3)
    for var in chosen:
        model.add_hint(var, 1)
    assert sum(search(model, 0.0).solver.value(var) for var in chosen) == 0


def test_a_model_that_nothing_satisfies_is_a_fault_of_the_program() -> None:
    model, chosen = chosen_of_ten(3)
    model.add(sum(chosen) >= 4)
    with pytest.raises(SolverError, match="a fault of the program"):
        search(model, 1.0)
