"""A person, a place, a thing or a skill that is called otherwise from now on, everywhere at once."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import CaseError, UsageError
from genplan.language import _, said
from genplan.workflow.opened_case import errors_of, wall_clock
from genplan.workflow.whole_change import all_locked, write_whole

if TYPE_CHECKING:
    from genplan.casefile.renaming import Renaming


@dataclass(frozen=True)
class Renamed:
    """The id that it has now, and the files in which something was changed."""

    id: str
    files: tuple[str, ...]


def rename(folder: Path, section: str, id_: str, name: str, now: datetime | None) -> Renamed:
    """Gives a thing a new name and the id that comes of it, in the case, in its results and in the weeks that were
    kept. Raises CaseError, UsageError or FileError with everything as it was."""
    from genplan.casefile.domain_types import one_of

    if not (called := " ".join(name.split())):
        raise UsageError(
            _("What is the {kind} to be called? Nothing was changed.", kind=said(one_of(section)))
        )
    with all_locked(folder):
        return _renamed(folder, section, id_, called, now)


def _renamed(folder: Path, section: str, id_: str, called: str, now: datetime | None) -> Renamed:
    from genplan.casefile.diagnostics import Diagnostics
    from genplan.casefile.domain_types import one_of
    from genplan.casefile.earlier import undoable
    from genplan.casefile.folder import read_folder
    from genplan.casefile.ids_from_names import id_from
    from genplan.casefile.keys import SECTIONS
    from genplan.casefile.renaming import Renaming
    from genplan.casefile.said_once import groups_of

    notes = Diagnostics(str(folder))
    tree = read_folder(folder, notes)
    ids = {s: tuple(held) if isinstance(held := tree.get(s), dict) else () for s in SECTIONS}
    if id_ not in ids[section]:
        if errors := errors_of(notes.findings):
            raise CaseError(errors)  # it may stand in what cannot be read
        raise UsageError(
            _("The case has no {kind} '{id}'. Nothing was changed.", kind=said(one_of(section)), id=id_)
        )
    taken = {i for some in ids.values() for i in some}.union(groups_of(tree)) - {id_}
    fresh = id_from(called, taken, one_of(section).replace(" ", "-"))
    words = _("{kind} {id} is called {called} now", kind=said(one_of(section)), id=id_, called=called)
    with undoable(folder, words, wall_clock(now), ((section, id_, fresh),), locked=True):
        elsewhere = any(id_ in some for other, some in ids.items() if other != section)
        files = renamed_files(folder, Renaming(section, id_, fresh, ids["learners"], elsewhere), called)
        write_whole(folder, files, now)
    return Renamed(fresh, tuple(files))


def renamed_files(folder: Path, renaming: Renaming, called: str) -> dict[str, bytes]:
    """The files that change, as they would be."""
    from genplan.casefile.earlier import files_of
    from genplan.casefile.edit import with_thing
    from genplan.casefile.renaming import renamed_file
    from genplan.casefile.tree import Leaf, read_tree
    from genplan.keeping.renaming import renamed_beside

    section, new = renaming.section, renaming.new
    found: dict[str, bytes] = {}
    for name, data in files_of(folder).items():
        fresh = renamed_file(name, data, renaming)
        things = read_tree(name, fresh).root.get(section)
        if isinstance(things, dict) and isinstance(record := things.get(new), dict):
            fresh = with_thing(name, fresh, (section, new), {**record, "name": Leaf(called, False)})
        if fresh != data:
            found[name] = fresh
    return found | renamed_beside(folder, renaming, {})


@dataclass(frozen=True)
class Uses:
    """What names a thing: others, by section and id (or a key at the top of the case and nothing), and rows of
    results."""

    things: tuple[tuple[str, str], ...]
    rows: int


def uses(folder: Path, section: str, id_: str) -> Uses:
    from genplan.casefile import edit
    from genplan.casefile.renaming import used_by
    from genplan.evidence.results import FILE_NAME, MOST_BYTES
    from genplan.files import read_file
    from genplan.keeping.renaming import rows_with

    try:
        rows = rows_with(read_file(folder / FILE_NAME, MOST_BYTES), section, id_)
    except (OSError, ValueError, csv.Error):
        rows = 0  # what is wrong with the file is told where it is read
    return Uses(used_by(edit.things(folder), section, id_), rows)
