"""Skills without objects: a set of nothing, made where a cell or the want of a sheet asks for one."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from genplan.casefile.diagnostics import Path
from genplan.casefile.tree import Leaf
from genplan.language import _, pgettext, said
from genplan.start.case_text import NO_OBJECTS, NOTHING
from genplan.tables.filled import Filled
from genplan.tables.headings import apart_in_every_language, plain
from genplan.tables.sheets import USING
from genplan.tables.thing_rows import Cells, Rows
from genplan.tables.understood import Table

SETS, LIKE = "material_sets", "like"


def add_nothing(filled: Filled, skills: Iterable[tuple[Table, Rows]]) -> None:
    """A new case without a sheet of things has nothing else; else a cell such as `none` says it of its skill, which is
    then probed without objects unless it says with which."""
    rows = [(path, cells) for _table, listed in skills for _row, path, cells in listed]
    if not filled.has_no_things and not any(_says_nothing(cells) for _path, cells in rows):
        return
    things = [i for i in filled.names.called[SETS] if i != NOTHING]
    for path, cells in rows:
        if _leaves_open(cells) and things and not _is_there(filled, path):
            # else a skill that says nothing of things would be tried without any, too
            meant = [NOTHING] if _says_nothing(cells) else things
            filled.values[*path, SETS] = [Leaf(i, True) for i in meant]
    if NOTHING not in filled.names.called[SETS]:
        # as `MaterialSet.is_nothing` knows it: a name alone would be a thing to be brought
        no = Leaf("no", True)
        for key, node in {"name": Leaf(said(NO_OBJECTS), False), "small_parts": no, "bring": no}.items():
            filled.values[SETS, NOTHING, key] = node
        filled.names.add(SETS, NOTHING, said(NO_OBJECTS))
    for word in _words_for_nothing() - {plain(said(NO_OBJECTS))}:
        if not filled.names.by_name[SETS].get(word):
            filled.names.by_name[SETS][word] = [NOTHING]


def tried_with_all(filled: Filled, skills: Iterable[tuple[Table, Rows]]) -> tuple[str, ...]:
    """Said of a new case in which skills are tried with every thing there is, for want of a column that says which."""
    things = [i for i in filled.names.called[SETS] if i != NOTHING]
    rows = [cells for _table, listed in skills for _row, _path, cells in listed]
    open_ = [cells for cells in rows if _leaves_open(cells) and not _says_nothing(cells)]
    if filled.tree or len(things) < 2 or not open_:
        return ()
    return (
        _(
            "Skills that do not say with which things they are tried ({number}) are tried with each of the {things}; a "
            "column 'things' beside a skill says which.",
            number=len(open_),
            things=len(things),
        ),
    )


def _leaves_open(cells: Cells) -> bool:
    """A skill that is like another is tried with the same things."""
    return SETS not in cells and LIKE not in cells


def _is_there(filled: Filled, path: Path) -> bool:
    section = filled.tree.get(path[0])
    return isinstance(section, dict) and path[1] in section


def _says_nothing(cells: Cells) -> bool:
    return any(name in cells and plain(cells[name][1]) in _words_for_nothing() for name in (USING, SETS))


@lru_cache
def _words_for_nothing() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "of a skill without objects, apart by commas", "nothing, none, no objects, without objects"
        )
    )
