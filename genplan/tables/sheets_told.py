"""What is said of whole sheets: how one was taken, which was read though nobody may expect it, which is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, Severity, nearest
from genplan.language import _, ngettext, or_list
from genplan.tables.grids import Grid, letters
from genplan.tables.headings import plain, spoken_words_for
from genplan.tables.sheets import HOURS, REMARK, RESULTS, SHEETS, SheetKind

MOST_NAMED = 12
"""Rows or columns that one sentence names."""


def taken_for(kind: SheetKind, grid: Grid) -> Finding:
    found = _(
        "the sheet {name}, read as one of {kind} by its headings", name=quoted(grid.name), kind=kind.name
    )
    hint = _("put {mark} before its name if it is not to be read", mark=REMARK)
    return Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)


def read_unasked(kind: SheetKind, grid: Grid, before: Sequence[tuple[SheetKind, Grid]]) -> Iterator[Finding]:
    """What nobody may know of or expect: a sheet that is hidden, rows and columns that are, and a second sheet of
    hours."""
    hint = _("put {mark} before its name if it is not to be read", mark=REMARK)
    name = quoted(grid.name)
    if grid.hidden:
        found = _("the hidden sheet {name}, which is read as well", name=name)
        yield Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)
    yield from _hidden_parts(grid)
    if kind is HOURS and (first := next((one for of, one in before if of is HOURS), None)):
        found = _("the sheet {name}, read as hours beside {first}", name=name, first=_stands(first, grid))
        yield Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)


def _hidden_parts(grid: Grid) -> Iterator[Finding]:
    """A child who left is often filtered out of the list, and is read."""
    texts = dict(grid.rows)
    rows = [str(n) for n in grid.hidden_rows if any(cell.strip() for cell in texts.get(n, ()))]
    columns = [
        letters(n - 1)
        for n in grid.hidden_columns
        if any(n <= len(cells) and cells[n - 1].strip() for cells in texts.values())
    ]
    found = []
    if rows:
        found.append(
            ngettext(
                "{n} hidden row, which is read as well: {rows}",
                "{n} hidden rows, which are read as well: {rows}",
                len(rows),
                rows=_first_of(rows),
            )
        )
    if columns:
        found.append(
            ngettext(
                "{n} hidden column, which is read as well: {columns}",
                "{n} hidden columns, which are read as well: {columns}",
                len(columns),
                columns=_first_of(columns),
            )
        )
    hint = _("put {mark} into the first cell of what is not to be read, or take it out", mark=REMARK)
    for what in found:
        yield Finding(grid.file, 0, grid.name, what, "", hint, Severity.WARNING)


def _first_of(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= MOST_NAMED else ", ".join((*names[:MOST_NAMED], "…"))


def sheet_of_remarks(grid: Grid) -> Finding:
    found = _("the sheet {name}, which is not read", name=quoted(grid.name))
    hint = _("put {mark} before its name, and this is not said again", mark=REMARK)
    return Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)


def unknown_sheet(grid: Grid, guessed: Sequence[SheetKind]) -> Finding:
    names = [kind.name for kind in SHEETS]
    if guessed:
        maybe = or_list([k.name for k in guessed])
        hint = _(
            "its headings may be those of {names}: name it so, or put {mark} before its name if it is not to be read",
            names=maybe,
            mark=REMARK,
        )
    elif near := nearest(plain(grid.name), chain(names, *map(spoken_words_for, names))):
        hint = _("{question} If it is not to be read, put {mark} before its name", question=near, mark=REMARK)
    else:
        hint = _("rename it, or put {mark} before its name if it is not to be read", mark=REMARK)
    found = _("the unknown sheet {name}", name=quoted(grid.name))
    return Finding(grid.file, 0, grid.name, found, _("one of {names}", names=", ".join(names)), hint)


def _stands(first: Grid, beside: Grid) -> str:
    return quoted(first.name) if first.file == beside.file else f"{first.file}: {quoted(first.name)}"


def second_sheet(grid: Grid, first: Grid) -> Finding:
    found = _("a second sheet of {kind}, beside {first}", kind=RESULTS.name, first=_stands(first, grid))
    return Finding(grid.file, 0, grid.name, found, _("one sheet of them"), _("copy the rows into one"))
