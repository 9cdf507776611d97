"""A matrix at a glance: adults down, locations across, a sign for each material set; their numbers in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from genplan.report.grid import Grid
from genplan.report.names_and_words import StatusMark


@dataclass(frozen=True)
class GlanceRow:
    """The marks of one adult, for each location in the order of the grid."""

    adult: str
    cells: tuple[tuple[StatusMark, ...], ...]


@dataclass(frozen=True)
class Glance:
    """`sets` says what the signs in a cell stand for, in their order."""

    locations: tuple[str, ...]
    sets: tuple[str, ...]
    rows: tuple[GlanceRow, ...]
    words: str


def glance(grid: Grid) -> Glance:
    rows = tuple(
        GlanceRow(block.adult, tuple(tuple(c.mark for c in line.cells) for line in block.lines))
        for block in grid.blocks
    )
    found = Counter(mark.word for row in rows for marks in row.cells for mark in marks)
    words = ", ".join(f"{found[m.word]} {m.word}" for m in grid.marks)
    locations = tuple(line.label for line in grid.blocks[0].lines) if grid.blocks else ()
    sets = tuple(f"{one}: {under}" if under else one for one in grid.sets for under in grid.under)
    return Glance(locations, sets, rows, words)
