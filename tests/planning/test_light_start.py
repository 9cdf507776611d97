"""A solver process loads the solver without pandas, and pandas can be had there all the same."""

from __future__ import annotations

import sys

import pytest

from genplan.planning.jobs import load_solver, process_pool

pytestmark = pytest.mark.usefixtures("cold_solvers")


def what_is_loaded() -> tuple[bool, bool, int]:
    load_solver()
    before = "pandas" in sys.modules
    import pandas

    return "ortools.sat.python.cp_model" in sys.modules, before, len(pandas.DataFrame({"n": [1, 2]}))


def test_a_solver_process_does_without_pandas() -> None:
    with process_pool(1) as pool:
        assert pool.submit(what_is_loaded).result() == (True, False, 2)
