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

FORKS = "forkserver"
LOADED = "genplan.planning.solver.loaded"
LONGEST = 80
"""Bytes of the name of the folder in which the server listens: an address of a socket is 107 bytes at the most."""


def method() -> str:
    """How solver processes begin. A fork of a process that has loaded libraries of the system is not sound on macOS,
    and Windows has none."""
    if sys.platform != "linux":
        return "spawn"
    try:
        return FORKS if len(os.fsencode(get_temp_dir())) <= LONGEST else "spawn"
    except OSError:  # no folder in which it could listen
        return "spawn"


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
