"""A coverage matrix as lines of text: a grid where there is room, a list where there is not."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from itertools import product
from textwrap import wrap

from genplan.language import _
from genplan.report.grid import Block, Grid

GAP = "  "
HEAD_WIDTH = 18


def columns_of(text: str) -> int:
    """How many columns of a terminal the text takes: wide East Asian signs two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def padded(text: str, width: int) -> str:
    return text + " " * max(0, width - columns_of(text))


def grid_lines(grid: Grid, width: int | None) -> list[str]:
    """The grid, or, if it is wider than `width` columns, a line for each combination."""
    lines = laid_out([*_head_rows(grid), *(row for block in grid.blocks for row in _block_rows(block))])
    if width is None or all(columns_of(line) <= width for line in lines):
        return lines
    return list(_as_list(grid))


def _heads(grid: Grid) -> list[tuple[str, str]]:
    """For each column the material set and the values of the extra dimensions (empty if there are none)."""
    return list(product(grid.sets, grid.under))


def _head_rows(grid: Grid) -> Iterator[list[str]]:
    """The heads of the columns, wrapped so that a long name makes no wide column."""
    for level in zip(*_heads(grid), strict=True):
        wrapped = [wrap(text, HEAD_WIDTH) for text in level]
        height = max(map(len, wrapped))
        columns = [[""] * (height - len(lines)) + lines for lines in wrapped]
        yield from (["", *line] for line in zip(*columns, strict=True))


def _block_rows(block: Block) -> Iterator[list[str]]:
    yield [block.adult]
    for line in block.lines:
        if line.barred:
            yield [f"  {line.label}", _("not possible: {barred}", barred=line.barred)]
        else:
            yield [f"  {line.label}", *(cell.text for cell in line.cells)]


def laid_out(table: Sequence[Sequence[str]]) -> list[str]:
    """Columns side by side. A row with fewer cells than the heads runs on to the right and widens nothing."""
    full = [row for row in table if len(row) == len(table[0])]
    widths = [max(columns_of(row[i]) for row in full) for i in range(len(table[0]))]
    widths[0] = max(columns_of(row[0]) for row in table if len(row) > 1)
    return [GAP.join(padded(c, w) for c, w in zip(row, widths, strict=False)).rstrip() for row in table]


def _as_list(grid: Grid) -> Iterator[str]:
    heads = [": ".join(filter(None, head)) for head in _heads(grid)]
    for block in grid.blocks:
        for line in block.lines:
            yield f"{block.adult}, {line.label}"
            if line.barred:
                yield _("  not possible: {barred}", barred=line.barred)
                continue
            yield from (f"  {head}: {cell.text}" for head, cell in zip(heads, line.cells, strict=True))
