"""A machine on which no helper process comes to life: a command says so, and never looks as if it had succeeded."""

from __future__ import annotations

import errno
import multiprocessing
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import forkserver, resource_tracker
from pathlib import Path

import pytest

from genplan.cli import main, output
from genplan.errors import FileError, SolverError
from genplan.fence import run_fenced
from genplan.planning import solver_pool
from tests.fixtures.fake_workflow import FakeWorkflow
from tests.fixtures.places import EXAMPLES

pytestmark = pytest.mark.usefixtures("cold_solvers")

WEEK = ("--week", "2026-W49", "--now", "2026-11-29T12:00")
OWN_POOL = solver_pool.process_pool
"""The program's own: other tests share one whose processes run already."""


@contextmanager
def children_run(program: str) -> Iterator[None]:
    from multiprocessing.spawn import get_executable

    before = get_executable()
    forkserver._forkserver._stop()  # one that still runs would need no program
    multiprocessing.set_executable(program)
    try:
        yield
    finally:
        multiprocessing.set_executable(before)


@pytest.fixture(params=["no-such-program", "not-executable", "ends-in-a-moment"])
def program(request: pytest.FixtureRequest, another_thread: None, tmp_path: Path) -> str:
    path = tmp_path / str(request.param)
    if request.param == "not-executable":
        path.write_text("", "utf-8")
    if request.param == "ends-in-a-moment":
        path.write_text("#!/bin/sh\nsleep 0.05\n", "utf-8")
        path.chmod(0o755)
    return str(path)


def test_a_plan_whose_solver_cannot_start_is_an_error_with_a_sentence(
    program: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(solver_pool, "process_pool", OWN_POOL)
    out = tmp_path / "out"
    with children_run(program):
        assert main(["plan", str(EXAMPLES / "family"), *WEEK, "--out", str(out)]) == SolverError.exit_code
    shown, said = capsys.readouterr()
    assert shown == ""
    assert "The solver's process " in said
    assert "No plan was written." in said
    assert not out.exists()


def test_processes_that_wait_for_work_and_cannot_start_are_told_to_who_asks(program: str) -> None:
    with children_run(program), solver_pool.ready_pool():
        for _ in range(2):
            with (
                pytest.raises(SolverError, match="No plan was written"),
                OWN_POOL() as pool,
            ):
                pool.submit(abs, -1).result()
    with OWN_POOL(1) as pool:
        assert pool.submit(abs, -1).result() == 1


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no process is a fork")
def test_a_program_that_cannot_be_forked_is_the_same_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def full() -> int:
        raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))

    monkeypatch.setattr(solver_pool, "method", lambda: "fork")  # other tests may have left threads
    monkeypatch.setattr(os, "fork", full)
    for _ in range(2):
        with (
            pytest.raises(SolverError, match=r"could not be started.*No plan was written"),
            OWN_POOL(1) as pool,
        ):
            pool.submit(abs, -1).result()
    monkeypatch.undo()
    with OWN_POOL(1) as pool:
        assert pool.submit(abs, -1).result() == 1


@pytest.mark.usefixtures("another_thread")
@pytest.mark.skipif(os.name != "posix", reason="file numbers are handed on to a process on POSIX only")
def test_a_file_number_that_is_taken_again_while_a_process_starts_is_the_same_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As where the process that tidies up after the others died, and another start has closed its pipe meanwhile."""

    def closed() -> int:
        ends = os.pipe()
        for end in ends:
            os.close(end)
        return ends[1]  # the next pipe is the new process's own, and its second end is handed on too

    monkeypatch.setattr(solver_pool, "process_pool", OWN_POOL)
    monkeypatch.setattr(resource_tracker, "getfd", closed)
    out = tmp_path / "out"
    assert main(["plan", str(EXAMPLES / "family"), *WEEK, "--out", str(out)]) == SolverError.exit_code
    shown, said = capsys.readouterr()
    assert shown == ""
    assert "The solver's process could not be started, or ended as soon as it was" in said
    assert "No plan was written." in said
    assert not out.exists()


@pytest.mark.parametrize("program", ["no-such-program", "not-executable"], indirect=True)
def test_a_reader_of_files_that_cannot_start_is_a_sentence(
    program: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", program)
    with pytest.raises(FileError, match="could not be started"):
        run_fenced("genplan.casefile.busy_child", given=b"", seconds=1)


def test_only_our_own_output_that_is_closed_is_no_error(
    workflow: FakeWorkflow, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    workflow.raises = BrokenPipeError(32, "Broken pipe")
    assert main(["plan", "case"]) == FileError.exit_code
    assert "Broken pipe" in capsys.readouterr().err

    workflow.raises = None

    def closed(*_: object, **__: object) -> None:
        raise BrokenPipeError(32, "Broken pipe")

    monkeypatch.setattr(output, "one_line", closed)
    assert main(["check", "case"]) == 0
