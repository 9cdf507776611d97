"""The solver's processes killed, interrupted, crashed: a person gets a sentence, and no half-written folder."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from genplan.errors import SolverError
from genplan.planning.jobs import process_pool

EXAMPLES = Path(__file__).parents[2] / "examples"


AS_FROM_A_TERMINAL = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background may have inherited 'ignore'
from genplan.cli import main
if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
"""


def kill_myself(_: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def double(number: int) -> int:
    return 2 * number


def test_a_worker_that_is_killed_reads_as_a_sentence() -> None:
    with pytest.raises(SolverError, match="No plan was written"), process_pool(1) as pool:
        pool.submit(kill_myself, 1).result()


def test_a_pool_works_and_an_error_of_our_own_passes_unchanged() -> None:
    with process_pool(1) as pool:
        assert list(pool.map(double, [1, 2])) == [2, 4]
    with pytest.raises(ZeroDivisionError), process_pool(1):
        _ = 1 // 0


@pytest.mark.skipif(os.name != "posix", reason="signals to a process group are POSIX")
def test_ctrl_c_ends_with_a_sentence_and_writes_nothing(tmp_path: Path) -> None:
    out = tmp_path / "out"
    words = [
        "plan",
        str(EXAMPLES / "caseload"),
        "--week",
        "2026-W49",
        "--now",
        "2026-11-29T12:00",
        "--out",
        str(out),
    ]
    process = subprocess.Popen(
        [sys.executable, "-c", AS_FROM_A_TERMINAL, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stderr is not None
    first = process.stderr.readline()  # the search has begun
    while "alone" not in first:
        first = process.stderr.readline()
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in said
    assert not out.exists()
