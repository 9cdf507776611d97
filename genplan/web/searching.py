"""A long job in a process of its own: what it said so far, whether it runs, and stopping it.

It is the command line's own words, so that a crash, a stop or a reload of the page cannot hurt anything.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from genplan.case import Week

WAIT_SECONDS = 5.0


@dataclass(frozen=True)
class Task:
    """What is to be done: `module` and `words` as typed after 'python -m', `name` as the page calls it, `place` the
    address that shows it. `out` is what it writes; `weeks` are the weeks that it plans, `asked` what a look was asked
    for."""

    module: str
    words: tuple[str, ...]
    name: str
    place: str
    out: Path
    weeks: tuple[Week, ...] = ()
    asked: Mapping[str, int | str | None] = field(default_factory=dict)


def planning(case: Path, week: Week, count: int, now: datetime | None, out: Path) -> Task:
    """Planning so many weeks from `week` on."""
    weeks = [week]
    while len(weeks) < count:
        weeks.append(weeks[-1].next())
    words = ["plan", str(case), "--week", str(week), "--out", str(out), *moment(now)]
    if count > 1:
        words += ["--weeks", str(count)]
    name = f"the week {week}" if count == 1 else f"the weeks {week} to {weeks[-1]}"
    return Task("genplan", tuple(words), name, f"/plan/{week}", out, tuple(weeks))


def looking(
    verb: str,
    case: Path,
    week: Week | None,
    now: datetime | None,
    out: Path,
    more: Mapping[str, int | str | None],
    name: str,
    place: str,
) -> Task:
    """A long verb that only looks: `child` runs it, and leaves what was found in the file `out`."""
    asked = {"week": str(week) if week else None, "now": now.isoformat() if now else None, **more}
    return Task(
        "genplan.web.child", (verb, str(case), str(out), json.dumps(asked)), name, place, out, (), asked
    )


def moment(now: datetime | None) -> Sequence[str]:
    return () if now is None else ("--now", now.strftime("%Y-%m-%dT%H:%M"))


class Search:
    """Starts at once. `case_digest` stands for the case as it was then."""

    def __init__(self, task: Task, case_digest: str) -> None:
        self.task, self.case_digest = task, case_digest
        self._lines: list[str] = []
        self._stopped = False
        self._process = subprocess.Popen(
            [sys.executable, "-m", "genplan.web.attached", task.module, *task.words],
            stdin=subprocess.PIPE,  # its end tells the search that the page is gone
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            errors="replace",
            env={**os.environ, "PYTHONIOENCODING": "utf-8"},
            start_new_session=os.name == "posix",
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def word(self) -> str:
        """Tells this search from every other."""
        return self.task.out.parent.name

    def folder_of(self, week: Week) -> Path:
        """Where the plan of a week is, once the state is 'done'."""
        return self.task.out if len(self.task.weeks) == 1 else self.task.out / str(week)

    def _read(self) -> None:
        assert self._process.stderr is not None
        assert self._process.stdin is not None
        with self._process.stdin, self._process.stderr as said:
            for line in said:
                self._lines.append(line.strip())

    @property
    def lines(self) -> tuple[str, ...]:
        """What the search said, oldest first; warnings about the case are told elsewhere."""
        return tuple(line for line in list(self._lines) if line and not line.startswith("Warning:"))

    @property
    def state(self) -> str:
        """'running', 'done', 'stopped' or 'failed'."""
        code = self._process.poll()
        if code is None:
            return "running"
        self._reader.join(WAIT_SECONDS)
        if self._stopped:
            return "stopped"
        return "done" if code == 0 else "failed"

    def stop(self) -> None:
        """Ends the search and the solvers that it started; returns once they are gone."""
        if self._process.poll() is not None:
            return
        self._stopped = True
        self._end(signal.SIGTERM)
        try:
            self._process.wait(WAIT_SECONDS)
        except subprocess.TimeoutExpired:
            self._end(getattr(signal, "SIGKILL", signal.SIGTERM))
            self._process.wait(WAIT_SECONDS)

    def wait(self, seconds: float) -> None:
        self._process.wait(seconds)

    def _end(self, how: signal.Signals) -> None:
        if os.name == "posix":
            try:
                os.killpg(self._process.pid, how)
            except ProcessLookupError:
                return
        else:
            tree = ["taskkill", "/T", "/F", "/PID", str(self._process.pid)]
            subprocess.run(tree, capture_output=True, check=False)
