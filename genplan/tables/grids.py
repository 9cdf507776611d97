"""Workbooks, CSV files and folders of them as sheets of cells that know where they stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain
from pathlib import Path

from genplan.casefile.diagnostics import SourceLocation
from genplan.casefile.invisible_characters import same_form
from genplan.errors import FileError, unreadable
from genplan.evidence.cells_without_value import Problem
from genplan.evidence.delimited_text import records_of
from genplan.evidence.formula_cells import unescape_formula
from genplan.evidence.other_encoding import in_utf8
from genplan.evidence.spreadsheet import ENDINGS
from genplan.evidence.workbook import MOST_BYTES, read_workbook
from genplan.files import read_file
from genplan.findings import Finding
from genplan.language import _
from genplan.tables.headings import day_headed, plain
from genplan.tables.sheets import SHEETS

CSV = ".csv"


@dataclass(frozen=True, eq=False)
class Grid:
    """The cells of one sheet: `rows` are 1-based numbers with texts. `file` is what findings name; in a workbook
    `in_book`, they name sheet and cell too."""

    name: str
    file: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    in_book: bool = True
    merged: tuple[tuple[int, int, int, int], ...] = ()
    problems: dict[tuple[int, int], Problem] = field(default_factory=dict)
    hidden: bool = False
    hidden_rows: tuple[int, ...] = ()
    hidden_columns: tuple[int, ...] = ()

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


def read_grids(paths: Sequence[Path]) -> tuple[list[Grid], list[Finding]]:
    """The sheets of all these workbooks, CSV files and folders of them. Raises FileError, UsageError."""
    files = list(dict.fromkeys(chain.from_iterable(map(_files_of, paths))))
    names = Counter(file.name for file in files)
    grids: list[Grid] = []
    findings: list[Finding] = []
    for file in files:
        called = file.name if names[file.name] == 1 else str(file)
        if file.suffix.lower() == CSV:
            grid, wrong = _of_csv(file, called)
            grids.append(grid)
            findings += wrong
        else:
            grids += (
                Grid(
                    same_form(s.name),
                    called,
                    _numbered(s.rows),
                    True,
                    s.merged,
                    s.problems,
                    s.hidden,
                    s.hidden_rows,
                    s.hidden_columns,
                )
                for s in read_workbook(file)
            )
    return grids, findings


def _numbered(rows: Sequence[Sequence[str]]) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Texts that look alike are alike: a Mac writes an umlaut as two signs."""
    return tuple((number, tuple(map(same_form, cells))) for number, cells in enumerate(rows, 1))


def _files_of(path: Path) -> list[Path]:
    if path.is_dir() and any(path.glob("*.yaml")):
        raise FileError(
            _("{path} is a case. Name the workbook or the folder of tables first, then the case.", path=path)
        )
    if path.is_dir():
        return _csv_files_in(path)
    if path.suffix.lower() not in (*ENDINGS, CSV):
        raise FileError(
            _(
                "{path} is no .xlsx, .ods or .csv file, nor a folder of CSV files. Save it "
                "as one of these, or name the folder. Nothing was read.",
                path=path.name,
            )
        )
    return [path]


def _csv_files_in(path: Path) -> list[Path]:
    try:
        files = sorted(p for p in path.iterdir() if p.suffix.lower() == CSV and not p.name.startswith("."))
    except OSError as error:
        raise unreadable(path, error) from error
    if not files:
        raise FileError(
            _(
                "{path} holds no .csv file. Name the workbook, or the folder with one file for each sheet.",
                path=path,
            )
        )
    return files


def _of_csv(file: Path, called: str) -> tuple[Grid, list[Finding]]:
    try:
        data = read_file(file, MOST_BYTES)
    except OSError as error:
        raise unreadable(file.name, error) from error
    data, told = in_utf8(called, data)
    records, wrong = records_of(called, data, _is_heading)
    rows = tuple(
        (line, tuple(unescape_formula(same_form(c).strip()) for c in cells)) for line, cells in records
    )
    return Grid(same_form(file.stem), called, rows, in_book=False), [*told, *wrong]


@lru_cache
def _headings() -> frozenset[str]:
    return frozenset().union(*(kind.headings for kind in SHEETS))


def _is_heading(text: str) -> bool:
    return plain(text) in _headings() or bool(day_headed(text))
