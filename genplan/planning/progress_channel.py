"""How a search in another process tells how far it is.

The process that starts it opens a pipe and listens. The search sends values through it with `say`. A process that was
given no pipe says nothing, and nothing else changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import copy_context
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from threading import Thread
from typing import TYPE_CHECKING

from genplan.planning.progress import Said, Say

if TYPE_CHECKING:
    Line = Connection[Said | None, Said | None]

MOST_CHARACTERS = 200
"""Longer texts are cut. So short a one, or a step, goes through the pipe in one piece, even if several processes send
at once. A whole week does not: it is sent by a search that is the only one (`SolveJob.aloud`)."""

_through: Line | None = None


def speak_through(line: Line) -> None:
    """From now on `say` sends through this pipe."""
    global _through
    _through = line


def say(said: Said) -> None:
    if _through is not None:
        with suppress(OSError):  # nobody listens any more
            _through.send(said[:MOST_CHARACTERS] if isinstance(said, str) else said)


@contextmanager
def listening(context: BaseContext, hear: Say) -> Iterator[Line]:
    """A pipe for other processes. What they send goes to `hear`, in a thread of its own, until the block ends. What
    that raises is raised then."""
    # a pipe and no queue: a process that is still starting when the block ends must not miss a lock
    heard, line = context.Pipe(duplex=False)

    faults: list[Exception] = []

    def listen() -> None:
        with suppress(EOFError, OSError):  # the end, where an interrupt came before the last word
            while (said := heard.recv()) is not None:
                if not faults:
                    try:
                        hear(said)
                    except (
                        Exception
                    ) as fault:  # it goes on listening: a search that nobody hears would wait for ever
                        faults.append(fault)

    listener = Thread(target=copy_context().run, args=(listen,), daemon=True)  # it says things as we do
    listener.start()
    yield line
    line.send(None)
    listener.join(timeout=1.0)  # a process that was killed may have left half a line
    if faults:
        raise faults[0]
