"""Earlier states of a case: before each change made by the program the files that it changes are put aside, dated, so
that every change can be undone. The results are no part of it: their rows are never taken away.

A state holds its files as they were before one change. Going back to it puts back, of each file that was changed since,
the oldest copy; that is a change like another, and can be undone too."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan.casefile.plaintext import MOST_BYTES
from genplan.errors import FileError, UsageError
from genplan.files import make_folders, read_file, write_new

FOLDER = ".earlier"
ABOUT = "about.json"
MOST = 40
"""States that are kept; the oldest give way."""
_NAME = re.compile("[0-9]{6}")

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
        return {p.name: read_file(p, MOST_BYTES) for p in sorted(folder.glob("*.yaml")) if p.is_file()}
    except OSError as problem:
        raise FileError(f"The files of the case could not be read ({problem.strerror}).") from problem


@contextmanager
def undoable(folder: Path, words: str, when: datetime, renamed: tuple[Renaming, ...] = ()) -> Iterator[None]:
    """Puts aside what is changed within. Where nothing changes, or it fails, nothing is put aside."""
    before = files_of(folder)
    yield
    after = files_of(folder)
    changed = {n: before.get(n) for n in sorted({*before, *after}) if before.get(n) != after.get(n)}
    if changed:
        # what cannot be put aside is no reason to call a change that was made a failure
        with suppress(OSError):
            _put_aside(folder, words, when, changed, renamed)


def _put_aside(
    folder: Path,
    words: str,
    when: datetime,
    changed: Mapping[str, bytes | None],
    renamed: tuple[Renaming, ...],
) -> None:
    numbers = _numbers(folder)
    place = folder / FOLDER / f"{max(numbers, default=0) + 1:06d}"
    make_folders(place)
    for name, data in changed.items():
        if data is not None:
            write_new(place / name, data)
    about = {"when": when.isoformat(), "words": words, "files": list(changed), "renamed": renamed}
    write_new(place / ABOUT, (json.dumps(about, ensure_ascii=False, indent=1) + "\n").encode("utf-8"))
    for number in numbers[: max(0, len(numbers) + 1 - MOST)]:
        shutil.rmtree(folder / FOLDER / f"{number:06d}", ignore_errors=True)


def _numbers(folder: Path) -> list[int]:
    try:
        names = [p.name for p in (folder / FOLDER).iterdir()]
    except OSError:
        return []
    return sorted(int(name) for name in names if _NAME.fullmatch(name))


def states(folder: Path) -> tuple[State, ...]:
    """The earlier states, the latest first; what cannot be read is none."""
    found = [_state(folder, number) for number in reversed(_numbers(folder))]
    return tuple(state for state in found if state)


def _state(folder: Path, number: int) -> State | None:
    place = folder / FOLDER / f"{number:06d}"
    try:
        about: dict[str, Any] = json.loads(read_file(place / ABOUT, MOST_BYTES))
        json.dumps(about, ensure_ascii=False).encode("utf-8")  # half a sign can be shown nowhere
        names = [n for n in about["files"] if Path(n).name == n and n.endswith(".yaml") and n.isprintable()]
        files = {n: read_file(place / n, MOST_BYTES) if (place / n).exists() else None for n in names}
        renamed = tuple((str(section), str(old), str(new)) for section, old, new in about["renamed"])
        return State(number, datetime.fromisoformat(about["when"]), str(about["words"]), files, renamed)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def as_it_was(folder: Path, number: int) -> tuple[dict[str, bytes | None], tuple[Renaming, ...]]:
    """The files that a state has otherwise than the case now, and the ids to be changed back, in order. Raises
    UsageError for a state that is not there any more."""
    since = [state for state in states(folder) if state.number >= number]
    if not since or since[-1].number != number:
        raise UsageError("This earlier state of the case is not kept any more. Nothing was changed.")
    files: dict[str, bytes | None] = {}
    for state in since:  # the latest first, so that the oldest copy is what remains
        files |= state.files
    back = ((section, new, old) for state in since for section, old, new in reversed(state.renamed))
    return files, tuple(back)
