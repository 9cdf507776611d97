"""Which sheet one of an unknown name is, by its headings; which of two things a heading means."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from genplan.evidence.log import ResultKind
from genplan.language.every_language import meant_in_any
from genplan.tables.grids import Grid
from genplan.tables.headings import day_headed, kinds, plain, sheet_names
from genplan.tables.sheets import (
    ADULTS,
    CHANGES,
    HOURS,
    REMARK,
    RESULTS,
    ROLE,
    SHEETS,
    THE_CASE,
    Column,
    SheetKind,
)

MOST_TITLES = 10
"""Rows above the headings that may be a title or remarks."""
FEWEST = 2
"""Headings by which a sheet is known."""
GUESSED = tuple(kind for kind in SHEETS if kind not in (CHANGES, THE_CASE))
OF_RESULTS = frozenset({"date", "target", "correct"})
"""Without these it is no sheet of results, whatever else it has: a skill has a child, adults and places too."""
CHILD = "child"
RESULT_KINDS = tuple(kind.value for kind in ResultKind)


def kinds_by_headings(grid: Grid) -> tuple[SheetKind, ...]:
    """The kinds that know most of its headings, of which one says what a row is of: one alone where that is clear. Days
    beside names are hours, unless other headings say more; else the name of the sheet decides."""
    for cells in first_rows(grid):
        known = {kind.name: _known(kind, cells) for kind in GUESSED}
        most = max(known.values())
        if most < FEWEST:
            continue
        best = tuple(kind for kind in GUESSED if known[kind.name] == most)
        if len(best) > 1 and HOURS in best and sum(bool(day_headed(c)) for c in cells) >= FEWEST:
            return (HOURS,)
        named = tuple(kind for kind in best if _named(kind, grid.name))
        return named if len(named) == 1 else best
    return ()


def is_of_adults(grid: Grid, others: Collection[Grid]) -> bool:
    """Whether a sheet that is called one of hours, such as a rota, says itself who the adults are: with their roles,
    where no other sheet is of adults, and with one row for each, or with what no sheet of hours has: then two rows of
    one name are two people of that name, which is told."""
    if any(ADULTS.is_called(other.name) for other in others) or kinds_by_headings(grid) != (ADULTS,):
        return False
    headed = next((c for c in first_rows(grid) if _known(ADULTS, c) >= FEWEST), ())
    columns = {column.heading: n for n, text in enumerate(headed) if (column := ADULTS.column(text))}
    named = columns[ADULTS.naming]
    names = [cells[named].strip() for _, cells in grid.rows if named < len(cells) and cells[named].strip()]
    of_adults = any(
        ADULTS.column(text) and not HOURS.column(text) and not HOURS.is_remark(text) for text in headed
    )
    return ROLE.heading in columns and (of_adults or len(set(names)) == len(names))


def first_rows(grid: Grid) -> Iterator[Sequence[str]]:
    """Those in which headings may stand."""
    filled = (cells for _number, cells in grid.rows if any(c.strip() for c in cells))
    for _, cells in zip(range(MOST_TITLES), filled, strict=False):
        yield cells


def _known(kind: SheetKind, cells: Sequence[str]) -> int:
    """Columns of the kind that have a heading here; none where nothing would say what a row is of."""
    found = {
        c.heading
        for cell in cells
        if not cell.startswith(REMARK) and (c := kind.column(cell)) and c is not ROLE
    }
    needed = OF_RESULTS if kind is RESULTS else {kind.naming}
    return len(found) if needed <= found else 0


def _named(kind: SheetKind, name: str) -> bool:
    """`Staff list 2026` has a word for adults in it."""
    words = f" {plain(name)} "
    return any(f" {called} " in words for called in sheet_names(kind.name))


def is_of_children(kind: SheetKind, column: Column, heading: str, texts: Collection[str]) -> bool:
    """Whether a column that is headed with the German word for a child, which is the key `kind` too, holds no kinds."""
    child = kind.column(CHILD)
    if column.heading != "kind" or not child or plain(heading) not in kind.names_of(child):
        return False
    known = (plain(t) in kinds() if kind is HOURS else meant_in_any(t, RESULT_KINDS) for t in texts)
    return bool(texts) and not any(known)
