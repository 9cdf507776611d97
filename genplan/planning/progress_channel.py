"""How a search in another process tells how far it is.

The process that starts it opens a pipe and listens. The search sends values through it with `say`. A process that was
given no pipe says nothing, and nothing else changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import copy_context
from multiprocessing.connection import Connection, Pipe
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


class Ear:
    """The end at which it is heard what other processes `say` through `line`, by `hear`, in a thread of its own. A pipe
    and no queue: a process that is still starting when nobody listens any more must not miss a lock."""

    def __init__(self, hear: Say) -> None:
        self._heard, self.line = Pipe(duplex=False)
        self._hear, self._faults = hear, list[Exception]()
        self._listener: Thread | None = None

    def listen(self) -> None:
        """From now on. Processes that are forks of this one start before."""
        # it says things as we do
        self._listener = Thread(target=copy_context().run, args=(self._listen,), daemon=True)
        self._listener.start()

    def _listen(self) -> None:
        with suppress(EOFError, OSError):  # the end, where an interrupt came before the last word
            while (said := self._heard.recv()) is not None:
                if not self._faults:
                    try:
                        self._hear(said)
                    except Exception as fault:
                        # it goes on listening: a search that nobody hears would wait for ever
                        self._faults.append(fault)

    def end(self) -> None:
        """What `hear` raised is raised now."""
        if self._listener is None:
            return
        self.line.send(None)
        self._listener.join(timeout=1.0)  # a process that was killed may have left half a line
        if self._faults:
            raise self._faults[0]


@contextmanager
def listening(hear: Say) -> Iterator[Ear]:
    """For processes that the block starts."""
    ear = Ear(hear)
    yield ear
    ear.end()
