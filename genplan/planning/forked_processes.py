"""Solver processes as forks of one that has loaded the solver, where the system is sound at that.

To load it takes half a second of a processor, which a changed week of twelve children would pay for each process.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import active_children
from multiprocessing.context import BaseContext

METHOD = "forkserver" if sys.platform == "linux" else "spawn"
"""A fork of a process that has loaded libraries of the system is not sound on macOS, and Windows has none."""
LOADED = "genplan.planning.solver.loaded"


@contextmanager
def served(context: BaseContext) -> Iterator[None]:
    """Within the block processes of the context start as forks, if that is its way. Their server ends with the block
    where no process needs it any more; else with the program."""
    if context.get_start_method() != "forkserver":
        yield
        return
    from multiprocessing import forkserver

    context.set_forkserver_preload([LOADED])
    try:
        yield
    finally:
        if not active_children():
            forkserver._forkserver._stop()  # type: ignore[attr-defined]
