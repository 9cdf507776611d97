"""A long job in a process of its own: how far it is, whether it runs, and stopping it."""

from __future__ import annotations

import json
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.case import Week
from genplan.language import _
from genplan.web.worker import DRAFT, PROBLEM, PROGRESS, READY, SPEECH, draft_of, told_of_speech

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

    def found(self) -> Any:
        """What a verb that only looks has found, once it is done."""
        return pickle.loads(self.out.read_bytes())


def planning(
    case: Path, week: Week, count: int, now: datetime | None, out: Path, deeper: bool = False
) -> Job:
    """Planning so many weeks from `week` on. `deeper`: a kept week, and not only with the fewest people told."""
    weeks = week.run(count)
    name = (
        _("the week {week}", week=week)
        if count == 1
        else _("the weeks {week} to {weeks}", week=week, weeks=weeks[-1])
    )
    asked: Asked = {"weeks": count, "deeper": int(deeper), **moment(week, now)}
    return Job("plan", case, out, asked, name, f"/plan/{week}", tuple(weeks))


def looking(
    verb: str, case: Path, week: Week, now: datetime | None, out: Path, more: Asked, name: str, place: str
) -> Job:
    """A long verb that only looks: what was found is left in the file `out`."""
    return Job(verb, case, out, {**moment(week, now), **more}, name, place)


def moment(week: Week, now: datetime | None) -> Asked:
    return {"week": str(week), "now": now.isoformat() if now else None}


def _words(task: Job) -> tuple[str, ...]:
    return task.verb, str(task.case), str(task.out), json.dumps({**task.asked, SPEECH: told_of_speech()})


def _start(*words: str, within: Path) -> subprocess.Popen[str]:
    """What it puts down for a while, such as where its solvers listen, lies in that folder of the page's run: a process
    that is ended takes nothing away."""
    return subprocess.Popen(
        [sys.executable, "-m", "genplan.web.worker", *words],
        stdin=subprocess.PIPE,  # its end tells the search that the page is gone
        stdout=subprocess.PIPE,
        # a traceback is for who looks for a fault, on the terminal of the page
        stderr=None if os.environ.get(DEBUG) == "1" else subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        start_new_session=os.name == "posix",
        env={**os.environ, "TMPDIR": str(within)},
    )


def _end(process: subprocess.Popen[str]) -> None:
    """Ends a process and the solvers that it started; returns once it is gone."""
    if process.poll() is not None:
        return
    _signal(process, signal.SIGTERM)
    try:
        process.wait(WAIT_SECONDS)
    except subprocess.TimeoutExpired:
        _signal(process, getattr(signal, "SIGKILL", signal.SIGTERM))
        process.wait(WAIT_SECONDS)


def _signal(process: subprocess.Popen[str], how: signal.Signals) -> None:
    if os.name == "posix":
        try:
            os.killpg(process.pid, how)
        except ProcessLookupError:
            return
    else:
        tree = ["taskkill", "/T", "/F", "/PID", str(process.pid)]
        subprocess.run(tree, capture_output=True, check=False)


class ReadyProcess:
    """A process with its solvers that waits for a search, so that one begins at once. It starts at once itself; `run`
    is the folder of the page's run."""

    def __init__(self, run: Path) -> None:
        self._process = _start(READY, str(run / READY), within=run)

    def take(self, task: Job) -> subprocess.Popen[str] | None:
        """The process, which searches now; None if it has ended in the meantime."""
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps(_words(task)) + "\n")
            self._process.stdin.flush()
        except OSError:
            self.end()
            return None
        return self._process

    def end(self) -> None:
        _end(self._process)
        for pipe in (self._process.stdin, self._process.stdout):
            with suppress(OSError):  # what was not written any more
                if pipe is not None:
                    pipe.close()


class Search:
    """Starts at once, in a process that is `ready` if there is one. `case_digest` stands for the case as it was
    then."""

    def __init__(self, task: Job, case_digest: str, ready: ReadyProcess | None = None) -> None:
        self.task, self.case_digest = task, case_digest
        self.progress = ""  # what it said last of how far it is
        self.drafts = 0  # of its answer that it told
        self.so_far: Draft | None = None  # the last of them
        self.taken = False  # what was found by then is wanted, and no more
        self._problems: list[str] = []
        self._stopped = False
        self._process = (ready and ready.take(task)) or _start(*_words(task), within=task.out.parent)
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
            _(
                "It ended before it could say why: it was killed, or the machine ran out of memory. "
                "Nothing was written. Try again, or plan fewer weeks at a time."
            ),
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
        _end(self._process)

    def wait(self, seconds: float) -> None:
        self._process.wait(seconds)
