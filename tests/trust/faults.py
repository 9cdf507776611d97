"""A disk that fails, or a program that is killed, at any one of its file operations below a folder.

Python's audit events name every opening, renaming, making, linking and removing before it is done; writes, syncs and
what a write leaves half done are caught beside them. An audit hook cannot be taken away again, so there is one, which
does nothing while no `Strike` is watching.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ERRORS = (errno.ENOSPC, errno.EACCES, errno.EIO, errno.EROFS)
KILLED = 9

_CHANGES = {
    "os.rename": 1,
    "os.remove": 0,
    "os.mkdir": 0,
    "os.rmdir": 0,
    "os.link": 1,
    "os.symlink": 1,
    "os.chmod": 0,
    "os.truncate": 0,
    "fcntl.flock": 0,
    "fcntl.lockf": 0,
}
"""Event -> which of its arguments is the path or the handle that is changed."""
_LOOKS = {"os.listdir": 0, "os.scandir": 0}


class Strike:
    """Watches the operations below `root`; the one of the number `at`, from 1, ends as `how` makes it. Without a number
    they are only counted. `looks`: openings to read and listings, in place of what changes something. `lasting`: every
    later one too."""

    def __init__(
        self,
        root: Path,
        at: int = 0,
        how: Callable[[str], None] | None = None,
        looks: bool = False,
        lasting: bool = False,
    ) -> None:
        self.root, self.at, self.how, self.looks, self.lasting = str(root), at, how, looks, lasting
        self.seen: list[str] = []

    def is_below(self, path: str) -> bool:
        return path == self.root or path.startswith(self.root + os.sep)

    def pass_by(self, what: str, path: str, half: Callable[[], None] = lambda: None) -> None:
        """One operation; `half` does a part of it before it fails."""
        if not self.is_below(path):
            return
        self.seen.append(f"{what} {path.removeprefix(self.root)}")
        number = len(self.seen)
        if self.how and (number == self.at or (self.lasting and number > self.at > 0)):
            half()
            self.how(path)


_watching: list[Strike] = []


def failing(code: int) -> Callable[[str], None]:
    def fail(path: str) -> None:
        raise OSError(code, os.strerror(code), path)

    return fail


def killed(_: str) -> None:
    os._exit(KILLED)


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    if not _watching:
        return
    strike = _watching[-1]
    if event == "open":
        path, _, flags = arguments
        writes = bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) if isinstance(flags, int) else False
        if isinstance(path, (str, os.PathLike)) and writes is not strike.looks:
            strike.pass_by("open", _absolute(os.fspath(path)))
    elif event in (_LOOKS if strike.looks else _CHANGES):
        which = {**_LOOKS, **_CHANGES}[event]
        folder = arguments[-1] if event in ("os.remove", "os.mkdir", "os.rmdir") else -1
        strike.pass_by(event, _absolute(arguments[which], folder))


def _absolute(path: Any, folder: Any = -1) -> str:
    if isinstance(path, int):
        return _of_handle(path)
    if path is None or isinstance(path, bytes):
        return ""
    near = _of_handle(folder) if isinstance(folder, int) and folder >= 0 else ""
    return os.path.abspath(os.path.join(near, os.fspath(path)))


def _of_handle(handle: int) -> str:
    return os.readlink(f"/proc/self/fd/{handle}")


sys.addaudithook(_hook)


class _Written:
    """A file that is written to: half of what is written arrives where the strike falls."""

    def __init__(self, file: Any, path: str, strike: Strike) -> None:
        self._file, self._path, self._strike = file, path, strike

    def write(self, data: Any) -> Any:
        def half() -> None:
            self._file.write(data[: len(data) // 2])
            self._file.flush()

        self._strike.pass_by("write", self._path, half)
        return self._file.write(data)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)

    def __enter__(self) -> _Written:
        self._file.__enter__()
        return self

    def __exit__(self, *about: Any) -> None:
        self._file.__exit__(*about)


@contextmanager
def watched(strike: Strike) -> Iterator[Strike]:
    real_open, real_fsync = builtins.open, os.fsync

    def open_(file: Any, mode: str = "r", *rest: Any, **named: Any) -> Any:
        opened = real_open(file, mode, *rest, **named)
        path = _absolute(file)
        writes = set(mode) & set("wxa+")
        return (
            _Written(opened, path, strike)
            if writes and strike.is_below(path) and not strike.looks
            else opened
        )

    def fsync(handle: Any) -> None:
        if not strike.looks:
            strike.pass_by("fsync", _of_handle(handle if isinstance(handle, int) else handle.fileno()))
        real_fsync(handle)

    _watching.append(strike)
    builtins.open = io.open = open_  # type: ignore[assignment]
    os.fsync = fsync
    try:
        yield strike
    finally:
        builtins.open = io.open = real_open  # type: ignore[assignment]
        os.fsync = real_fsync
        _watching.pop()


def in_a_child(work: Callable[[], int]) -> int:
    """The exit code of the work done in a process of its own, which shares nothing afterwards."""
    child = os.fork()
    if child == 0:
        try:
            os._exit(work())
        finally:
            os._exit(99)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)
