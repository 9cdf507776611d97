"""Reading a file without being held up, and writing one so that a crash in the middle leaves the old one as it was."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
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


def replace_file(path: Path, data: bytes) -> None:
    """Puts `data` in the place of the file at `path`, whole or not at all.

    A symlink's target is replaced; the mode of a file that is there stays. Raises OSError, and then the old
    file is untouched and nothing else is left behind."""
    target = Path(os.path.realpath(path))
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(4)}.new")
    try:
        with open(fresh, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            os.chmod(fresh, stat.S_IMODE(target.stat().st_mode))
        os.replace(fresh, target)
    except BaseException:
        with contextlib.suppress(OSError):
            fresh.unlink()
        raise
    _settle_folder(target.parent)


def _settle_folder(folder: Path) -> None:
    # the new name itself must reach the disk; only POSIX lets a folder be opened for that
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
