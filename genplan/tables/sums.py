"""Rows of sums below the rows of a sheet: they are not read, and that is said."""

from __future__ import annotations

from dataclasses import replace

from genplan.evidence.sheet_faults import quoted
from genplan.language import _
from genplan.tables.filled import Filled
from genplan.tables.headings import is_a_sum
from genplan.tables.sheets import HOURS_IN, REMARK, RESULTS
from genplan.tables.understood import OF_ONE, Table

_COUNTS = frozenset({"trials", "correct", "prompted", "observer_correct"})


def say_it_is_a_sum(table: Table, filled: Filled, row: int, column: int) -> None:
    """Of each: one of them may be a row that is missed."""
    if table.kind is RESULTS:
        hint = _("put {mark} before it; if it is a result, write its date beside it", mark=REMARK)
    else:
        hint = _("put {mark} before it; what is really called so needs an id beside it", mark=REMARK)
    filled.warn(table.grid, row, column, _("a row of sums, which is not read"), hint)


def without_sums(table: Table, filled: Filled) -> Table:
    """Of rows that are about things which others are about: a person or a place may be called so. Counts of results
    with nothing beside them are told, since they are most likely sums."""
    rows = []
    for row, cells in table.rows:
        column, first = next(iter(sorted(cells.values())))
        if any(
            cells.get(heading, (column,))[0] != column for heading in ("id", *OF_ONE.get(table.kind.name, ()))
        ):
            rows.append((row, cells))
        elif is_a_sum(first) and not any(filled.names.is_known(s, first) for s in HOURS_IN):
            say_it_is_a_sum(table, filled, row, column)
        elif table.kind is RESULTS and cells.keys() <= _COUNTS:
            found = _("{number} and nothing that it is of", number=quoted(first))
            hint = _("if it is a sum, take it out, or put {mark} into the first cell of the row", mark=REMARK)
            filled.tell(table.grid, row, column, found, _("a row of results, or none"), hint)
        else:
            rows.append((row, cells))
    return replace(table, rows=tuple(rows))
