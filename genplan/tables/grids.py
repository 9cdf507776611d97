"""A workbook, or a folder of CSV files, as sheets of cells that know where they stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from genplan.casefile.diagnostics import SourceLocation
from genplan.errors import FileError, reason_of
from genplan.evidence.cells_without_value import Problem
from genplan.evidence.delimited_text import records_of
from genplan.evidence.formula_cells import unescape_formula
from genplan.evidence.sheet_faults import MOST_COLUMNS, quoted
from genplan.evidence.spreadsheet import ENDINGS
from genplan.evidence.workbook import MOST_BYTES, read_workbook
from genplan.files import read_file
from genplan.findings import Finding, nearest
from genplan.language import _
from genplan.tables.sheets import ABOUT, REMARK, SHEETS, Column, SheetKind, plain

MOST_TITLES = 10
"""Rows above the headings that may be a title or remarks."""
MOST_FAULTS = 200


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet: `rows` are 1-based numbers with texts. `file` is what findings name; in a workbook
    `in_book`, they name sheet and cell too."""

    name: str
    file: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    in_book: bool = True
    merged: tuple[tuple[int, int, int, int], ...] = ()
    problems: dict[tuple[int, int], Problem] = field(default_factory=dict)

    def place(self, row: int, column: int) -> SourceLocation:
        """Where a cell stands, of a 1-based row and a 0-based column."""
        if self.in_book:
            return SourceLocation(self.file, 0, (f"{self.name}!{letters(column)}{row}",))
        return SourceLocation(self.file, row, (_("column {column}", column=letters(column)),))

    def finding(self, row: int, column: int, found: str, expected: str, hint: str = "") -> Finding:
        place = self.place(row, column)
        return Finding(place.file, place.line, place.written[0], found, expected, hint)


def letters(column: int) -> str:
    """0 is A, 26 is AA."""
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


@dataclass(frozen=True)
class Table:
    """A sheet with its headings understood. `columns` are by number; `rows` hold the cells of known columns that are
    filled in: the heading of a column -> its number and the text. `partly`: a heading is not known, so what a row lacks
    may stand there."""

    kind: SheetKind
    grid: Grid
    headings: int
    columns: dict[int, Column]
    rows: tuple[tuple[int, dict[str, tuple[int, str]]], ...] = ()
    partly: bool = False


def read_grids(path: Path) -> tuple[list[Grid], list[Finding]]:
    """Raises FileError, UsageError."""
    if path.is_dir() and any(path.glob("*.yaml")):
        raise FileError(
            _("{path} is a case. Name the workbook or the folder of tables first, then the case.", path=path)
        )
    if path.is_dir():
        return _of_folder(path)
    if path.suffix.lower() not in ENDINGS:
        raise FileError(
            _(
                "{path} is no .xlsx or .ods file, nor a folder of CSV files. Save it "
                "as one of these, or name the folder. Nothing was read.",
                path=path.name,
            )
        )
    sheets = read_workbook(path)
    return [
        Grid(s.name, path.name, tuple(enumerate(s.rows, 1)), True, s.merged, s.problems) for s in sheets
    ], []


def _of_folder(path: Path) -> tuple[list[Grid], list[Finding]]:
    grids, findings = [], []
    try:
        files = sorted(p for p in path.iterdir() if p.suffix.lower() == ".csv" and not p.name.startswith("."))
    except OSError as error:
        raise FileError(
            _("{path} could not be read: {problem}. Nothing was read.", path=path, problem=reason_of(error))
        ) from error
    if not files:
        raise FileError(
            _(
                "{path} holds no .csv file. Name the workbook, or the folder with one file for each sheet.",
                path=path,
            )
        )
    for file in files:
        try:
            data = read_file(file, MOST_BYTES)
        except OSError as error:
            raise FileError(
                _(
                    "{file} could not be read: {problem}. Nothing was read.",
                    file=file.name,
                    problem=reason_of(error),
                )
            ) from error
        known = [name for kind in SHEETS for c in kind.columns for name in (c.heading, *c.also)]
        records, wrong = records_of(file.name, data, known)
        findings += wrong
        rows = tuple((line, tuple(unescape_formula(c.strip()) for c in cells)) for line, cells in records)
        grids.append(Grid(file.stem, file.name, rows, in_book=False))
    return grids, findings


def tables_of(grids: list[Grid]) -> tuple[list[Table], list[Finding]]:
    """The sheets that are known, with what is wrong in the form of any."""
    tables: list[Table] = []
    findings: list[Finding] = []
    for grid in grids:
        if plain(grid.name) == ABOUT or grid.name.startswith(REMARK) or not _filled(grid):
            continue
        kind = next((k for k in SHEETS if k.is_called(grid.name)), None)
        if kind is None:
            findings.append(_unknown_sheet(grid))
        elif first := next((t.grid.name for t in tables if t.kind is kind), ""):
            found = _("a second sheet of {kind}, beside '{first}'", kind=kind.name, first=first)
            findings.append(
                Finding(grid.file, 0, grid.name, found, _("one sheet of each"), _("copy the rows into one"))
            )
        else:
            table, wrong = _table(kind, grid)
            findings += wrong
            tables += [table] if table else []
    return tables, findings


