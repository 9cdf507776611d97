"""Skills without objects: a set of nothing, made where a cell or the want of a sheet asks for one."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from genplan.casefile.tree import Leaf, Node
from genplan.language import _, pgettext, said
from genplan.start.case_text import NO_OBJECTS, NOTHING
from genplan.tables.filled import Filled
from genplan.tables.headings import apart_in_every_language, plain
from genplan.tables.sheets import USING
from genplan.tables.thing_rows import Cells, Rows
from genplan.tables.understood import Table

SETS = "material_sets"


def add_nothing(filled: Filled, skills: Iterable[tuple[Table, Rows]]) -> None:
    """A new case without a sheet of things has nothing else; else a cell such as `none` says it of its skill, which is
    then probed without objects unless it says with which."""
    without = [(path, cells) for _table, rows in skills for _row, path, cells in rows if _says_nothing(cells)]
    if not without and not filled.has_no_things:
        return
    for path, cells in without:
        if SETS not in cells and filled.tree.get(path[0], {}).get(path[1]) is None:  # type: ignore[union-attr]
            filled.values[*path, SETS] = [Leaf(NOTHING, True)]
    if NOTHING not in filled.names.called[SETS]:
        record: dict[str, Node] = {"name": Leaf(said(NO_OBJECTS), False)}
        if not filled.has_no_things:
            record |= {"small_parts": Leaf("no", True), "bring": Leaf("no", True)}
        for key, node in record.items():
            filled.values[SETS, NOTHING, key] = node
        filled.names.add(SETS, NOTHING, said(NO_OBJECTS))
    for word in _words_for_nothing() - {plain(said(NO_OBJECTS))}:
        if not filled.names.by_name[SETS].get(word):
            filled.names.by_name[SETS][word] = [NOTHING]


def tried_with_all(filled: Filled, skills: Iterable[tuple[Table, Rows]]) -> tuple[str, ...]:
    """Said of a new case in which skills are tried with every thing there is, for want of a column that says which."""
    things = [i for i in filled.names.called[SETS] if i != NOTHING]
    rows = [path for _table, listed in skills for _row, path, _cells in listed]
    open_ = [path for path in rows if (*path, SETS) not in filled.values]
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


def _says_nothing(cells: Cells) -> bool:
    return any(name in cells and plain(cells[name][1]) in _words_for_nothing() for name in (USING, SETS))


@lru_cache
def _words_for_nothing() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "of a skill without objects, apart by commas", "nothing, none, no objects, without objects"
        )
    )
