"""A solver process loads the solver without pandas, and pandas can be had there all the same."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from genplan.planning.solver_pool import load_solver, process_pool
from tests.fixtures.places import ROOT
from tests.fixtures.random_cases import random_case, random_log, write_case

pytestmark = pytest.mark.usefixtures("cold_solvers")


def what_is_loaded() -> tuple[bool, bool, int]:
    load_solver()
    before = "pandas" in sys.modules
    import pandas

    return "ortools.sat.python.cp_model" in sys.modules, before, len(pandas.DataFrame({"n": [1, 2]}))


@pytest.mark.usefixtures("another_thread")
def test_a_solver_process_does_without_pandas() -> None:
    with process_pool(1) as pool:
        assert pool.submit(what_is_loaded).result() == (True, False, 2)


SEARCHED = """
import sys
from genplan.planning.solver_pool import load_solver, process_pool
from tests.planning.test_light_start import what_is_loaded
if __name__ == "__main__":
    with process_pool(1) as pool:
        before = "ortools" in sys.modules
        print(before, pool.submit(what_is_loaded).result(), "ortools" in sys.modules, "pandas" in sys.modules)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no process is a fork")
def test_a_program_without_threads_loads_the_solver_once_it_has_work_for_it(tmp_path: Path) -> None:
    assert run_alone(SEARCHED, tmp_path).stdout == "False (True, False, 2) True False\n"


def run_alone(program: str, there: Path, *words: str) -> subprocess.CompletedProcess[str]:
    file = there / "program.py"
    file.write_text(program, "utf-8")
    return subprocess.run(
        [sys.executable, str(file), *words],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


PLANNED = """
if __name__ == "__main__":
    import sys
    from threading import Event, Thread
    from genplan.cli import main
    Thread(target=Event().wait, daemon=True).start()
    assert main() == 0
    print("LOADED", *sorted({"numpy", "ortools", "pandas"} & sys.modules.keys()))
"""


def test_whoever_plans_and_writes_loads_neither_solver_nor_frames(tmp_path: Path) -> None:
    """As a page does, or a program of which no fork may be made. A value of a class of the solver's room among the
    answers would load all of it in the process that waits."""
    drawn = random_case(7)
    case = write_case(drawn, tmp_path / "case", random_log(drawn, 7))
    now, out = "2026-11-29T12:00", tmp_path / "out"
    words = ("plan", str(case), "--week", "2026-W49", "--now", now, "--out", str(out))
    done = run_alone(PLANNED, tmp_path, *words)
    assert [line.split() for line in done.stdout.splitlines() if line.startswith("LOADED")] == [["LOADED"]]
    steps = json.loads((out / "run.json").read_text("utf-8"))["steps"]
    assert any(step["stages"] for step in steps), "nothing was searched for, so no answer came back"
