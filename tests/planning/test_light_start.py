"""A solver process loads the solver without pandas, and pandas can be had there all the same."""

from __future__ import annotations

import pickle
import subprocess
import sys

import pytest

from genplan.evidence.log import Log
from genplan.plan import COVERAGE
from genplan.planning.jobs import SolveJob, load_solver, process_pool, run_solve
from genplan.planning.week_context import week_context_of
from tests.fixtures.random_cases import WEEK, now_of, random_case

pytestmark = pytest.mark.usefixtures("cold_solvers")


def what_is_loaded() -> tuple[bool, bool, int]:
    load_solver()
    before = "pandas" in sys.modules
    import pandas

    return "ortools.sat.python.cp_model" in sys.modules, before, len(pandas.DataFrame({"n": [1, 2]}))


def test_a_solver_process_does_without_pandas() -> None:
    with process_pool(1) as pool:
        assert pool.submit(what_is_loaded).result() == (True, False, 2)


def test_an_answer_can_be_read_without_the_solver() -> None:
    """Else whoever hands out the jobs loads it with the first answer, and pandas with it."""
    case = random_case(1, learners=1, targets=2, adults=3, locations=2, sets=2, staff=2)
    load = week_context_of(case, Log(), WEEK, now_of(case), {}, ()).caseload
    job = SolveJob(problem=load.problem(load.learners, (), {}), goals=load.objectives(*COVERAGE))
    answer = run_solve(job)
    assert answer.seconds
    assert answer.work
    read = "import pickle, sys; pickle.load(sys.stdin.buffer); print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", read], input=pickle.dumps(answer), capture_output=True, check=True
    ).stdout.split()
    assert b"genplan.planning.outcome" in loaded
    assert not {b"ortools", b"pandas"}.intersection(loaded)
