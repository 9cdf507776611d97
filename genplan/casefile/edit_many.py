"""Changing many things of a case at once, in the files where they stand: all of it or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path as FilePath

from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.edit import bytes_of, home_of, put_in, with_things
from genplan.casefile.folder import read_folder
from genplan.casefile.keys import CASE
from genplan.casefile.patch import patched
from genplan.casefile.tree import Node
from genplan.errors import FileError
from genplan.files import replace_file
from genplan.language import _

Changed = Mapping[Path, Node | None]
"""Things by their path, or top-level keys; None is to go."""


def with_all(folder: FilePath, changed: Changed) -> dict[str, bytes]:
    """The files that differ, with the things changed in them. Raises CaseError, FileError."""
    notes = Diagnostics(str(folder))
    read_folder(folder, notes)
    by_file: dict[str, dict[Path, Node | None]] = {}
    for path, node in changed.items():
        by_file.setdefault(home_of(folder, notes, path), {})[path] = node
    old = {file: bytes_of(folder / file) for file in by_file}
    fresh = {file: with_things(file, old[file], things) for file, things in by_file.items()}
    return {file: data for file, data in fresh.items() if data != old[file]}


def new_case(changed: Changed) -> bytes:
    """The text of a case that says these things, in the order in which the README tells the keys."""
    root: dict[str, Node] = {}
    for path, node in changed.items():
        root = put_in(root, path, node)
    return patched("", {key: root[key] for key in CASE if key in root}).encode("utf-8")


def replace_all(folder: FilePath, fresh: Mapping[str, bytes]) -> None:
    """Puts the files in place, and those that were put back if one cannot be. The caller holds the lock of the case.
    Raises FileError."""
    old = {file: bytes_of(folder / file) for file in fresh}
    done: list[str] = []
    for file, data in fresh.items():
        try:
            done.append(file)
            replace_file(folder / file, data, alone=True)
        except OSError as problem:
            put_back(folder, {name: old[name] for name in done})
            raise FileError(
                _(
                    "{file} could not be written ({problem}). Nothing was changed.",
                    file=file,
                    problem=problem.strerror,
                )
            ) from problem


def put_back(folder: FilePath, old: Mapping[str, bytes]) -> None:
    for file, data in old.items():
        with suppress(OSError):
            replace_file(folder / file, data, alone=True)
