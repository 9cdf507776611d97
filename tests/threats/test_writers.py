"""Results by many writers at once, and by writers that are killed at any moment: no row that was answered for is lost.

In the suite some hundreds of rows; thousands with `--nightly`.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from genplan.casefile import load
from genplan.errors import FileError
from genplan.evidence.results import read_results
from tests.fixtures.commands_that_write import CASE
from tests.fixtures.evidence_case import append_result
from tests.fixtures.faults import in_a_child

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that share what is loaded"),
    pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning"),
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "case.yaml").write_text(CASE, encoding="utf-8")
    return tmp_path


def add(folder: Path, note: str) -> None:
    case = load(folder).case
    assert case
    cells = {
        "target": "puts-on",
        "kind": "probe",
        "adult": "gran",
        "location": "home",
        "material_set": "hats",
    }
    append_result(folder, case, {**cells, "date": "2026-11-21", "trials": "5", "correct": "5", "note": note})


def notes(folder: Path) -> list[str]:
    """In the order of the lines. Fails where the file cannot be read as a whole."""
    case = load(folder).case
    assert case
    log, findings = read_results(folder, case)
    assert findings == ()
    return [r.note for r in sorted(log.results, key=lambda r: r.line)]


def child(work: Callable[[], None]) -> int:
    pid = os.fork()
    if pid == 0:
        try:
            work()
            os._exit(0)
        finally:
            os._exit(99)
    return pid


def test_many_writers_at_once_lose_no_row(folder: Path, nightly: bool) -> None:
    writers, rows = (4, 600) if nightly else (3, 20)

    def writer(name: int) -> None:
        for number in range(rows):
            while True:
                try:
                    add(folder, f"{name} {number}")
                    break
                except FileError as error:
                    if "in use by another run" not in str(
                        error
                    ):  # else the others were faster for ten seconds
                        raise

    children = [child(lambda name=name: writer(name)) for name in range(writers)]  # type: ignore[misc]
    assert [os.waitstatus_to_exitcode(os.waitpid(c, 0)[1]) for c in children] == [0] * writers
    found = notes(folder)
    assert len(found) == writers * rows
    for name in range(writers):
        assert [n for n in found if n.startswith(f"{name} ")] == [f"{name} {i}" for i in range(rows)]


def test_a_writer_that_is_killed_loses_no_row_that_it_answered_for(folder: Path, nightly: bool) -> None:
    rng, kept = Random("killed writers"), 0
    for number in range(60 if nightly else 12):
        answered = killed_while_writing(folder, number, rng.uniform(0, 0.02))
        found = notes(folder)
        fresh = [n for n in found if n.startswith(f"{number} ")]
        # the row at which it was killed is there whole, or not at all
        assert fresh[:answered] == [f"{number} {i}" for i in range(answered)]
        assert len(fresh) - answered in (0, 1)
        assert found[:kept] == found[: len(found) - len(fresh)]
        kept = len(found)
    assert in_a_child(lambda: add(folder, "last") or 0) == 0
    assert notes(folder)[-1] == "last"
    assert [p.name for p in folder.glob(".results.csv.*.new")] == []


def killed_while_writing(folder: Path, number: int, seconds: float) -> int:
    """Starts a writer, waits until it has answered for one row and some moments more, and kills it: how many rows it
    answered for."""
    import time

    reader, writer = os.pipe()

    def work() -> None:
        for i in range(10_000):
            add(folder, f"{number} {i}")
            os.write(writer, b".")

    pid = child(work)
    os.close(writer)
    answers = os.read(reader, 1)
    time.sleep(seconds)
    os.kill(pid, signal.SIGKILL)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == -signal.SIGKILL
    while more := os.read(reader, 65536):
        answers += more
    os.close(reader)
    return len(answers)
