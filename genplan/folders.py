"""Writing a folder of results, or several files of a case: all of it, or nothing.

Everything is first written into a hidden folder inside OUT, and so is what it will replace, as a second name of the
same file. Then each file takes its place in one step, so that none is ever missing or half. If a step fails, what was
there is put back. A run that is killed leaves its hidden folder behind; the next one puts back what lies in it and
clears it away. A living run holds a lock beside its own, so that nobody else touches that.
"""

from __future__ import annotations

import io
import os
import re
import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from genplan.errors import FileError, reason_of
from genplan.files import lock_of, make_folders, remove_empty, replace_file, write_new
from genplan.language import N_, _, said
from genplan.language.every_language import in_every_language

if TYPE_CHECKING:
    from filelock import FileLock

LAST_OF_CHANGES = N_("All else that you were told of this week stays as it is.")
LAST_OF_MESSAGES = N_("If a time does not suit you after all, say so: then it is planned again. Thank you!")
"""The last line of each such file, in the language of whoever it is for; by it a file is known as ours."""

_OWN = {
    "calendars": (re.compile(r"(all|(adult|learner|location)-.+)\.ics"), "PRODID:-//genplan//"),
    "pages": (re.compile(r"(adult|fridge)-.+\.html"), '<meta name="generator" content="genplan">'),
    "changes": (re.compile(r"(adult|learner)-.+\.txt"), LAST_OF_CHANGES),
    "messages": (re.compile(r"adult-.+\.txt"), LAST_OF_MESSAGES),
}
"""Folders of files that are named after people: the form of a name, and what marks a file as ours."""
_PLAN = ("plan.json", "told.json")
"""A folder with one of these is of a plan. It may have nothing for `changes`: what an earlier one left is not to be
sent any more."""

_STAGING = re.compile(r"\.genplan-[0-9a-f]{16}")
_LOCK = ".lock"

