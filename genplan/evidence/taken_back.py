"""Rows that never happened: they stay to be seen, with all they said, and nothing is made of them."""

from __future__ import annotations

from dataclasses import replace
from itertools import compress

from genplan.evidence.delimited_text import Row, Sheet

TAKEN_BACK = "taken back: "
"""Stands before the kind that the row had."""


def apart(sheet: Sheet) -> tuple[Sheet, list[Row]]:
    """The sheet without the rows that were taken back, and these as they were before."""
    gone = [at for at, kind in enumerate(sheet.column("kind")) if kind.startswith(TAKEN_BACK)]
    if not gone:
        return sheet, []
    before = [
        replace(row, cells={**row.cells, "kind": row.cells["kind"].removeprefix(TAKEN_BACK)})
        for row in map(sheet.row, gone)
    ]
    away = set(gone)
    stays = [at not in away for at in range(len(sheet.lines))]
    said = tuple(tuple(compress(column, stays)) for column in sheet.said)
    return replace(sheet, lines=tuple(compress(sheet.lines, stays)), said=said), before
