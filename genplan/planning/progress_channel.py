"""How a search in another process tells how far it is.

The process that starts it opens a pipe and listens. The search sends short texts through it with `say`. A process that
was given no pipe says nothing, and nothing else changes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnContext
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Line = Connection[str | None, str | None]

Say = Callable[[str], None]

MOST_CHARACTERS = 200
"""Longer texts are cut. So short a one goes through the pipe in one piece, even if several processes send at once."""

_through: Line | None = None


def speak_through(line: Line) -> None:
    """From now on `say` sends through this pipe."""
    global _through
    _through = line


def say(text: str) -> None:
    if _through is not None:
        with suppress(OSError):  # nobody listens any more
            _through.send(text[:MOST_CHARACTERS])


def no_progress(text: str) -> None:
    """Says nothing."""


@contextmanager
def listening(context: SpawnContext, hear: Say) -> Iterator[Line]:
    """A pipe for other processes. What they send is handed to `hear`, in a thread of its own, until the block ends."""
    # a pipe and no queue: a process that is still starting when the block ends must not miss a lock
    heard, line = context.Pipe(duplex=False)

    def listen() -> None:
        with suppress(EOFError, OSError):  # the end, where an interrupt came before the last word
            while (text := heard.recv()) is not None:
                hear(text)

    listener = Thread(target=listen, daemon=True)
    listener.start()
    yield line
    line.send(None)
    listener.join(timeout=1.0)  # a process that was killed may have left half a line