# In the hidden folder: what is to come, what was there, marks of what was not there; and what was there once all of
# the new is in its place, or all of the old again.
_NEW, _OLD, _ABSENT, _SETTLED = "new", "old", "absent", "settled"


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Writes each `name/with/slashes` -> bytes below `out`, which is made if it is missing.

    Other files in `out` are left alone, but for calendars, pages and changes of an earlier plan that have no successor.
    Raises FileError with nothing changed: `out` cannot be written, is a file, or holds a case."""
    out = Path(os.path.abspath(out))
    folders = sorted({_inside(out, name).parent for name in files} | {out})
    made: list[Path] = []
    with _sentence_for_os_errors(_("The results could not be written to {out}", out=out)):
        if out.is_dir():
            _clear_after_dead_runs(out)
        for folder in folders:
            if folder.name not in _OWN:
                _refuse_a_case(folder, files)
        try:
            for folder in folders:
                make_folders(folder, made)
            _write_through_staging(out, files)
        except BaseException:
            remove_empty(made)
            raise


def settle_folder(out: Path, wait: float = 0.0) -> None:
    """Puts back what a killed run had begun to replace in `out`; what is in use is left alone, or waited for so many
    seconds. Raises FileError."""
    with _sentence_for_os_errors(_("What an earlier run left in {out} could not be cleared away", out=out)):
        if out.is_dir() and os.access(out, os.R_OK):  # that it cannot be read is told by who reads it
            _clear_after_dead_runs(out, wait)


@contextmanager
def replaced(folder: Path, files: Mapping[str, bytes | None]) -> Iterator[None]:
    """Within the block the files hold what they shall; None: they are not there. They stay so if it ends well. If it
    does not, or the run is killed, all are as they were: at once, or when `settle_folder` is next called. A symlink's
    target is changed, and rights stay (`files.replace_file`). Raises FileError."""
    with ExitStack() as ends:
        with _sentence_for_os_errors(
            _("The files of {folder} could not be changed", folder=folder), _MAKE_ROOM
        ):
            staging = ends.enter_context(_staging(folder))
            ends.enter_context(_undo_on_error(folder, staging))
            for name, data in files.items():
                _add(staging / _NEW, name, data or b"")
                _remember(folder, staging, name, through=True)
            for name, data in files.items():
                if data is None:
                    (folder / name).unlink(missing_ok=True)
                else:
                    replace_file(folder / name, data, alone=True)
        yield
        with _sentence_for_os_errors(
            _("The files of {folder} could not be changed", folder=folder), _MAKE_ROOM
        ):
            os.replace(staging / _OLD, staging / _SETTLED)


def write_file(path: Path, content: bytes) -> None:
    """Replaces one file whole. Raises FileError with the old one untouched."""
    with _sentence_for_os_errors(_("{path} could not be written", path=path)):
        replace_file(path, content)


def add_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Adds files to a folder that has none of these names, all of them or none. Raises FileError."""
    made: list[Path] = []
    with _sentence_for_os_errors(_("{folder} could not be written into", folder=folder)):
        try:
            for name, content in files.items():
                write_new(folder / name, content)
                made.append(folder / name)
        except BaseException:
            for path in made:
                path.unlink(missing_ok=True)
            raise


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files in one ZIP, the same for the same files: without the moment at which it was made."""
    held = io.BytesIO()
    from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

    with ZipFile(held, "w") as packed:
        for name in sorted(files):
            packed.writestr(ZipInfo(name), files[name], ZIP_DEFLATED)
    return held.getvalue()


def _refuse_a_case(out: Path, files: Mapping[str, bytes]) -> None:
    """A case folder is the user's own: results beside its files would be read as a part of it. A results.csv of tables
    is none of a case."""
    if not out.is_dir():
        return
    held = sorted(
        p.name
        for p in out.iterdir()
        if (p.name == "results.csv" and p.name not in files) or p.suffix in (".yaml", ".yml")
    )
    if held:
        raise FileError(
            _(
                "{out} holds a case ({held}), so no results are written into "
                "it. Name a folder of its own, for instance {example}.",
                out=out,
                held=held[0],
                example=out / "out",
            )
        )


def _write_through_staging(out: Path, files: Mapping[str, bytes]) -> None:
    with _staging(out) as staging:
        for name, content in files.items():
            _add(staging / _NEW, name, content)
        stale = _stale(out, files)
        with _undo_on_error(out, staging):
            for name in (*files, *stale):
                _remember(out, staging, name)
            for name in files:
                os.replace(staging / _NEW / name, out / name)
            for name in stale:
                (out / name).unlink()
            os.replace(staging / _OLD, staging / _SETTLED)


def _add(folder: Path, name: str, content: bytes) -> None:
    fresh = _inside(folder, name)
    make_folders(fresh.parent)
    write_new(fresh, content)


@contextmanager
def _staging(out: Path) -> Iterator[Path]:
    """A hidden folder in `out` for as long as it is used. It is locked before it exists."""
    staging = out / f".genplan-{secrets.token_hex(8)}"
    lock = lock_of(Path(f"{staging}{_LOCK}"))
    try:
        # a file system without locks: nobody else can lock it either, so it counts as in use
        with suppress(NotImplementedError):
            lock.acquire()
        make_folders(staging / _OLD)
        yield staging
    finally:
        _clear(staging, lock)


def _clear_after_dead_runs(out: Path, wait: float = 0.0) -> None:
    names = {p.name.removesuffix(_LOCK) for p in out.iterdir()}
    for staging in (out / name for name in sorted(names) if _STAGING.fullmatch(name)):
        try:
            lock = lock_of(Path(f"{staging}{_LOCK}"))
            lock.acquire(timeout=wait, poll_interval=0.01)
        except (TimeoutError, NotImplementedError):
            continue
        _put_back(out, staging)
        _clear(staging, lock)


def _put_back(out: Path, staging: Path) -> None:
    """What was there before, as it was; but what somebody else has changed since stays. Can be begun again where it was
    broken off."""
    old, absent = staging / _OLD, staging / _ABSENT
    if not old.is_dir():
        return
    for path in _files_below(old):
        place = out / path.relative_to(old)
        place.parent.mkdir(parents=True, exist_ok=True)
        if _changed_since(place, path, staging / _NEW / path.relative_to(old)):
            path.unlink()
        elif place.is_symlink() and not path.is_symlink():
            replace_file(place, path.read_bytes(), alone=True)
            path.unlink()
        else:
            os.replace(path, place)
    for path in _files_below(absent) if absent.is_dir() else ():
        place = out / path.relative_to(absent)
        if not _changed_since(place, path, staging / _NEW / path.relative_to(absent)):
            place.unlink(missing_ok=True)
    os.replace(old, staging / _SETTLED)


def _files_below(folder: Path) -> list[Path]:
    """Files and symlinks, sorted. `Path.rglob` passes over a folder that may not be listed: what lies in it would be
    lost. Raises OSError."""

    def refuse(error: OSError) -> None:
        raise error

    walked = os.walk(folder, onerror=refuse)
    found = (Path(place, name) for place, folders, names in walked for name in (*names, *folders))
    return sorted(p for p in found if p.is_symlink() or p.is_file())


def _changed_since(place: Path, old: Path, new: Path) -> bool:
    """Whether a file holds neither what was there nor what was put there; what was put is known of a case alone, whose
    files people write in themselves."""
    if not (new.is_file() and place.is_file()):
        return False
    return place.read_bytes() not in (old.read_bytes(), new.read_bytes())


def _clear(staging: Path, lock: FileLock) -> None:
    """Takes the hidden folder away, but not what is still to be put back."""
    kept = (staging / _OLD).is_dir() and any((staging / _OLD).iterdir())
    if not kept:
        shutil.rmtree(staging, ignore_errors=True)
    with suppress(OSError):
        lock.release()
    if not kept:
        with suppress(OSError):
            Path(lock.lock_file).unlink(missing_ok=True)


def _inside(root: Path, name: str) -> Path:
    parts = PurePosixPath(name).parts
    if not parts or ".." in parts or "\\" in name or PurePosixPath(name).is_absolute():
        raise ValueError(f"'{name}' would lie outside the folder of results")
    return root.joinpath(*parts)


def _stale(out: Path, files: Mapping[str, bytes]) -> list[str]:
    """Calendars, pages and changes that an earlier plan left and this one does not replace: of our naming and marked as
    ours, in folders that this plan writes into, or that are its own."""
    found = []
    names = [PurePosixPath(name) for name in files]
    folders = {n.parent for n in names} | {n.parent / "changes" for n in names if n.name in _PLAN}
    for folder in sorted(folders):
        if folder.name not in _OWN or not (out / folder).is_dir():
            continue
        form, mark = _OWN[folder.name]
        for path in sorted((out / folder).iterdir()):
            name = str(folder / path.name)
            if name not in files and form.fullmatch(path.name) and path.is_file() and _holds(path, mark):
                found.append(name)
    return found


def _holds(path: Path, mark: str) -> bool:
    content = path.read_bytes()
    return any(said.encode() in content for said in in_every_language(mark))


def _remember(out: Path, staging: Path, name: str, *, through: bool = False) -> None:
    """Gives what is at a name a second one in the hidden folder, or marks that nothing is there. Of a symlink the link,
    or `through` it what it leads to."""
    target = out / name
    if target.is_dir() and not target.is_symlink():
        raise IsADirectoryError(
            _("{target} is a folder, and a file of that name is to be written", target=target)
        )
    there = os.path.lexists(target)
    kept = staging / (_OLD if there else _ABSENT) / name
    make_folders(kept.parent)
    if not there:
        kept.touch()
        return
    if through and target.is_symlink():
        shutil.copy2(target, kept)
        return
    try:
        os.link(target, kept, follow_symlinks=False)
    except (OSError, NotImplementedError):
        # not every file system knows two names of one file
        shutil.copy2(target, kept, follow_symlinks=False)


@contextmanager
def _undo_on_error(out: Path, staging: Path) -> Iterator[None]:
    """On any error, an interrupt too, each name gets back what it had."""
    try:
        yield
    except BaseException:
        try:
            _put_back(out, staging)
        except OSError as error:
            raise FileError(
                _(
                    "The results could not be written to {out}, and what was there could not "
                    "all be put back ({problem}). It lies in {staging}. Run it again when "
                    "the disk can be written: then it is put back first.",
                    out=out,
                    problem=reason_of(error),
                    staging=staging,
                )
            ) from error
        raise


_MAKE_ROOM = N_("Make room, or get the right to write there, and do it again.")


@contextmanager
def _sentence_for_os_errors(
    what: str,
    advice: str = N_("Name another place, or make room or get the right to write there, and run it again."),
) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = reason_of(error)
        raise FileError(
            _(
                "{what}: {reason}. Nothing was changed. {advice}",
                what=what,
                reason=f"{reason[0].lower()}{reason[1:]}",
                advice=said(advice),
            )
        ) from error
