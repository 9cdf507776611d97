"""Solver processes as forks of one that has loaded the solver, where the system is sound at that.

To load it takes half a second of a processor, which a week of twelve children would pay for each process. The program
itself is the one that is forked where nothing else runs in it: a fork has only the thread that asked for it, and waits
for ever for what another was just holding. Else it is a process that does nothing but that.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from contextlib import suppress
from importlib import import_module
from multiprocessing import active_children
from multiprocessing.context import BaseContext
from multiprocessing.util import get_temp_dir
from pathlib import Path

FORK, FORKS_OF_A_SERVER = "fork", "forkserver"
LOADED = "genplan.planning.solver.loaded"
A_MOMENT, MOMENTS = 0.01, 100
"""Seconds, and how often."""
LIKE_ITS_NAME = "listener-12345678"
"""As long as the name under which the server listens, in a folder that only this user can look into."""


def method() -> str:
    """How solver processes begin. A fork of a process that has loaded libraries of the system is not sound on macOS,
    and Windows has none."""
    if sys.platform != "linux":
        return "spawn"
    if threading.active_count() == 1:
        return FORK
    return FORKS_OF_A_SERVER if _can_listen() else "spawn"


def _can_listen() -> bool:
    """Whether a process can be spoken to through a file. The folder's name may be too long for that, there may be no
    folder, or the system allows none."""
    import socket

    try:
        place = Path(get_temp_dir(), LIKE_ITS_NAME)
        with socket.socket(socket.AF_UNIX) as trial:
            trial.bind(os.fspath(place))
        place.unlink()
    except OSError:
        return False
    return True


def prepare(context: BaseContext) -> None:
    """Just before the first process of the context starts: the solver is loaded in the one whose forks they are."""
    if context.get_start_method() == FORK:
        with suppress(ImportError):  # told to whoever asks for a search
            import_module(LOADED)
    elif context.get_start_method() == FORKS_OF_A_SERVER:
        context.set_forkserver_preload([LOADED])


def end_server(context: BaseContext) -> None:
    """The process whose forks those of the context were ends where nobody needs it any more; else with the program."""
    if context.get_start_method() == FORKS_OF_A_SERVER and not active_children():
        from multiprocessing import forkserver

        forkserver._forkserver._stop()  # type: ignore[attr-defined]


def let_a_broken_server_end(context: BaseContext) -> None:
    """After a process could not be started: a server that was killed, or never came to life, takes a moment to end, and
    until then whoever asks next would be sent to it. One that lives on is left alone."""
    if context.get_start_method() != FORKS_OF_A_SERVER:
        return
    from multiprocessing import forkserver

    server: int | None = forkserver._forkserver._forkserver_pid  # type: ignore[attr-defined]
    with suppress(ChildProcessError):
        for _ in range(MOMENTS if server is not None else 0):
            # looked at and not taken away: Python itself asks how it ended before it starts another
            if os.waitid(os.P_PID, server or 0, os.WEXITED | os.WNOHANG | os.WNOWAIT):
                return
            time.sleep(A_MOMENT)
