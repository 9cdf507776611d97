"""Solver processes as forks of one that has loaded the solver, where the system is sound at that.

To load it takes half a second of a processor, which a week of twelve children would pay for each process. The program
itself is the one that is forked where nothing else runs in it: a fork has only the thread that asked for it, and waits
for ever for what another was just holding. Else it is a process that does nothing but that.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib import import_module
from multiprocessing import active_children
from multiprocessing.context import BaseContext
from multiprocessing.util import get_temp_dir
from pathlib import Path

FORK, FORKS_OF_A_SERVER = "fork", "forkserver"
LOADED = "genplan.planning.solver.loaded"
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


def load_for_forks(context: BaseContext) -> None:
    """Just before the first process of the context starts: the solver is loaded here, if that one is to be a fork."""
    if context.get_start_method() == FORK:
        with suppress(ImportError):  # told to whoever asks for a search
            import_module(LOADED)


@contextmanager
def served(context: BaseContext) -> Iterator[None]:
    """Within the block processes of the context start as forks of a server, if that is its way. The server ends with
    the block where no process needs it any more; else with the program."""
    if context.get_start_method() != FORKS_OF_A_SERVER:
        yield
        return
    from multiprocessing import forkserver

    context.set_forkserver_preload([LOADED])
    try:
        yield
    finally:
        if not active_children():
            forkserver._forkserver._stop()  # type: ignore[attr-defined]
