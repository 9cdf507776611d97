"""What is said of whole sheets: how one was taken, which was read though nobody may expect it, which is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, Severity, nearest
from genplan.language import _, or_list
from genplan.tables.grids import Grid
from genplan.tables.headings import plain, spoken_words_for
from genplan.tables.sheets import HOURS, REMARK, RESULTS, SHEETS, SheetKind


def taken_for(kind: SheetKind, grid: Grid) -> Finding:
    found = _(
        "the sheet {name}, read as one of {kind} by its headings", name=quoted(grid.name), kind=kind.name
    )
    hint = _("put {mark} before its name if it is not to be read", mark=REMARK)
    return Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)


def read_unasked(kind: SheetKind, grid: Grid, before: Sequence[tuple[SheetKind, Grid]]) -> Iterator[Finding]:
    """What nobody may know of or expect: a sheet that is hidden, and a second one of hours."""
    hint = _("put {mark} before its name if it is not to be read", mark=REMARK)
    name = quoted(grid.name)
    if grid.hidden:
        found = _("the hidden sheet {name}, which is read as well", name=name)
        yield Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)
    if kind is HOURS and (first := next((one for of, one in before if of is HOURS), None)):
        found = _("the sheet {name}, read as hours beside {first}", name=name, first=_stands(first, grid))
        yield Finding(grid.file, 0, grid.name, found, "", hint, Severity.WARNING)


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
