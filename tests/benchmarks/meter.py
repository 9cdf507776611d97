"""What a command costs with all that it starts: seconds on the wall, seconds of processors, memory."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

PROC = Path("/proc")
EVERY = 0.1
MEGABYTE = 2**20


@dataclass(frozen=True)
class Cost:
    """`cpu` are seconds of all processes. `largest` is the most memory that one process held (resident set, in MB;
    never less than this process itself held when it started the command), `together` the most that all held at the
    same time, where the system tells: what they share counts for each."""

    wall: float
    cpu: float
    largest: float
    together: float | None

    def less(self, cpu: float) -> Cost:
        """Without seconds of a processor that belong to something else."""
        return replace(self, cpu=self.cpu - cpu)


def measured(
    command: Sequence[str], surroundings: Mapping[str, str] | None = None, there: Path | None = None
) -> tuple[str, Cost]:
    """Runs the command in a session of its own; gives what it printed and its cost. Raises CalledProcessError where it
    fails."""
    began = time.perf_counter()
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, start_new_session=True, env=surroundings, cwd=there
    ) as process:
        watch = _Watch(process.pid)
        watch.start()
        assert process.stdout is not None
        printed = process.stdout.read()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        wall = time.perf_counter() - began
        watch.end()
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, command)
    unit = 1 if sys.platform == "darwin" else 1024
    cost = Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss * unit / MEGABYTE, watch.together)
    return printed, cost


class _Watch(threading.Thread):
    """Looks now and then at the memory of all processes of a session."""

    def __init__(self, session: int) -> None:
        super().__init__(daemon=True)
        self._session, self._over, self._most = session, threading.Event(), 0.0

    @property
    def together(self) -> float | None:
        return self._most if PROC.is_dir() else None

    def run(self) -> None:
        while PROC.is_dir() and not self._over.wait(EVERY):
            self._most = max(self._most, memory_of(self._session))

    def end(self) -> None:
        self._over.set()
        self.join()


def memory_of(session: int) -> float:
    """Megabytes that the processes of a session hold now."""
    pages = 0
    for folder in PROC.iterdir():
        if folder.name.isdigit():
            try:
                fields = stat_of(folder.name)
            except OSError:
                continue
            if int(fields[3]) == session:
                pages += int(fields[21])
    return pages * os.sysconf("SC_PAGE_SIZE") / MEGABYTE


def cpu_of(pid: int) -> float:
    """Seconds of processors that a process has taken until now."""
    fields = stat_of(str(pid))
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def stat_of(pid: str) -> list[str]:
    """What Linux tells of a process after its name in brackets (/proc/PID/stat, see `man 5 proc`): state, parent,
    group, session, …; the 12th and 13th are the ticks that it took, the 22nd the pages that it holds."""
    return (PROC / pid / "stat").read_text().rpartition(")")[2].split()


def machine() -> tuple[int, float]:
    """Cores that may be used, and gigabytes of memory."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return cores, os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") / 2**30
