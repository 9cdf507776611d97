"""A child process for what reads files of others: whatever a file makes a library do, it ends within seconds and a
bounded memory, and the program only hears of it.

The program starts the child with `run_fenced`; the child puts the limits on itself before it reads anything.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from genplan.errors import FileError, reason_of
from genplan.language import Speech, Words, _, speaking, speech

CPU_SECONDS = 10
"""Work for one file; where the system has no such limit, the clock alone holds."""
WALL_SECONDS = 40
"""For one file by the clock, as a safety net on a machine that is busy."""
MEMORY_BYTES = 500_000_000


SPOKEN = "GENPLAN_SPOKEN"
"""In the child's environment: the language and the words in which it says what is wrong with a file."""


@dataclass(frozen=True)
class Ended:
    """What a child wrote, and its exit code, which is negative for a signal; None if the clock ran out."""

    written: bytes
    code: int | None

    @property
    def is_out_of_work(self) -> bool:
        """Whether the system ended it at the limit of its work."""
        return os.name == "posix" and self.code == -signal.SIGXCPU

    @property
    def was_killed(self) -> bool:
        """Whether something else did: the system, where memory is short, or somebody."""
        return os.name == "posix" and self.code == -signal.SIGKILL


def run_fenced(module: str, *words: str, given: bytes, seconds: float) -> Ended:
    """Runs a module of ours as a child with `given` on its standard input, for so many seconds by the clock.
    Raises FileError where it cannot be started."""
    package = str(Path(__file__).resolve().parents[1])
    paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    try:
        with deaf_to_interrupts():
            process = subprocess.Popen(
                [sys.executable, "-m", module, *words],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": paths, SPOKEN: f"{speech().language} {speech().words}"},
                creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
            )
    except OSError as error:
        raise FileError(
            _(
                "The process that reads calendars and spreadsheets could not be started ({problem}). Look "
                "whether this system lets the program start another Python; then try again.",
                problem=reason_of(error),
            )
        ) from error
    with process:
        try:
            written, _errors = process.communicate(given, timeout=seconds)
        except subprocess.TimeoutExpired as late:
            process.kill()
            return Ended(late.stdout or b"", None)
        except BaseException:
            process.kill()
            raise
    return Ended(written, process.returncode)


def as_the_program_speaks() -> AbstractContextManager[None]:
    """In the child: all that is said inside is said as its program says it."""
    language, _space, words = os.environ.get(SPOKEN, "").partition(" ")
    return speaking(Speech(language, Words(words)) if words else Speech())


@contextmanager
def deaf_to_interrupts() -> Iterator[None]:
    """Ctrl+C goes to all processes of a terminal, and is the program's own matter: what starts within the block does
    not hear it, from its first moment on. The program hears it when the block ends. (Windows has other ways.)"""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def limit_memory() -> None:
    """From now on this process takes no more memory than `MEMORY_BYTES`: what asks for more raises MemoryError."""
    _limit("RLIMIT_AS", MEMORY_BYTES)


def limit_work() -> None:
    """The next file may take `CPU_SECONDS` of work; the system ends the process at the limit."""
    if os.name == "posix":
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        _limit("RLIMIT_CPU", int(used.ru_utime + used.ru_stime) + CPU_SECONDS)


def _limit(name: str, most: int) -> None:
    if os.name == "posix":
        import resource

        what = getattr(resource, name)
        _soft, hard = resource.getrlimit(what)
        # some systems know a limit and refuse to set it: the clock still holds there
        with suppress(ValueError, OSError):
            resource.setrlimit(what, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))
