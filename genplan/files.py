"""Reading a file without being held up, and writing one so that a crash in the middle leaves the old one as it was.

A folder may belong to several accounts of one computer: one that its group may write. What is made in it then belongs
to that group, whose members may change it; in any other folder the user's umask decides.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import shutil
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import FileError, reason_of
from genplan.language import _, and_list

if TYPE_CHECKING:
    from filelock import FileLock

LOCK_SECONDS = 10.0


def read_file(path: Path, most: int) -> bytes:
    """The whole file, of at most `most` bytes. Raises OSError, also for a pipe or another thing that may never end,
    and for a file that is larger; its `strerror` says so."""
    with open(path, "rb", opener=_at_once) as file:
        about = os.fstat(file.fileno())
        if not stat.S_ISREG(about.st_mode):
            raise OSError(errno.EINVAL, _("it is no file that holds text"))
        if about.st_size > most:
            raise OSError(
                errno.EFBIG, _("it is larger than {most} MB, so it is some other file", most=most // 1000000)
            )
        return file.read()


def _at_once(path: str, flags: int) -> int:
    # a pipe would wait here until somebody writes
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def write_new(path: Path, data: bytes) -> None:
    """A file that is not there yet, on the disk when this returns, with the rights that its folder asks for. Raises
    OSError."""
    with open(path, "xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    _share(path)


def make_folders(folder: Path, made: list[Path] | None = None) -> None:
    """Makes a folder and its missing parents, and adds each that it made to the list. Raises OSError."""
    for path in reversed([p for p in (folder, *folder.parents) if not p.exists()]):
        path.mkdir()
        _share(path)
        if made is not None:
            made.append(path)
    if not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, _("{folder} is a file, not a folder", folder=folder))


def remove_empty(folders: Iterable[Path]) -> None:
    """Takes away those of the folders that hold nothing, the innermost first, as far as that can be done."""
    with contextlib.suppress(OSError):
        for folder in sorted(folders, reverse=True):
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()


def replace_file(path: Path, data: bytes, *, alone: bool = False) -> str:
    """Puts `data` in the place of the file at `path`, whole or not at all; returns what could not stay as it was, as a
    fragment of a sentence, or nothing (as where all who share the folder can still read and write it).

    A symlink's target is replaced. Owner, group, mode and access list of a file that is there stay where this user may
    set them. `alone`: the caller holds a lock that keeps all others from this file, so what a killed run left beside it
    is cleared away. Raises OSError, and then the old file is untouched and nothing else is left behind."""
    target = Path(os.path.realpath(path))
    if alone:
        _clear_leftovers(target)
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(4)}.new")
    try:
        write_new(fresh, data)
        lost = _keep_rights(target, fresh) if target.exists() else ""
        os.replace(fresh, target)
    except BaseException:
        with contextlib.suppress(OSError):
            fresh.unlink()
        raise
    _settle_folder(target.parent)
    return lost


def rewrite(path: Path, data: bytes) -> str:
    """`replace_file` for whoever holds the lock of a file of the case. Raises FileError with the file as it was."""
    try:
        return replace_file(path, data, alone=True)
    except OSError as error:
        raise FileError(
            _("{path} could not be written: {problem}. It is as it was.", path=path, problem=reason_of(error))
        ) from error


def _keep_rights(old: Path, fresh: Path) -> str:
    """Gives a file the owner, group, mode and access list of another; says what it may not."""
    was = old.stat()
    if os.name == "posix":
        for owner, group in ((was.st_uid, was.st_gid), (-1, was.st_gid)):
            with contextlib.suppress(PermissionError):
                os.chown(fresh, owner, group)
                break
    os.chmod(fresh, stat.S_IMODE(was.st_mode))
    # the access list is kept beside the mode, as an extended attribute; the file system may know none
    with contextlib.suppress(OSError):
        shutil.copystat(old, fresh)
        os.utime(fresh)
    if _share(fresh):
        return ""
    now = fresh.stat()
    lost = [
        what
        for what, a, b in ((_("its owner"), was.st_uid, now.st_uid), (_("its group"), was.st_gid, now.st_gid))
        if a != b
    ]
    return and_list(lost)


def _share(path: Path) -> bool:
    """In a folder that its group may write: the same for what was made in it; says whether that is so now. Only where
    it can be given that very group, since any other one may be strangers."""
    folder = path.parent.stat()
    if os.name != "posix" or not folder.st_mode & stat.S_IWGRP:
        return False
    with contextlib.suppress(PermissionError):
        os.chown(path, -1, folder.st_gid)
    made = path.stat()
    if made.st_gid == folder.st_gid:
        wanted = stat.S_IMODE(made.st_mode) | (0o070 if path.is_dir() else 0o060)
        # only the owner of a file may change its mode
        with contextlib.suppress(PermissionError):
            if wanted != stat.S_IMODE(made.st_mode):
                os.chmod(path, wanted)
    return made.st_gid == folder.st_gid


@contextlib.contextmanager
def held(lock: Path, what: str) -> Iterator[None]:
    """Holds the lock file of something, which one run at a time can. Raises FileError if another held it for
    LOCK_SECONDS, or if no lock can be had."""
    try:
        # asked for often: whoever asks seldom is passed over where many write
        handle = lock_of(lock).acquire(timeout=LOCK_SECONDS, poll_interval=0.01)
    except TimeoutError:
        raise FileError(
            _(
                "{what} is in use by another run of the program. Nothing was changed. Try again in a moment.",
                what=what,
            )
        ) from None
    except (OSError, NotImplementedError) as error:
        reason = reason_of(error) if isinstance(error, OSError) else _("its file system knows no locks")
        raise FileError(
            _(
                "{what} cannot be changed in {parent}: {reason}. Nothing was changed.",
                what=what,
                parent=lock.parent,
                reason=reason,
            )
        ) from error
    try:
        yield
    finally:
        # what was written under it is written: a lock that cannot be given back ends with the process
        with contextlib.suppress(OSError):
            handle.lock.release()


def lock_of(path: Path) -> FileLock:
    """The lock at a path, not yet held. It holds nothing to read, so everybody who may write in its folder may lock
    it. Raises OSError."""
    from filelock import FileLock

    _give_way(path)
    with contextlib.suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        if path.parent.stat().st_mode & stat.S_IWOTH:
            os.chmod(path, 0o606)
        _share(path)
    return FileLock(path)


def _give_way(lock: Path) -> None:
    """Takes away a lock file that somebody else left, which this user may not open, if nobody holds it. Raises
    TimeoutError if somebody does, PermissionError where that cannot be seen or done, OSError where it is not for whose
    it is that nobody may write."""
    if os.name != "posix" or not lock.exists():
        return
    with contextlib.suppress(PermissionError):
        os.close(os.open(lock, os.O_RDWR))
        return
    import fcntl

    refused = PermissionError(
        _("the file {lock} belongs to another account; delete it when no other run is open", lock=lock.name),
    )
    try:
        with open(lock, "rb") as file:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            lock.unlink()
    except BlockingIOError:
        raise TimeoutError from None
    except OSError as error:
        raise refused from error


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
