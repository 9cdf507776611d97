"""How a search in another process is heard: it says lines, and whoever started the process is told them.

Nothing depends on it: a process that was not given a line to speak through says nothing.
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
"""So short a line goes through a pipe whole, however many speak."""

_through: Line | None = None


def speak_through(line: Line) -> None:
    """From now on what this process says goes into the line."""
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
    """A line for other processes to speak through; what comes is heard in a thread of its own until the block ends."""
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
