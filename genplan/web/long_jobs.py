"""A long job in a process of its own: how far it is, whether it runs, and stopping it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.web.worker import DRAFT, PROBLEM, PROGRESS, draft_of

if TYPE_CHECKING:
    from genplan.workflow.watching import Draft

WAIT_SECONDS = 5.0
DEBUG = "GENPLAN_DEBUG"
Asked = Mapping[str, int | str | None]


@dataclass(frozen=True)
class Job:
    """What is to be done: `verb` is one of the child's, `asked` what it is asked for, `out` what it writes. `name` is
    what the page calls it, `place` the address that shows it; `weeks` are the weeks that it plans."""

    verb: str
    case: Path
    out: Path
    asked: Asked
    name: str
    place: str
    weeks: tuple[Week, ...] = ()


def planning(case: Path, week: Week, count: int, now: datetime | None, out: Path) -> Job:
    """Planning so many weeks from `week` on."""
    weeks = week.run(count)
    name = f"the week {week}" if count == 1 else f"the weeks {week} to {weeks[-1]}"
    asked = {"weeks": count, **moment(week, now)}
    return Job("plan", case, out, asked, name, f"/plan/{week}", tuple(weeks))


def looking(
    verb: str, case: Path, week: Week, now: datetime | None, out: Path, more: Asked, name: str, place: str
) -> Job:
    """A long verb that only looks: what was found is left in the file `out`."""
    return Job(verb, case, out, {**moment(week, now), **more}, name, place)


def moment(week: Week, now: datetime | None) -> Asked:
    return {"week": str(week), "now": now.isoformat() if now else None}


def _words(task: Job) -> tuple[str, ...]:
    return task.verb, str(task.case), str(task.out), json.dumps(task.asked)


class Search:
    """Starts at once. `case_digest` stands for the case as it was then."""

    def __init__(self, task: Job, case_digest: str) -> None:
        self.task, self.case_digest = task, case_digest
        self.progress = ""  # what it said last of how far it is
        self.drafts = 0  # of its answer that it told
        self.so_far: Draft | None = None  # the last of them
        self.taken = False  # what was found by then is wanted, and no more
        self._problems: list[str] = []
        self._stopped = False
        self._process = subprocess.Popen(
            [sys.executable, "-m", "genplan.web.worker", *_words(task)],
            stdin=subprocess.PIPE,  # its end tells the search that the page is gone; see `take`
            stdout=subprocess.PIPE,
            # a traceback is for who looks for a fault, on the terminal of the page
            stderr=None if os.environ.get(DEBUG) == "1" else subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
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
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with self._process.stdin, self._process.stdout as pipe:
            for line in pipe:
                said = json.loads(line)
                self.progress = said.get(PROGRESS, self.progress)
                self._problems += [said[PROBLEM]] if PROBLEM in said else []
                if DRAFT in said:
                    self.so_far, self.drafts = draft_of(said[DRAFT]), self.drafts + 1
            self._process.wait()  # it may still be ending, and its pipes are its own until it has

    @property
    def problems(self) -> tuple[str, ...]:
        """Why it failed. One that was killed had no time to say so."""
        return tuple(self._problems) or (
            "It ended before it could say why: it was killed, or the machine ran out of memory. Nothing was written."
            " Try again, or plan fewer weeks at a time.",
        )

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

    def take(self) -> None:
        """Ends the search for a better week: the best so far is made ready as its answer."""
        assert self._process.stdin is not None
        self.taken = True
        with suppress(OSError, ValueError):  # it has come to its end by itself
            self._process.stdin.write("\n")
            self._process.stdin.flush()

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
