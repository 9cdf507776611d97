"""A smallest cover, made smaller until it is settled or only a search can go on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

Columns = Mapping[int, frozenset[int]]
"""Column -> the rows that it holds."""


@dataclass(frozen=True)
class Cover:
    """Columns by index, ascending; `proven`: no choice has fewer of the last resort, or as few and fewer in all."""

    picks: tuple[int, ...]
    proven: bool = True


@lru_cache(maxsize=4096)
def fewest_columns(columns: tuple[frozenset[int], ...], last_resort: frozenset[int] = frozenset()) -> Cover:
    """Columns that hold every row that any column holds: as few as can be of the `last_resort`, then as few as can be
    in all, then the first in order, so that the answer is one.

    What follows without a search is taken first, and mostly is all: a column that alone holds a row is needed; one
    whose rows another holds too is not, if that one comes before it, or if it alone is a last resort; a row that is
    held wherever another is asks for nothing. None of these changes the answer."""
    left: Columns = dict(enumerate(columns))
    needed: set[int] = set()
    before: Columns | None = None
    while left != before:
        before = left
        alone = {min(held_by) for held_by in _holders(left).values() if len(held_by) == 1}
        needed |= alone
        done = frozenset[int]().union(*(left[i] for i in alone))
        left = _without_rows(left, done)
        left = _without_rows(left, _rows_that_follow(left))
        holders = _holders(left)
        left = {i: rows for i, rows in left.items() if not _is_dominated(i, left, holders, last_resort)}
    if not left:
        return Cover(tuple(sorted(needed)))
    from genplan.planning.solver.exemplars import smallest_cover

    names = sorted(left)
    resort = frozenset(at for at, i in enumerate(names) if i in last_resort)
    picks, proven = smallest_cover([left[i] for i in names], resort)
    return Cover(tuple(sorted(needed | {names[at] for at in picks})), proven)


def _holders(left: Columns) -> Mapping[int, frozenset[int]]:
    rows = frozenset[int]().union(*left.values())
    return {row: frozenset(i for i, held in left.items() if row in held) for row in sorted(rows)}


def _without_rows(left: Columns, rows: frozenset[int]) -> Columns:
    """Columns that hold nothing else are gone with them."""
    return {i: held - rows for i, held in left.items() if held - rows}


def _rows_that_follow(left: Columns) -> frozenset[int]:
    """Those held by every column that holds some other row; of two held by the same columns the later one."""
    holders = _holders(left)
    return frozenset(
        row
        for row, held_by in holders.items()
        if any(other < held_by or (other == held_by and at < row) for at, other in holders.items())
    )


def _is_dominated(
    column: int, left: Columns, holders: Mapping[int, frozenset[int]], last_resort: frozenset[int]
) -> bool:
    """Whether another column holds all its rows and would be taken before it: one of those that hold its rarest row."""
    rank = (column in last_resort, column)
    rarest = min(left[column], key=lambda row: len(holders[row]))
    return any((i in last_resort, i) < rank and left[column] <= left[i] for i in holders[rarest])
