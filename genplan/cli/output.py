"""The two streams of the program, and what may go out on them."""

from __future__ import annotations

import io
import os
import shutil
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

from genplan.report.plain_characters import bearable, one_line


class NobodyReads(Exception):
    """Whoever read what is printed has closed it, as `head` does. Any other pipe that is broken is a fault."""


@contextmanager
def _printing() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError as closed:
        raise NobodyReads from closed


def let_any_character_pass() -> None:
    """A terminal or pipe that cannot show a character shows '?' for it: no name may end the program."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")


class Progress:
    """One line on a terminal that says how far it is and since when, and goes when there is something to show. In a
    pipe or a file nothing is said: there nobody waits before a screen."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._shown = False

    def begin(self) -> None:
        """From now on it is counted: until then somebody was answering questions."""
        self._began = time.monotonic()

    @property
    def seconds(self) -> float:
        """Since the program began to work."""
        return time.monotonic() - self._began

    def __call__(self, text: str) -> None:
        if sys.stderr is not None and sys.stderr.isatty():
            room = max(20, shutil.get_terminal_size().columns - 1)
            line = f"{self.seconds:4.0f} s  {one_line(text)}"
            sys.stderr.write(f"\r\x1b[K{line[:room]}")
            sys.stderr.flush()
            self._shown = True

    def clear(self) -> None:
        if self._shown:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()
            self._shown = False


progress = Progress()


def show(text: str, stream: TextIO | None = None) -> None:
    """Prints text that holds what a user wrote: no control character in it can steer the terminal."""
    with _printing():
        progress.clear()
        for line in text.splitlines():
            print(one_line(line), file=stream)


def tell(text: str) -> None:
    """The same for what is not the result: errors, warnings, progress."""
    show(text, sys.stderr)
    if sys.stderr is not None:
        with _printing():
            sys.stderr.flush()


def show_lines(lines: Iterable[str]) -> None:
    """Lines in which blanks stand for something. What people wrote in them can steer no terminal either."""
    with _printing():
        progress.clear()
        for line in (one for some in lines for one in some.split("\n")):
            print(bearable(line))


def width() -> int | None:
    """The terminal's width in characters; None where standard output is a pipe or a file, which have none."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def show_bytes(data: bytes) -> None:
    """Bytes as they are, whatever the encoding of the terminal."""
    with _printing():
        progress.clear()
        sys.stdout.flush()
        sys.stdout.buffer.write(data)


def flush() -> None:
    if sys.stdout is not None:
        with _printing():
            sys.stdout.flush()


def drop_what_cannot_be_shown() -> None:
    """Where standard output is closed or full, sends what is still buffered nowhere: Python would complain of
    it when it ends."""
    try:
        flush()
    except (NobodyReads, OSError):
        with suppress(io.UnsupportedOperation):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
