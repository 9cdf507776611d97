"""By whom, where and with what a skill was taught, each in a column of its own -> the patterns that say it."""

from __future__ import annotations

from itertools import product

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.sheet_faults import quoted
from genplan.language import _, and_list
from genplan.tables.filled import Filled
from genplan.tables.headings import plain
from genplan.tables.plain_cells import words_for_all
from genplan.tables.sheets import TAUGHT, USING
from genplan.tables.thing_rows import Cells, Rows
from genplan.tables.understood import Table


def read_taught(table: Table, filled: Filled, rows: Rows) -> None:
    for row, path, cells in rows:
        there = {heading: cells[heading] for heading in TAUGHT if heading in cells}
        if not there:
            continue
        at = (*path, "taught")
        ids: dict[str, list[str]] = {}
        for heading, (column, text) in there.items():
            try:
                ids[TAUGHT[heading]] = filled.names.ids_in(SECTION_OF[TAUGHT[heading]], text)
            except InvalidValue as problem:
                filled.refuse(at, problem, table.grid, row, column)
        if at in filled.refused:
            continue
        column = next(iter(there.values()))[0]
        try:
            patterns = _patterns(ids, there, cells, filled)
            filled.put_once(at, patterns, table.grid, row, column)
        except InvalidValue as problem:
            filled.refuse(at, problem, table.grid, row, column)


def _patterns(ids: dict[str, list[str]], there: Cells, cells: Cells, filled: Filled) -> Node:
    """Raises InvalidValue. Two adults and two places may have been taught with in all four ways, or in two of them."""
    for dimension in TAUGHT.values():
        if dimension not in ids and len(only := _only(SECTION_OF[dimension], cells, filled)) == 1:
            ids[dimension] = only
    if lacking := [heading for heading, dimension in TAUGHT.items() if dimension not in ids]:
        found = _("nothing under {headings}", headings=and_list([quoted(heading) for heading in lacking]))
        hint = _("fill it in; of several that the skill may have it is not said which teaching used")
        if USING in lacking:
            hint = _(
                "fill it in, with 'nothing' for a skill without objects; of several that the skill may have it is not "
                "said which teaching used"
            )
        raise InvalidValue(found, _("by whom, in which place and with which thing it was taught"), hint)
    if sum(len(found) > 1 for found in ids.values()) > 1:
        found = _(
            "{texts}, each of them several", texts=", ".join(quoted(text) for _c, text in there.values())
        )
        hint = _(
            "write which belong together into the column taught: adult: mum, location: home; adult: dad, location: park"
        )
        raise InvalidValue(found, _("several in one of these columns at most"), hint)
    return [
        {dimension: Leaf(id_, True) for dimension, id_ in zip(TAUGHT.values(), values, strict=True)}
        for values in product(*(ids[dimension] for dimension in TAUGHT.values()))
    ]


def _only(section: str, cells: Cells, filled: Filled) -> list[str]:
    """What the skill is probed with at all: where that is one, it was taught with it too."""
    text = cells.get(section, (0, "all"))[1]
    return (
        [*filled.names.called[section]]
        if plain(text) in words_for_all()
        else filled.names.ids_in(section, text)
    )
