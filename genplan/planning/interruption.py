"""A run that is told to come to its end: what was found by then is its answer, as if the clock had struck.

The moment lies in memory that a program shares with its solver processes, so it holds in all of them at once, without a
message that has to be waited for. Budgets ask for it (`budget.Budget`); a search asks nothing beside its budget.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from math import inf
from multiprocessing.sharedctypes import RawValue
from time import monotonic
from typing import Any

_moment: Any = None
_run_began: float | None = None


def shared_moment() -> Any:
    """For the start of another process, in which `ask_here` takes it."""
    global _moment
    if _moment is None:
        # without a lock: it is written by one process, in a piece, and a process that is killed cannot hold it
        _moment = RawValue("d", -inf)
    return _moment


def ask_here(moment: Any) -> None:
    """From now on this process is interrupted when the one is that shared its moment. A run that was under way there
    when this one was forked is none of this one's."""
    global _moment, _run_began
    _moment, _run_began = moment, None


def last_interrupt() -> float:
    """When a run was told last to come to its end, by Python's monotonic clock; before all time if never."""
    return -inf if _moment is None else float(_moment.value)


@contextmanager
def interruptible() -> Iterator[None]:
    """A run with something to show whenever it ends: until the block does, `interrupt` is heard."""
    global _run_began
    shared_moment()
    _run_began = monotonic()
    try:
        yield
    finally:
        _run_began = None


def interrupt() -> bool:
    """Tells the run of this program to come to its end. False: there is none, or it was told before. Safe in a handler
    of signals and in any thread."""
    if _run_began is None or interrupted():
        return False
    _moment.value = monotonic()
    return True


def interrupted() -> bool:
    """Whether the run of this program was told to come to its end."""
    return _run_began is not None and last_interrupt() >= _run_began
