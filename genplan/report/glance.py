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
    """`sets` says what the signs in a cell stand for, in their order, so many of them `abreast`; where they are varied
    with more, each set is a line of signs, in the order of `under`."""

    locations: tuple[str, ...]
    sets: tuple[str, ...]
    under: tuple[str, ...]
    abreast: int
    rows: tuple[GlanceRow, ...]
    words: str


ABREAST = 4
"""So many signs may stand in one line of a cell: two such cells find room beside each other on a phone."""


def glance(grid: Grid) -> Glance:
    rows = tuple(
        GlanceRow(block.adult, tuple(tuple(c.mark for c in line.cells) for line in block.lines))
        for block in grid.blocks
    )
    found = Counter(mark.word for row in rows for marks in row.cells for mark in marks)
    words = ", ".join(f"{found[m.word]} {m.word}" for m in grid.marks)
    locations = tuple(line.label for line in grid.blocks[0].lines) if grid.blocks else ()
    under = grid.under if grid.extra_names else ()
    return Glance(locations, grid.sets, under, len(under) or ABREAST, rows, words)
