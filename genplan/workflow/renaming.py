"""A person, a place, a thing or a skill that is called otherwise from now on, everywhere at once."""

from __future__ import annotations

import csv
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import CaseError, UsageError
from genplan.findings import nearest
from genplan.language import _, said
from genplan.workflow.cautions_lost import MayGo, none_may_go, refuse_lost
from genplan.workflow.editing import called as as_called
from genplan.workflow.opened_case import errors_of, wall_clock
from genplan.workflow.whole_change import all_locked, write_whole

if TYPE_CHECKING:
    from genplan.casefile.renaming import Renaming
    from genplan.casefile.tree import Node


@dataclass(frozen=True)
class Renamed:
    """The id that it has now, the files in which something was changed, and the id of another one of its kind that has
    the name already."""

    id: str
    files: tuple[str, ...]
    namesake: str = ""

    @property
    def sentences(self) -> tuple[str, ...]:
        if not self.namesake:
            return ()
        return (
            _(
                "'{other}' has that name as well. Give one of the two another name, by which people can tell them"
                " apart; this change can be undone.",
                other=self.namesake,
            ),
        )


def rename(
    folder: Path,
    section: str,
    id_: str,
    name: str | None,
    now: datetime | None,
    new: str | None = None,
    may_go: MayGo = none_may_go,
) -> Renamed:
    """Gives a thing a new name and the id that comes of it, in the case, in its results and in the weeks that were
    kept; or the id `new`, and without a name only that. Raises CaseError, UsageError, FileError, and CautionsWouldGo
    where the old name says what the new one does not, or the new one speaks against what was said under the old one,
    and `may_go` does not let that go; everything is as it was then."""
    from genplan.casefile.domain_types import one_of

    called = " ".join((name or "").split())
    if not called and (name is not None or new is None):
        raise UsageError(
            _("What is the {kind} to be called? Nothing was changed.", kind=said(one_of(section)))
        )
    with all_locked(folder):
        return _renamed(folder, section, id_, called, new, now, may_go)


def section_of(folder: Path, id_: str) -> str:
    """The section in which a thing has this id. Raises UsageError where none has it, or things of several,
    CaseError where it may stand in what cannot be read."""
    from genplan.casefile.diagnostics import Diagnostics
    from genplan.casefile.domain_types import one_of
    from genplan.casefile.folder import read_folder
    from genplan.casefile.keys import SECTIONS

    notes = Diagnostics(str(folder))
    ids = _ids_in(read_folder(folder, notes))
    found = [section for section in SECTIONS if id_ in ids[section]]
    if len(found) == 1:
        return found[0]
    if found:
        kinds = _(" and ").join(said(one_of(section)) for section in found)
        raise UsageError(
            _("'{id}' is the id of several things: {kinds}. Say which with --kind.", id=id_, kinds=kinds)
        )
    if errors := errors_of(notes.findings):
        raise CaseError(errors)  # it may stand in what cannot be read
    hint = nearest(id_, {i for some in ids.values() for i in some}) or _(
        "'genplan check' says what is wrong."
    )
    raise UsageError(
        _("The case has nothing with the id '{id}'; {hint} Nothing was changed.", id=id_, hint=hint)
    )


def _ids_in(tree: Mapping[str, Node]) -> dict[str, tuple[str, ...]]:
    from genplan.casefile.keys import SECTIONS

    return {s: tuple(held) if isinstance(held := tree.get(s), dict) else () for s in SECTIONS}


def _namesake(tree: Mapping[str, Node], section: str, id_: str, called: str) -> str:
    """Another thing of the section that is called so; two children may learn a skill of one name."""
    things = tree.get(section)
    held = things if isinstance(things, dict) else {}
    own = _said(held.get(id_), "learner")
    alike = (
        other
        for other, record in held.items()
        if other != id_ and _said(record, "learner") == own and (_said(record, "name") or other) == called
    )
    return next(alike, "")


def _said(record: Node | None, key: str) -> str:
    from genplan.casefile.tree import Leaf

    value = record.get(key) if isinstance(record, dict) else None
    return " ".join(value.text.split()) if isinstance(value, Leaf) else ""


def _as_wanted(new: str, taken: Collection[str]) -> str:
    from genplan.casefile.ids_from_names import KEPT_WORDS
    from genplan.casefile.scalar_types import AN_ID, ID, id_hint

    if not ID.fullmatch(new) or new in KEPT_WORDS:
        raise UsageError(
            _(
                "'{id}' is no id: expected {form}; {hint}. Nothing was changed.",
                id=new,
                form=said(AN_ID),
                hint=id_hint(new),
            )
        )
    if new in taken:
        raise UsageError(_("The case has something with the id '{id}' already. Nothing was changed.", id=new))
    return new


def _renamed(
    folder: Path, section: str, id_: str, called: str, new: str | None, now: datetime | None, may_go: MayGo
) -> Renamed:
    from genplan.casefile import load
    from genplan.casefile.diagnostics import Diagnostics
    from genplan.casefile.domain_types import one_of
    from genplan.casefile.earlier import undoable
    from genplan.casefile.folder import read_folder
    from genplan.casefile.ids_from_names import id_from
    from genplan.casefile.renaming import Renaming
    from genplan.casefile.said_once import groups_of

    notes = Diagnostics(str(folder))
    tree = read_folder(folder, notes)
    ids = _ids_in(tree)
    if id_ not in ids[section]:
        if errors := errors_of(notes.findings):
            raise CaseError(errors)  # it may stand in what cannot be read
        raise UsageError(
            _("The case has no {kind} '{id}'. Nothing was changed.", kind=said(one_of(section)), id=id_)
        )
    taken = {i for some in ids.values() for i in some}.union(groups_of(tree)) - {id_}
    made = id_from(called, taken, one_of(section).replace(" ", "-"))
    fresh = made if new is None else _as_wanted(new, taken)
    things, kind = tree[section], said(one_of(section))
    before = as_called(things.get(id_) if isinstance(things, dict) else None, id_)
    words = (
        _("{kind} {before} is called {called} now", kind=kind, before=before, called=called)
        if called
        else _("{kind} {before} has the id {id} now", kind=kind, before=before, id=fresh)
    )
    with undoable(folder, words, wall_clock(now), ((section, id_, fresh),), locked=True):
        elsewhere = any(id_ in some for other, some in ids.items() if other != section)
        files = renamed_files(folder, Renaming(section, id_, fresh, ids["learners"], elsewhere), called)
        case, changed = load(folder).case, ((section, id_, fresh),)

        def look() -> None:
            if section == "material_sets":
                refuse_lost(case, load(folder).case, may_go, changed, typed=True, on=wall_clock(now).date())

        write_whole(folder, files, now, look)
    return Renamed(fresh, tuple(files), _namesake(tree, section, id_, called))


def renamed_files(folder: Path, renaming: Renaming, called: str) -> dict[str, bytes]:
    """The files that change, as they would be; `called` nothing, its name stays."""
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
        if called and isinstance(things, dict) and isinstance(record := things.get(new), dict):
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
