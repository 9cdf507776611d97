"""Reading a file without being held up, and writing one so that a crash in the middle leaves the old one as it was."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path


def read_file(path: Path, most: int) -> bytes:
    """The whole file, of at most `most` bytes. Raises OSError, also for a pipe or another thing that may never end,
    and for a file that is larger; its `strerror` says so."""
    with open(path, "rb", opener=_at_once) as file:
        about = os.fstat(file.fileno())
        if not stat.S_ISREG(about.st_mode):
            raise OSError(errno.EINVAL, "it is no file that holds text")
        if about.st_size > most:
            raise OSError(errno.EFBIG, f"it is larger than {most // 1_000_000} MB, so it is some other file")
        return file.read()


def _at_once(path: str, flags: int) -> int:
    # a pipe would wait here until somebody writes
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def write_new(path: Path, data: bytes) -> None:
    """A file that is not there yet, on the disk when this returns; its mode is that of the user's umask. Raises
    OSError."""
    with open(path, "xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def make_folders(folder: Path, made: list[Path]) -> None:
    """Makes a folder and its missing parents, and adds each that it made to the list. Raises OSError."""
    for path in reversed([p for p in (folder, *folder.parents) if not p.exists()]):
        path.mkdir()
        made.append(path)
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, f"{folder} is a file, not a folder")


def remove_empty(folders: Iterable[Path]) -> None:
    """Takes away those of the folders that hold nothing, the innermost first, as far as that can be done."""
    with contextlib.suppress(OSError):
        for folder in sorted(folders, reverse=True):
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()


def replace_file(path: Path, data: bytes, *, alone: bool = False) -> None:
    """Puts `data` in the place of the file at `path`, whole or not at all.

    A symlink's target is replaced; the mode of a file that is there stays. `alone`: the caller holds a lock that keeps
    all others from this file, so what a killed run left beside it is cleared away. Raises OSError, and then the old
    file is untouched and nothing else is left behind."""
    target = Path(os.path.realpath(path))
    if alone:
        _clear_leftovers(target)
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(4)}.new")
    try:
        write_new(fresh, data)
        if target.exists():
            os.chmod(fresh, stat.S_IMODE(target.stat().st_mode))
        os.replace(fresh, target)
    except BaseException:
        with contextlib.suppress(OSError):
            fresh.unlink()
        raise
    _settle_folder(target.parent)


@contextlib.contextmanager
def held(lock: Path, seconds: float) -> Iterator[None]:
    """Holds a lock file, which one run at a time can. Raises TimeoutError if another held it for so many seconds, any
    other OSError where no lock can be had."""
    from filelock import FileLock

    try:
        # asked for often: whoever asks seldom is passed over where many write
        handle = FileLock(lock, timeout=seconds).acquire(poll_interval=0.01)
    except NotImplementedError as error:
        raise OSError(errno.ENOLCK, "its file system knows no locks") from error
    try:
        yield
    finally:
        # what was written under it is written: a lock that cannot be given back ends with the process
        with contextlib.suppress(OSError):
            handle.lock.release()


def _clear_leftovers(target: Path) -> None:
    form = re.compile(rf"\.{re.escape(target.name)}\.[0-9a-f]{{8}}\.new")
    with contextlib.suppress(OSError):
        for path in target.parent.iterdir():
            if form.fullmatch(path.name):
                path.unlink()


def _settle_folder(folder: Path) -> None:
    # The new name itself should reach the disk; only POSIX lets a folder be opened for that, and not every file
    # system. The file is in its place already, so a refusal is no failure.
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
