"""Sheets of cells -> tables with their headings understood, and everything that is wrong with their form."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from genplan.evidence.sheet_faults import MOST_COLUMNS, quoted
from genplan.findings import Finding, Severity, nearest
from genplan.language import LANGUAGES, Speech, Words, _, and_list, said, speaking
from genplan.tables.grids import Grid, letters
from genplan.tables.headings import is_a_sum, plain, sheet_names
from genplan.tables.kinds import CHILD, FEWEST, MOST_TITLES, is_of_adults, is_of_children, kinds_by_headings
from genplan.tables.places_across import places_across
from genplan.tables.sheets import (
    ABOUT,
    ADULTS,
    HOURS,
    REMARK,
    RESULTS,
    SHEETS,
    SKILLS,
    SURNAME,
    WAYS,
    Column,
    SheetKind,
)
from genplan.tables.sheets_told import read_unasked, second_sheet, sheet_of_remarks, taken_for, unknown_sheet
from genplan.tables.unread_cells import unread_cells

MOST_FAULTS = 200
MERGED_DOWN = {
    HOURS.name: ("who", SURNAME.heading),
    SKILLS.name: ("learner",),
    RESULTS.name: ("learner", "target"),
}
"""Columns by sheet in which a cell that is merged over several rows is meant for each: hours of one name add up, and a
child has several skills."""
OF_ONE = {SKILLS.name: ("learner", "correct_when"), RESULTS.name: ("date", "adult", "location")}
"""A row of skills with any of them is of one, whatever it is called; so is one of results, beside the cell that is
named like a sum."""
MOST_NAMED = 8
"""Cells of a row that are named where none is known."""


@dataclass(frozen=True)
class Table:
    """A sheet with its headings understood. `columns` are by number; `rows` hold the cells of known columns that are
    filled in: the heading of a column -> its number and the text. `partly`: a heading is not known, so what a row lacks
    may stand there. `is_across`: of ways, places are the headings."""

    kind: SheetKind
    grid: Grid
    headings: int
    columns: dict[int, Column]
    rows: tuple[tuple[int, dict[str, tuple[int, str]]], ...] = ()
    partly: bool = False
    is_across: bool = False


def tables_of(grids: list[Grid]) -> tuple[list[Table], list[Finding]]:
    """The sheets that are known, of any kind as many as there are, with what is wrong in the form of each."""
    tables: list[Table] = []
    findings: list[Finding] = []
    for grid in grids:
        if plain(grid.name) == ABOUT or grid.name.startswith(REMARK) or not _filled(grid):
            continue
        kind = next((k for k in SHEETS if k.is_called(grid.name)), None)
        if kind is HOURS and is_of_adults(grid, grids):
            kind = ADULTS
            findings.append(taken_for(kind, grid))
        if kind is None and plain(grid.name) in sheet_names("notes"):
            findings.append(sheet_of_remarks(grid))
            continue
        if kind is None:
            guessed = kinds_by_headings(grid) or ((WAYS,) if places_across(grid) else ())
            kind = guessed[0] if len(guessed) == 1 else None
            findings.append(taken_for(kind, grid) if kind else unknown_sheet(grid, guessed))
        if kind is RESULTS and (first := next((t.grid for t in tables if t.kind is kind), None)):
            findings.append(second_sheet(grid, first))
        elif kind:
            findings += read_unasked(kind, grid, [(t.kind, t.grid) for t in tables])
            table, wrong = _table(kind, grid)
            findings += wrong
            tables += [table] if table else []
    return tables, findings


def _filled(grid: Grid) -> bool:
    return any(cell.strip() for _row, cells in grid.rows for cell in cells)


def _table(kind: SheetKind, grid: Grid) -> tuple[Table | None, list[Finding]]:
    if beyond := next((row for row, texts in grid.rows if any(t.strip() for t in texts[MOST_COLUMNS:])), 0):
        expected = _("{most} columns at most", most=MOST_COLUMNS)
        return None, [
            grid.finding(beyond, MOST_COLUMNS, _("a cell far to the right"), expected, _("take it out"))
        ]
    across = places_across(grid) if kind is WAYS else None
    headed = None if across else _headings(kind, grid)
    if across:
        number, columns = across
        findings = _beside_places(grid, number, columns)
    elif headed:
        number = headed[0]
        columns, findings = _columns(kind, grid, *headed)
    else:
        return None, [_no_headings(kind, grid)]
    partly = any(f.severity is Severity.ERROR for f in findings)
    names_down = _names_down(grid, number, columns, MERGED_DOWN.get(kind.name, ()))
    findings += islice(_merged_cells(grid, number, names_down, columns), MOST_FAULTS)
    if headed:
        unread = {i for i, text in enumerate(headed[1]) if kind.is_remark(text) and not kind.column(text)}
        read = {row for row, texts in grid.rows if not _is_remark(texts)}
        findings += islice(unread_cells(kind, grid, number, unread, read), MOST_FAULTS)
    with_problems = {row for row, _column in grid.problems}
    rows = []
    for row, texts in grid.rows:
        if row <= number or _is_remark(texts) or (row == number + 1 and _explains(columns, texts)):
            continue
        for column, name in names_down.get(row, {}).items():
            texts = (*texts[:column], name, *texts[column + 1 :])
        for column in columns if row - 1 in with_problems else ():
            if (problem := grid.problems.get((row - 1, column))) and len(findings) < MOST_FAULTS:
                findings.append(grid.finding(row, column, *problem))
        filled = _cells(kind, columns, texts)
        if (at := _called_a_sum(kind, filled, texts)) >= 0:
            findings.append(_sum_told(kind, grid, row, at))
        elif filled:
            rows.append((row, filled))
    return Table(kind, grid, number, columns, tuple(rows), partly, across is not None), findings


def _called_a_sum(kind: SheetKind, filled: Mapping[str, tuple[int, str]], texts: Sequence[str]) -> int:
    """The column in which a row that names nothing says that it is one of sums: in any, one that nobody reads too; a
    number names nothing. What stands in the column that names a row may be a name, which is known later."""
    named = {heading for heading, (_column, text) in filled.items() if re.search(r"[^\d.,]", text)}
    if named & {kind.naming, "id", SURNAME.heading, *OF_ONE.get(kind.name, ())}:
        return -1
    return next((i for i, text in enumerate(texts) if is_a_sum(text)), -1)


def _sum_told(kind: SheetKind, grid: Grid, row: int, column: int) -> Finding:
    hint = _("put {mark} into its first cell, and this is not said again", mark=REMARK)
    if kind is RESULTS:
        hint = _("put {mark} before it; if it is a result, write its date beside it", mark=REMARK)
    told = grid.finding(row, column, _("a row of sums, which is not read"), "", hint)
    return replace(told, severity=Severity.WARNING)


def _no_headings(kind: SheetKind, grid: Grid) -> Finding:
    """Told at the row that looks most like one of headings: the first with several cells, where there is one."""
    rows = [(row, {i: c.strip() for i, c in enumerate(cells) if c.strip()}) for row, cells in grid.rows]
    row, cells = next((r for r in rows if len(r[1]) >= FEWEST), next(r for r in rows if r[1]))
    named = [quoted(text) for text in cells.values()]
    if len(named) > MOST_NAMED:
        named = [*named[:MOST_NAMED], _("{number} more", number=len(named) - MOST_NAMED)]
    known = [quoted(text) for text in cells.values() if kind.column(text)]
    if known:
        found = _("no known heading but {known} among {cells}", cells=and_list(named), known=known[0])
    else:
        found = _("no known heading among {cells}", cells=and_list(named))
    others = ", ".join(c.heading for c in kind.columns if c.heading != kind.naming)
    expected = _("the heading '{naming}', and beside it some of {others}", naming=kind.naming, others=others)
    hint = _("write the headings above the rows, or put {mark} before a title", mark=REMARK)
    return grid.finding(row, min(cells), found, expected, hint)


def _cells(kind: SheetKind, columns: dict[int, Column], texts: Sequence[str]) -> dict[str, tuple[int, str]]:
    """What is filled in; a surname stands with the first name."""
    filled = {
        columns[i].heading: (i, text.strip()) for i, text in enumerate(texts) if i in columns and text.strip()
    }
    if surname := filled.pop(SURNAME.heading, None):
        column, name = filled.get(kind.naming, surname)
        filled[kind.naming] = (column, name if (column, name) == surname else f"{name} {surname[1]}")
    return filled


def _is_remark(texts: tuple[str, ...]) -> bool:
    first = next((t for t in texts if t.strip()), "")
    return not first or first.lstrip().startswith(REMARK)


def _headings(kind: SheetKind, grid: Grid) -> tuple[int, tuple[str, ...]] | None:
    """The row with the most known headings, of two the first: a title such as `Children` may be one. There have to be
    two, or nothing but one; else the first with the one that says what a row is of, beside others, or with two that are
    known or near to one: it is then told that these are not known. A row that begins with a sign of remarks is one
    only where its other cells are more known headings than any other row has."""
    rows = [r for r in grid.rows if any(c.strip() for c in r[1])][:MOST_TITLES]
    if best := max(rows, key=lambda r: _known_headings(kind, r[1]), default=None):
        known = _known_headings(kind, best[1])
        if known >= FEWEST or (known and known == sum(bool(c.strip()) for c in best[1])):
            return best
    rows = [r for r in rows if not _is_remark(r[1])]
    for number, cells in rows:
        if any((column := kind.column(c)) and column.heading == kind.naming for c in cells):
            return number, cells
    for number, cells in rows:
        if sum(_is_like_a_heading(kind, c) for c in cells) >= FEWEST:
            return number, cells
    return None


def _known_headings(kind: SheetKind, cells: Sequence[str]) -> int:
    known = {c.heading for text in cells if not text.strip().startswith(REMARK) and (c := kind.column(text))}
    return len(known)


def _is_like_a_heading(kind: SheetKind, text: str) -> bool:
    return kind.column(text) is not None or nearest(plain(text), kind.near_words()) != ""


def _columns(
    kind: SheetKind, grid: Grid, number: int, cells: tuple[str, ...]
) -> tuple[dict[int, Column], list[Finding]]:
    columns: dict[int, Column] = {}
    findings: list[Finding] = []
    unknown: list[int] = []
    width = max((len(texts[:MOST_COLUMNS]) for row, texts in grid.rows if row >= number), default=0)
    for i in range(width):
        heading = cells[i].strip() if i < len(cells) else ""
        if heading.startswith(REMARK):
            continue
        column = kind.column(heading) if heading else None
        if column and is_of_children(kind, column, heading, _texts_below(grid, number, i)):
            column = kind.column(CHILD)
        if column is None and kind.name == "results" and heading:
            column = Column(heading, "")  # a dimension of the case's own, which the reader of results knows
        if column is None:
            wrong = tuple(_unread(kind, grid, number, i, heading))
            findings += wrong
            unknown += [i] if heading and any(f.severity is Severity.ERROR for f in wrong) else []
        elif column in columns.values():
            first = next(k for k, c in columns.items() if c == column)
            findings.append(_twice(grid, number, i, heading, first))
        else:
            columns[i] = column
    named = {column.heading for column in columns.values()} & {kind.naming, SURNAME.heading, "id"}
    if unknown and not named and (kind.section or kind is HOURS):
        # what names the rows is most likely the first: read so, all else that is wrong is told in the same round
        columns[unknown[0]] = next(c for c in kind.columns if c.heading == kind.naming)
    return columns, findings


def _texts_below(grid: Grid, number: int, i: int) -> set[str]:
    rows = (texts for row, texts in grid.rows if row > number and i < len(texts) and not _is_remark(texts))
    return {texts[i].strip() for texts in rows} - {""}


def _twice(grid: Grid, number: int, i: int, heading: str, first: int) -> Finding:
    found = _("{heading}, which column {first} holds already", heading=quoted(heading), first=letters(first))
    return grid.finding(number, i, found, _("each column once"), _("keep one of the two"))


def _unread(kind: SheetKind, grid: Grid, number: int, i: int, heading: str) -> Iterator[Finding]:
    """A column that nobody knows is an error if it holds something."""
    filled = [
        r
        for r, texts in grid.rows
        if r > number
        and i < len(texts)
        and texts[i].strip()
        and not _is_remark(texts)
        and (heading or not is_a_sum(texts[i]))
    ]
    if not filled:
        return
    expected = _("one of {headings}", headings=", ".join(c.heading for c in kind.columns))
    if not heading:
        hint = _("write its heading, or take the cells out")
        yield grid.finding(filled[0], i, _("a cell in a column without a heading"), expected, hint)
        return
    if kind.is_remark(heading):
        found, hint = (
            _("the column {heading}, which is not read", heading=quoted(heading)),
            _("put {mark} before it, and this is not said again", mark=REMARK),
        )
        yield replace(grid.finding(number, i, found, "", hint), severity=Severity.WARNING)
        return
    if near := nearest(plain(heading), kind.near_words()):
        hint = _("{question} If it is not to be read, put {mark} before it", question=near, mark=REMARK)
    else:
        hint = _("rename it, or put {mark} before it if it is not to be read", mark=REMARK)
    yield grid.finding(number, i, _("the unknown heading {heading}", heading=quoted(heading)), expected, hint)


def _beside_places(grid: Grid, number: int, columns: dict[int, Column]) -> list[Finding]:
    """What is wrong with a row of places: one that stands there twice, cells under none."""
    findings: list[Finding] = []
    texts = next(texts for row, texts in grid.rows if row == number)
    first: dict[str, int] = {}
    for i in range(max(len(cells) for row, cells in grid.rows if row >= number)):
        heading = texts[i].strip() if i < len(texts) else ""
        if i in columns and i > min(columns):
            if (before := first.setdefault(plain(heading), i)) != i:
                findings.append(_twice(grid, number, i, heading, before))
                del columns[i]
        elif i > min(columns) and not heading.startswith(REMARK):
            findings += _unread(WAYS, grid, number, i, heading)
    return findings


def _explains(columns: dict[int, Column], texts: Sequence[str]) -> bool:
    """Whether a row is the one of our own workbooks that explains the headings, of which the first column, with its
    sign, was taken out."""
    told = [(columns[i], text.strip()) for i, text in enumerate(texts) if i in columns and text.strip()]
    return bool(told) and all(text in _words_of(column) for column, text in told)


def _words_of(column: Column) -> frozenset[str]:
    found: set[str] = set()
    for language in LANGUAGES:
        for words in Words:
            with speaking(Speech(language, words)):
                found.add(said(column.words))
    return frozenset(found - {""})


def _names_down(
    grid: Grid, number: int, columns: dict[int, Column], meant: Collection[str]
) -> dict[int, dict[int, str]]:
    """By row what stands in a cell of names that is merged over several rows: it is meant for each."""
    texts = dict(grid.rows)
    found: dict[int, dict[int, str]] = {}
    for top, left, bottom, right in grid.merged:
        if top + 1 > number and left == right and left in columns and columns[left].heading in meant:
            for row in range(top + 2, bottom + 2):
                if row in texts and left < len(texts[top + 1]):
                    found.setdefault(row, {})[left] = texts[top + 1][left]
    return found


def _merged_cells(
    grid: Grid, number: int, read: Mapping[int, Mapping[int, str]], columns: Collection[int]
) -> Iterator[Finding]:
    """But for columns of which nothing is read."""
    remarks = {row for row, texts in grid.rows if _is_remark(texts) and any(texts)}
    for top, left, bottom, right in grid.merged:
        if bottom + 1 < number or top + 1 in remarks or left in read.get(bottom + 1, ()):
            continue
        if top + 1 > number and not any(left <= column <= right for column in columns):
            continue
        found = _(
            "cells that are merged ({left}{top}:{right}{bottom})",
            left=letters(left),
            top=top + 1,
            right=letters(right),
            bottom=bottom + 1,
        )
        hint = _("take the merging back and fill in each cell")
        yield grid.finding(top + 1, left, found, _("a value in each cell of its own"), hint)
