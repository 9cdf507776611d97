"""How large a search would be is known without searching: the very number of variables that it then has."""

from __future__ import annotations

from dataclasses import replace

from genplan.audit.minutes import WEEK as MINUTES
from genplan.audit.minutes import only, stretches
from genplan.planning.alone import plan_alone, size_alone
from genplan.planning.jobs import Workers
from genplan.planning.week_context import week_context_of
from tests.fixtures.planning_cases import Inline
from tests.fixtures.random_cases import WEEK, now_of, random_case, random_log


def test_the_size_is_that_of_the_models_that_are_searched() -> None:
    case = random_case(3, learners=2, targets=1, adults=2, locations=2, sets=1)
    little = replace(case.policy, solver=replace(case.policy.solver, work_per_stage=0.01))
    case = replace(case, policy=little)
    load = week_context_of(case, random_log(case, 3), WEEK, now_of(case), {}, ()).caseload
    workers = Workers(Inline(), lambda _: None)
    searched = sum(o.variables for o in plan_alone(load, workers).values())
    assert size_alone(load, workers) == searched > 0


def test_what_is_counted_is_never_more_than_the_models_have() -> None:
    workers, counts = Workers(Inline(), lambda _: None), []
    for seed in range(12):
        case = random_case(seed, learners=1 + seed % 3, targets=1 + seed % 2)
        load = week_context_of(case, random_log(case, seed), WEEK, now_of(case), {}, ()).caseload
        size, counted = size_alone(load, workers), size_alone(load, workers, most=0)
        assert counted <= size
        assert size_alone(load, workers, most=size) == size
        counts.append(counted)
    assert sum(n > 50 for n in counts) > 3, "so few variables say nothing"


def test_a_stretch_of_the_auditor_ends_at_midnight() -> None:
    assert list(stretches(only(1430, 1450))) == [(1430, 1440), (1440, 1450)]
    assert list(stretches(only(0, 0))) == []
    assert list(stretches(only(MINUTES - 5, MINUTES))) == [(MINUTES - 5, MINUTES)]
