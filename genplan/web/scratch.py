"""The folder of one run for what is not kept. It goes with the run; what a killed run left is cleared by the next.

A run holds the lock in its folder as long as it lives, and the system gives the lock back when it dies in whatever
way. So a folder whose lock can be had belongs to nobody any more.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import stat
import subprocess
import tempfile
from pathlib import Path

from genplan.files import lock_of

PREFIX = "genplan-page-"
LOCK = "in-use.lock"
LIST_SECONDS = 10.0


class Scratch:
    """A fresh folder that its owner alone can read, until `close`."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix=PREFIX))
        self._held = contextlib.ExitStack()
        self._held.enter_context(lock_of(self.folder / LOCK).acquire(timeout=0))

    def close(self) -> None:
        self._held.close()
        shutil.rmtree(self.folder, ignore_errors=True)


def clear_left_behind() -> None:
    """Ends the searches and clears the folders of runs of this user that were killed."""
    with contextlib.suppress(OSError):
        for folder in sorted(Path(tempfile.gettempdir()).glob(f"{PREFIX}*")):
            with contextlib.suppress(OSError):
                _clear(folder)


def _clear(folder: Path) -> None:
    """Raises OSError for one that is in use, or not ours."""
    if not _is_ours(folder):
        return
    with lock_of(folder / LOCK).acquire(timeout=0):
        _end_searches(folder)
        shutil.rmtree(folder, ignore_errors=True)
    shutil.rmtree(folder, ignore_errors=True)  # some systems keep a file that is open


def _is_ours(folder: Path) -> bool:
    """A folder, no link, of this user, with a lock: anybody may put something of that name into a shared place."""
    about = folder.lstat()
    mine = about.st_uid == os.geteuid() if hasattr(os, "geteuid") else True
    return stat.S_ISDIR(about.st_mode) and mine and stat.S_ISREG((folder / LOCK).lstat().st_mode)


def _end_searches(folder: Path) -> None:
    """A search ends by itself when its page dies; this is for one that cannot, such as one that was halted."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError, subprocess.SubprocessError):
        listing = ["ps", "-A", "-ww", "-o", "pid=", "-o", "uid=", "-o", "args="]
        said = subprocess.run(listing, capture_output=True, text=True, errors="replace", timeout=LIST_SECONDS)
        for line in said.stdout.splitlines():
            pid, uid, words = (*line.split(None, 2), "", "", "")[:3]
            if uid == str(os.geteuid()) and " -m genplan" in words and f"{folder}/" in words:
                _kill(int(pid))


def _kill(pid: int) -> None:
    """With the solvers that it started, which are of its group."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if os.getpgid(pid) == pid:
            os.killpg(pid, signal.SIGKILL)
        else:
            os.kill(pid, signal.SIGKILL)