def _filled(grid: Grid) -> bool:
    return any(cell.strip() for _row, cells in grid.rows for cell in cells)


def _unknown_sheet(grid: Grid) -> Finding:
    names = [kind.name for kind in SHEETS]
    near = nearest(plain(grid.name), [*names, *(also for kind in SHEETS for also in kind.also)])
    hint = _(
        "{what}, or put {mark} before its name if it is not to be read",
        what=near or _("rename it"),
        mark=REMARK,
    )
    found = _("the unknown sheet {name}", name=quoted(grid.name))
    return Finding(grid.file, 0, grid.name, found, _("one of {names}", names=", ".join(names)), hint)


def _table(kind: SheetKind, grid: Grid) -> tuple[Table | None, list[Finding]]:
    if beyond := next((row for row, texts in grid.rows if any(t.strip() for t in texts[MOST_COLUMNS:])), 0):
        expected = _("{most} columns at most", most=MOST_COLUMNS)
        return None, [
            grid.finding(beyond, MOST_COLUMNS, _("a cell far to the right"), expected, _("take it out"))
        ]
    head = _headings(kind, grid)
    if head is None:
        row, cells = next((r, c) for r, c in grid.rows if any(c))
        column = next(i for i, c in enumerate(cells) if c.strip())
        expected = _("the headings, some of {headings}", headings=", ".join(c.heading for c in kind.columns))
        hint = _("write them above the rows, or put {mark} before a title", mark=REMARK)
        return None, [
            grid.finding(row, column, _("{text} and no heading", text=quoted(cells[column])), expected, hint)
        ]
    number, cells = head
    columns, findings = _columns(kind, grid, number, cells)
    partly = bool(findings)
    findings += islice(_merged_cells(grid, number), MOST_FAULTS)
    with_problems = {row for row, _column in grid.problems}
    rows = []
    for row, texts in grid.rows:
        if row <= number or _is_remark(texts):
            continue
        for column in columns if row - 1 in with_problems else ():
            if (problem := grid.problems.get((row - 1, column))) and len(findings) < MOST_FAULTS:
                findings.append(grid.finding(row, column, *problem))
        filled = {
            columns[i].heading: (i, text.strip())
            for i, text in enumerate(texts)
            if i in columns and text.strip()
        }
        if filled:
            rows.append((row, filled))
    return Table(kind, grid, number, columns, tuple(rows), partly), findings


def _is_remark(texts: tuple[str, ...]) -> bool:
    first = next((t for t in texts if t.strip()), "")
    return not first or first.lstrip().startswith(REMARK)


def _headings(kind: SheetKind, grid: Grid) -> tuple[int, tuple[str, ...]] | None:
    """The first row with two known headings, or with nothing but one."""
    for row, cells in [r for r in grid.rows if any(c.strip() for c in r[1])][:MOST_TITLES]:
        filled = [c for c in cells if c.strip()]
        known = sum(kind.column(c) is not None for c in filled)
        if known >= 2 or (known and known == len(filled)):
            return row, cells
    return None


def _columns(
    kind: SheetKind, grid: Grid, number: int, cells: tuple[str, ...]
) -> tuple[dict[int, Column], list[Finding]]:
    columns: dict[int, Column] = {}
    findings: list[Finding] = []
    width = max((len(texts[:MOST_COLUMNS]) for row, texts in grid.rows if row >= number), default=0)
    for i in range(width):
        heading = cells[i].strip() if i < len(cells) else ""
        if heading.startswith(REMARK):
            continue
        column = kind.column(heading) if heading else None
        if column is None and kind.name == "results" and heading:
            column = Column(heading, "")  # a dimension of the case's own, which the reader of results knows
        if column is None:
            findings += _unread(kind, grid, number, i, heading)
        elif column in columns.values():
            first = letters(next(k for k, c in columns.items() if c == column))
            found = _("{heading}, which column {first} holds already", heading=quoted(heading), first=first)
            findings.append(grid.finding(number, i, found, _("each column once"), _("keep one of the two")))
        else:
            columns[i] = column
    return columns, findings


def _unread(kind: SheetKind, grid: Grid, number: int, i: int, heading: str) -> Iterator[Finding]:
    """A column that nobody knows is an error if it holds something."""
    filled = [
        r
        for r, texts in grid.rows
        if r > number and i < len(texts) and texts[i].strip() and not _is_remark(texts)
    ]
    if not filled:
        return
    names = [name for c in kind.columns for name in (c.heading, *c.also)]
    expected = _("one of {headings}", headings=", ".join(c.heading for c in kind.columns))
    if not heading:
        hint = _("write its heading, or take the cells out")
        yield grid.finding(filled[0], i, _("a cell in a column without a heading"), expected, hint)
        return
    hint = _(
        "{what}, or put {mark} before it if it is not to be read",
        what=nearest(heading.lower(), names) or _("rename it"),
        mark=REMARK,
    )
    yield grid.finding(number, i, _("the unknown heading {heading}", heading=quoted(heading)), expected, hint)


def _merged_cells(grid: Grid, number: int) -> Iterator[Finding]:
    remarks = {row for row, texts in grid.rows if _is_remark(texts) and any(texts)}
    for top, left, bottom, right in grid.merged:
        if bottom + 1 < number or top + 1 in remarks:
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
