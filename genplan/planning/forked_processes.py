"""Solver processes as forks of one that has loaded the solver, where the system is sound at that.

To load it takes half a second of a processor, which a changed week of twelve children would pay for each process.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import active_children
from multiprocessing.context import BaseContext
from multiprocessing.util import get_temp_dir
from pathlib import Path

FORKS = "forkserver"
LOADED = "genplan.planning.solver.loaded"
LIKE_ITS_NAME = "listener-12345678"
"""As long as the name under which the server listens, in a folder that only this user can look into."""


def method() -> str:
    """How solver processes begin. A fork of a process that has loaded libraries of the system is not sound on macOS,
    and Windows has none."""
    return FORKS if sys.platform == "linux" and _can_listen() else "spawn"


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


@contextmanager
def served(context: BaseContext) -> Iterator[None]:
    """Within the block processes of the context start as forks, if that is its way. Their server ends with the block
    where no process needs it any more; else with the program."""
    if context.get_start_method() != FORKS:
        yield
        return
    from multiprocessing import forkserver

    context.set_forkserver_preload([LOADED])
    try:
        yield
    finally:
        if not active_children():
            forkserver._forkserver._stop()  # type: ignore[attr-defined]
