"""A process with its solvers waits for the next search of a page: it begins at once, and nothing is left behind."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import TypeVar

import pytest

from genplan.case import Week
from genplan.web.app_state import AppState
from genplan.web.long_jobs import planning
from tests.fixtures.small_case import small_case

pytestmark = pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for processes in /proc")
WEEK, NOW = Week(2026, 49), datetime(2026, 11, 29, 12)
PATIENCE = 60.0
T = TypeVar("T")


def until(condition: Callable[[], T]) -> T:
    deadline = time.monotonic() + PATIENCE
    while not (found := condition()):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    return found


def solvers_of(pid: int) -> set[int]:
    """The solver processes of a process that have loaded the solver (Linux: `man 5 proc`)."""
    found = set()
    for task in Path("/proc").iterdir():
        if task.name.isdigit():
            try:
                parent = int((task / "stat").read_text().rpartition(")")[2].split()[1])
                if parent == pid and "cp_model_helper" in (task / "maps").read_text():
                    found.add(int(task.name))
            except OSError:
                continue
    return found


def is_there(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.fixture
def site(tmp_path: Path) -> Iterator[AppState]:
    small_case(tmp_path / "case")
    site = AppState(tmp_path / "case", NOW)
    site.get_ready()
    yield site
    site.close()


def waiting(site: AppState) -> int:
    assert site._ready is not None
    return site._ready._process.pid


def plan(site: AppState, name: str) -> Path:
    out = site.room_for("plan") / name
    site.begin(planning(site.folder, WEEK, 1, NOW, out))
    assert site.search is not None
    site.search.wait(PATIENCE)
    assert site.search.state == "done", site.search.problems
    return out


def test_a_search_takes_the_process_that_waits_and_the_next_one_waits_then(site: AppState) -> None:
    first = waiting(site)
    solvers = until(lambda: solvers_of(first))
    out = plan(site, "one")
    assert site.search is not None
    assert site.search._process.pid == first
    until(lambda: not any(map(is_there, (first, *solvers))))
    assert site.draft(WEEK) is site.search  # what was found is looked at
    second = waiting(site)
    assert second != first
    again = plan(site, "two")
    assert (out / "plan.json").read_bytes() == (again / "plan.json").read_bytes()


def test_one_that_was_killed_is_replaced(site: AppState) -> None:
    first = waiting(site)
    os.killpg(first, signal.SIGKILL)
    until(lambda: not is_there(first))
    plan(site, "one")
    assert site.search is not None
    assert site.search._process.pid != first


@pytest.mark.nightly
def test_solvers_that_were_killed_while_they_waited_are_told_in_a_sentence_and_replaced(
    site: AppState,
) -> None:
    """Or their process has started new ones before it was asked."""
    first = waiting(site)
    for solver in until(lambda: solvers_of(first)):
        os.kill(solver, signal.SIGKILL)
    until(lambda: not solvers_of(first))
    plan(site, "one")
    assert site.search is not None
    assert site.search._process.pid == first


@pytest.mark.nightly
def test_stopping_a_search_leaves_one_that_waits(site: AppState) -> None:
    site.begin(planning(site.folder, WEEK, 26, NOW, site.room_for("plan") / "one"))
    assert site.search is not None
    until(lambda: site.search and (site.search.progress or site.search.state != "running"))
    stopped = site.search._process.pid
    site.stop()
    assert site.search.state == "stopped"
    assert waiting(site) != stopped
    plan(site, "two")


def test_nothing_is_left_when_the_page_ends(tmp_path: Path) -> None:
    site = AppState(small_case(tmp_path / "case"), NOW)
    site.get_ready()
    first = waiting(site)
    solvers = until(lambda: solvers_of(first))
    site.close()
    until(lambda: not any(map(is_there, (first, *solvers))))
    site.stop()
    assert not is_there(first)


def test_one_that_waits_ends_when_its_page_is_gone(site: AppState) -> None:
    first = waiting(site)
    solvers = until(lambda: solvers_of(first))
    assert site._ready is not None
    assert site._ready._process.stdin is not None
    site._ready._process.stdin.close()  # as the system does for a page that was killed
    site._ready._process.wait(PATIENCE)
    until(lambda: not any(map(is_there, (first, *solvers))))
