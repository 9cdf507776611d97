"""Writing a file so that a crash in the middle leaves the old one as it was."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from pathlib import Path


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
