"""A search for a plan in a process of its own: what it said so far, whether it runs, and stopping it.

It is the command line's own 'plan', so that a crash, a stop or a reload of the page cannot hurt anything.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from datetime import datetime
from pathlib import Path

from genplan.case import Week

WAIT_SECONDS = 5.0


class Search:
    """Starts at once. `out` is the folder that holds the plan once `state` is 'done'."""

    def __init__(self, case: Path, week: Week, now: datetime | None, out: Path, case_digest: str) -> None:
        self.week, self.out, self.case_digest = week, out, case_digest
        self._lines: list[str] = []
        self._stopped = False
        words = [sys.executable, "-m", "genplan", "plan", str(case), "--week", str(week), "--out", str(out)]
        if now is not None:
            words += ["--now", now.strftime("%Y-%m-%dT%H:%M")]
        self._process = subprocess.Popen(
            words,
            stdin=subprocess.DEVNULL,
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

    def _read(self) -> None:
        assert self._process.stderr is not None
        for line in self._process.stderr:
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
