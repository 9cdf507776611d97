"""Writing the folder of results: all of it, or nothing.

Everything is first written into a hidden folder inside OUT and then moved into place. If a move fails, what
was moved is moved back. A run that is killed leaves its hidden folder behind; the next one puts back what lies
in it and clears it away. A living run holds a lock beside its own, so that nobody else touches that.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path, PurePosixPath

from filelock import FileLock, Timeout

from genplan.errors import FileError
from genplan.files import replace_file

_OWN = {
    "calendars": (re.compile(r"(all|(adult|learner|location)-.+)\.ics"), b"PRODID:-//genplan//"),
    "pages": (re.compile(r"adult-.+\.html"), b'<meta name="generator" content="genplan">'),
}
"""Folders of files that are named after people: the form of a name, and what marks a file as ours."""

_STAGING = re.compile(r"\.genplan-[0-9a-f]{16}")
_LOCK = ".lock"


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Writes each `name/with/slashes` -> bytes below `out`, which is made if it is missing.

    Other files in `out` are left alone, but for calendars and pages of an earlier plan that have no successor.
    Raises FileError with nothing changed: `out` cannot be written, is a file, or holds a case."""
    out = Path(os.path.abspath(out))
    folders = sorted({_inside(out, name).parent for name in files} | {out})
    made: list[Path] = []
    with _sentence_for_os_errors(f"The results could not be written to {out}"):
        for folder in folders:
            if folder.name not in _OWN:
                _refuse_a_case(folder)
        try:
            for folder in folders:
                made += _make_folders(folder)
            _clear_after_dead_runs(out)
            _write_through_staging(out, files)
        except BaseException:
            _remove_empty(sorted(made, reverse=True))
            raise


def write_file(path: Path, content: bytes) -> None:
    """Replaces one file whole. Raises FileError with the old one untouched."""
    with _sentence_for_os_errors(f"{path} could not be written"):
        replace_file(path, content)


def _refuse_a_case(out: Path) -> None:
    """A case folder is the user's own: results beside its files would be read as a part of it."""
    if not out.is_dir():
        return
    held = sorted(p.name for p in out.iterdir() if p.name == "results.csv" or p.suffix in (".yaml", ".yml"))
    if held:
        raise FileError(
            f"{out} holds a case ({held[0]}), so no results are written into it."
            f" Name a folder of its own, for instance {out / 'out'}."
        )


def _make_folders(folder: Path) -> list[Path]:
    """Makes a folder and its missing parents; returns those that were missing."""
    missing = [p for p in (folder, *folder.parents) if not p.exists()]
    for path in reversed(missing):
        path.mkdir()
    if not folder.is_dir():
        raise NotADirectoryError(f"{folder} is a file, not a folder")
    return missing


def _write_through_staging(out: Path, files: Mapping[str, bytes]) -> None:
    with _staging(out) as staging:
        for name, content in files.items():
            _write_new(_inside(staging / "new", name), content)
        with _undo_on_error(out, staging / "old") as moved:
            for name in _stale(out, files):
                moved.append(_put_aside(out, staging / "old", name))
            for name in files:
                moved.append(_put_aside(out, staging / "old", name))
                os.replace(staging / "new" / name, out / name)


@contextmanager
def _staging(out: Path) -> Iterator[Path]:
    """A hidden folder in `out` for as long as it is used. It is locked before it exists."""
    staging = out / f".genplan-{secrets.token_hex(8)}"
    lock = FileLock(f"{staging}{_LOCK}")
    # a file system without locks: nobody else can lock it either, so it counts as in use
    with suppress(NotImplementedError):
        lock.acquire()
    try:
        staging.mkdir()
        yield staging
    finally:
        _clear(staging, lock)


def _clear_after_dead_runs(out: Path) -> None:
    names = {p.name.removesuffix(_LOCK) for p in out.iterdir()}
    for staging in (out / name for name in sorted(names) if _STAGING.fullmatch(name)):
        lock = FileLock(f"{staging}{_LOCK}")
        try:
            lock.acquire(timeout=0)
        except (Timeout, NotImplementedError):
            continue
        old = staging / "old"
        for path in sorted(p for p in old.rglob("*") if p.is_symlink() or p.is_file()):
            place = out / path.relative_to(old)
            place.parent.mkdir(parents=True, exist_ok=True)
            os.replace(path, place)
        _clear(staging, lock)


def _clear(staging: Path, lock: FileLock) -> None:
    shutil.rmtree(staging, ignore_errors=True)
    lock.release()
    with suppress(OSError):
        Path(lock.lock_file).unlink(missing_ok=True)


def _inside(root: Path, name: str) -> Path:
    parts = PurePosixPath(name).parts
    if not parts or ".." in parts or "\\" in name or PurePosixPath(name).is_absolute():
        raise ValueError(f"'{name}' would lie outside the folder of results")
    return root.joinpath(*parts)


def _write_new(path: Path, content: bytes) -> None:
    """With the modes that the user's umask gives."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _stale(out: Path, files: Mapping[str, bytes]) -> list[str]:
    """Calendars and pages that an earlier plan left and this one does not replace: of our naming and marked as
    ours, in folders that this plan writes into."""
    found = []
    for folder in sorted({PurePosixPath(name).parent for name in files}):
        if folder.name not in _OWN or not (out / folder).is_dir():
            continue
        form, mark = _OWN[folder.name]
        for path in sorted((out / folder).iterdir()):
            name = str(folder / path.name)
            is_ours = form.fullmatch(path.name) and path.is_file() and mark in path.read_bytes()
            if name not in files and is_ours:
                found.append(name)
    return found


def _put_aside(out: Path, old: Path, name: str) -> str:
    """Moves what is at a name out of the way, if anything is."""
    target, kept = out / name, old / name
    if target.is_dir() and not target.is_symlink():
        raise IsADirectoryError(f"{target} is a folder, and a file of that name is to be written")
    if os.path.lexists(target):
        kept.parent.mkdir(parents=True, exist_ok=True)
        os.replace(target, kept)
    return name


@contextmanager
def _undo_on_error(out: Path, old: Path) -> Iterator[list[str]]:
    """Collects the names that were put aside; on any error, an interrupt too, each gets back what it had."""
    moved: list[str] = []
    try:
        yield moved
    except BaseException:
        for name in reversed(moved):
            (out / name).unlink(missing_ok=True)
            if os.path.lexists(old / name):
                os.replace(old / name, out / name)
        raise


def _remove_empty(folders: Iterable[Path]) -> None:
    for folder in folders:
        if folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()


@contextmanager
def _sentence_for_os_errors(what: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileError(
            f"{what}: {reason[0].lower()}{reason[1:]}. Nothing was changed."
            " Name another place, or make room or get the right to write there, and run it again."
        ) from error
