"""Earlier states of a case: before each change made by the program the files that it changes are put aside, dated, so
that every change can be undone. The results are no part of it: their rows are never taken away.

A state holds its files as they were before one change. Going back to it puts back, of each file that was changed since,
the oldest copy; that is a change like another, and can be undone too."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from dataclasses import dataclass
from datetime import datetime
from errno import EEXIST
from pathlib import Path
from typing import Any

from genplan.casefile.plaintext import MOST_BYTES
from genplan.errors import FileError, UsageError, reason_of, unreadable
from genplan.files import make_folders, read_file, remove_empty, write_new
from genplan.language import _

FOLDER = ".earlier"
ABOUT = "about.json"
MOST = 40
"""States that are kept; the oldest give way."""
_NAME = re.compile("[0-9]{6}")
_UNFINISHED = "unfinished"
"""What a state is called while it is written, and while it is taken away."""

Renaming = tuple[str, str, str]
"""Section, old id, new id."""


@dataclass(frozen=True)
class State:
    """The case before one change. `words` say what the change was; `files` are the names of the files that it changed,
    with None for one that was not there. `renamed` are ids that were changed everywhere, in the order in which that was
    done."""

    number: int
    when: datetime
    words: str
    files: Mapping[str, bytes | None]
    renamed: tuple[Renaming, ...] = ()


def files_of(folder: Path) -> dict[str, bytes]:
    """The files that a case is written in. Raises FileError."""
    try:
        return {
            p.name: read_file(p, MOST_BYTES)
            for p in sorted(folder.iterdir())
            if p.suffix == ".yaml" and p.is_file()
        }
    except OSError as problem:
        raise unreadable(problem.filename or folder, problem) from problem


@contextmanager
def undoable(
    folder: Path, words: str, when: datetime, renamed: tuple[Renaming, ...] = (), *, locked: bool = False
) -> Iterator[None]:
    """Puts aside what is changed within. Where nothing changes, or it fails, nothing is put aside. `locked`: the caller
    holds the lock of the case. Raises FileError, before anything is changed, where the states would lie elsewhere, or
    where there is no putting aside: what cannot be undone is not done."""
    make_ready(folder, locked)
    before = files_of(folder)
    with _alone(folder, locked):
        _rehearse(folder, before)
    yield
    # it could be put aside a moment ago; if not now, the change was made, and is no failure
    with suppress(OSError, FileError):
        after = files_of(folder)
        changed = {n: before.get(n) for n in sorted({*before, *after}) if before.get(n) != after.get(n)}
        if changed:
            with _alone(folder, locked):
                _put_aside(folder, words, when, changed, renamed)


def _alone(folder: Path, locked: bool) -> AbstractContextManager[None]:
    from genplan.casefile.edit import locked as case_locked

    return nullcontext() if locked else case_locked(folder)


def make_ready(folder: Path, locked: bool) -> None:
    """Clears away what a killed run left. Raises FileError where the states would lie elsewhere."""
    place = folder / FOLDER
    if place.is_symlink():
        raise FileError(
            _(
                "{place} is a symlink, and earlier states of a case are put aside in its own "
                "folder only. Nothing was changed. Take the symlink away, and do it again.",
                place=place,
            )
        )
    if os.path.lexists(place / _UNFINISHED) or _is_empty(place):
        with _alone(folder, locked):
            _clear_unfinished(place)
            remove_empty([place])


def _is_empty(place: Path) -> bool:
    try:
        return not any(place.iterdir())
    except OSError:
        return False


def _clear_unfinished(place: Path) -> None:
    """Takes away what a run left that was killed at it; of a symlink the symlink."""
    unfinished = place / _UNFINISHED
    with suppress(OSError):
        if unfinished.is_symlink():
            unfinished.unlink()
        else:
            shutil.rmtree(unfinished)


def _rehearse(folder: Path, before: Mapping[str, bytes]) -> None:
    """Puts the whole case aside and takes it away again. Raises FileError where that fails."""
    try:
        with _unfinished(folder / FOLDER, before):
            pass
    except OSError as problem:
        raise FileError(
            _(
                "The case as it is now cannot be put aside in {place}: {problem}. So the change could not be undone,"
                " and nothing was changed. See to it that there is room, and a folder that you may write into, and do"
                " it again.",
                place=folder / FOLDER,
                problem=reason_of(problem),
            )
        ) from problem


@contextmanager
def _unfinished(place: Path, held: Mapping[str, bytes]) -> Iterator[Path]:
    """A folder with these files, which is taken away again unless it gets another name within. Raises OSError."""
    unfinished = place / _UNFINISHED
    _clear_unfinished(place)
    made: list[Path] = []
    try:
        make_folders(unfinished, made)
        if unfinished not in made:  # it could not be cleared away, and may lead elsewhere
            raise FileExistsError(EEXIST, os.strerror(EEXIST))
        for name, data in held.items():
            write_new(unfinished / name, data)
        yield unfinished
    finally:
        _clear_unfinished(place)
        remove_empty(made)


def _put_aside(
    folder: Path,
    words: str,
    when: datetime,
    changed: Mapping[str, bytes | None],
    renamed: tuple[Renaming, ...],
) -> None:
    """A state gets its number once it is whole, and loses it before it is taken away. The case is locked."""
    place, numbers = folder / FOLDER, _numbers(folder)
    about = {
        "when": when.isoformat(),
        "words": words,
        "files": list(changed),
        "absent": [name for name, data in changed.items() if data is None],
        "renamed": renamed,
    }
    held = {name: data for name, data in changed.items() if data is not None}
    held[ABOUT] = (json.dumps(about, ensure_ascii=False, indent=1) + "\n").encode("utf-8")
    with _unfinished(place, held) as unfinished:
        os.rename(unfinished, place / f"{max(numbers, default=0) + 1:06d}")
    for number in numbers[: max(0, len(numbers) + 1 - MOST)]:
        os.rename(place / f"{number:06d}", place / _UNFINISHED)
        _clear_unfinished(place)


def _numbers(folder: Path) -> list[int]:
    try:
        names = [p.name for p in (folder / FOLDER).iterdir()]
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as problem:
        raise unreadable(folder / FOLDER, problem) from problem
    return sorted(int(name) for name in names if _NAME.fullmatch(name))


def states(folder: Path) -> tuple[State, ...]:
    """The earlier states, the latest first; what cannot be understood is none. Raises FileError."""
    found = [_state(folder, number) for number in reversed(_numbers(folder))]
    return tuple(state for state in found if state)


def _state(folder: Path, number: int) -> State | None:
    place = folder / FOLDER / f"{number:06d}"
    try:
        about: dict[str, Any] = json.loads(read_file(place / ABOUT, MOST_BYTES))
        json.dumps(about, ensure_ascii=False).encode("utf-8")  # half a sign can be shown nowhere
        names = [n for n in about["files"] if Path(n).name == n and n.endswith(".yaml") and n.isprintable()]
        files = {n: None if n in about["absent"] else read_file(place / n, MOST_BYTES) for n in names}
        renamed = tuple((str(section), str(old), str(new)) for section, old, new in about["renamed"])
        return State(number, datetime.fromisoformat(about["when"]), str(about["words"]), files, renamed)
    except (FileNotFoundError, NotADirectoryError, ValueError, KeyError, TypeError, RecursionError):
        return None
    except OSError as problem:
        raise unreadable(problem.filename or place, problem) from problem


@dataclass(frozen=True)
class Was:
    """What the files of a case held `since` a change `until` the next one, as far as both are known; `number` is of the
    state that holds it, None of the case as it is."""

    since: datetime | None
    until: datetime | None
    number: int | None
    files: Mapping[str, bytes | None]


def course(folder: Path) -> tuple[Was, ...]:
    """What the case was between its changes, the latest first. Raises FileError."""
    known = states(folder)
    ends = [None, *(state.when for state in known), None]
    files: dict[str, bytes | None] = {**files_of(folder)}
    found = [Was(ends[1], None, None, files)]
    for at, state in enumerate(known):
        files = {name: data for name, data in {**files, **state.files}.items() if data is not None}
        found.append(Was(ends[at + 2], state.when, state.number, files))
    return tuple(found)


def as_it_was(folder: Path, number: int) -> tuple[State, dict[str, bytes | None], tuple[Renaming, ...]]:
    """The state, the files that it has otherwise than the case now, and the ids to be changed back, in order. Raises
    UsageError for a state that is not there any more, FileError if it or one since then cannot be read: what that one
    holds would stay as it is now."""
    numbers = [n for n in reversed(_numbers(folder)) if n >= number]
    since = [state for n in numbers if (state := _state(folder, n))]
    if number not in numbers:
        raise UsageError(_("This earlier state of the case is not kept any more. Nothing was changed."))
    if broken := sorted({*numbers} - {state.number for state in since}):
        raise FileError(
            _(
                "{place} does not hold what the program put there, so the case cannot be what it was before. Nothing"
                " was changed. Go back to a later state, or put the folder back from a copy.",
                place=folder / FOLDER / f"{broken[0]:06d}",
            )
        )
    files: dict[str, bytes | None] = {}
    for state in since:  # the latest first, so that the oldest copy is what remains
        files |= state.files
    back = ((section, new, old) for state in since for section, old, new in reversed(state.renamed))
    return since[-1], files, tuple(back)
