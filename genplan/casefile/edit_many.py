"""Changing many things of a case at once, in the files where they stand (`folders.replaced` puts these in place)."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath

from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.edit import bytes_of, home_of, put_in, with_things
from genplan.casefile.folder import read_folder
from genplan.casefile.keys import CASE
from genplan.casefile.patch import patched
from genplan.casefile.tree import Node

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
