"""Tables -> a workbook to print: each sheet across, one page wide, with its headings on every page. No cell is ever a
formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Any

from genplan.tables.files import NO_MOMENT, put_text, refuse_without_library, saved

Cell = str | int | Fraction | None
"""A text, a whole number, a share, or nothing."""

A4 = 9
"""The number that workbooks have for the size of the paper."""
NARROW, WIDE = 12, 24
LINE = 15
"""A line's height, in points."""


@dataclass(frozen=True)
class PrintedSheet:
    """`title` stands above the headings. The first column names the row; a text may have several lines."""

    name: str
    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def printed_workbook(sheets: Sequence[PrintedSheet], instead: str) -> bytes:
    """An .xlsx file. Raises UsageError without the extra library; `instead` says what else can be done."""
    refuse_without_library(instead)
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for sheet in sheets:
        _fill(book.create_sheet(sheet.name), sheet)
    return saved(book, NO_MOMENT)


def _fill(page: Any, sheet: PrintedSheet) -> None:
    from openpyxl.styles import Font

    put_text(page.cell(1, 1), sheet.title)
    page.cell(1, 1).font = Font(bold=True, size=13)
    for number, row in enumerate((sheet.headings, *sheet.rows), 2):
        for column, value in enumerate(row, 1):
            _put(page.cell(number, column), value)
            if number == 2 or column == 1:
                page.cell(number, column).font = Font(bold=True)
        page.row_dimensions[number].height = LINE * max(map(_lines, row), default=1)
    _for_paper(page, sheet)


def _lines(value: Cell) -> int:
    """How many lines it takes in the widest column."""
    return sum(max(1, ceil(len(line) / WIDE)) for line in value.split("\n")) if isinstance(value, str) else 1


def _put(cell: Any, value: Cell) -> None:
    from openpyxl.styles import Alignment, Border, Side

    line = Side(style="thin", color="00999999")
    cell.border = Border(line, line, line, line)
    cell.alignment = Alignment(wrap_text=True, vertical="top")
    if isinstance(value, str):
        put_text(cell, value)
    elif isinstance(value, Fraction):
        cell.value, cell.number_format = float(value), "0%"
    elif value is not None:
        cell.value = value


def _for_paper(page: Any, sheet: PrintedSheet) -> None:
    """Across, as many pages as it takes below each other, and one beside."""
    from openpyxl.utils import get_column_letter

    for column in range(1, len(sheet.headings) + 1):
        texts = [str(row[column - 1] or "") for row in sheet.rows]
        longest = max((len(line) for text in texts for line in text.split("\n")), default=0)
        page.column_dimensions[get_column_letter(column)].width = min(WIDE, max(NARROW, longest + 2))
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = A4
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.print_title_rows = "1:2"
    page.freeze_panes = "B3"
