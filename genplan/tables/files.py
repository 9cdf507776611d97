"""Tables -> the bytes of a workbook, or of the CSV files of a folder. No cell is ever a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.util import find_spec
from typing import Any
from zipfile import ZipFile

from genplan.errors import UsageError
from genplan.evidence.formula_cells import escape_formula
from genplan.folders import zipped
from genplan.language import _
from genplan.tables.sheets import ABOUT
from genplan.tables.writing import Written

WIDEST, NARROWEST = 46, 12
BOM = "\ufeff"
"""Without it spreadsheet programs take a CSV file for one in another encoding."""
DOCUMENT = "docProps/core.xml"
MOMENT = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(</dcterms:)")
NO_MOMENT = datetime(2000, 1, 1, tzinfo=UTC)
"""Of a workbook that says the same whenever it is made."""


def csv_files(tables: Sequence[Written]) -> dict[str, bytes]:
    return {f"{table.name}.csv": _csv(table) for table in tables if table.name != ABOUT} | {
        f"{table.name}.txt": _lines(table) for table in tables if table.name == ABOUT
    }


def _csv(table: Written) -> bytes:
    out = io.StringIO()
    out.write(BOM)
    writer = csv.writer(out, lineterminator="\r\n")
    width = len(table.headings)
    for row in (table.headings, table.words, *table.rows):
        writer.writerow([escape_formula(cell) for cell in (*row, *[""] * (width - len(row)))])
    return out.getvalue().encode("utf-8")


def _lines(table: Written) -> bytes:
    return "".join(f"{row[0]}\n" for row in table.rows).encode("utf-8")


def refuse_without_library(instead: str) -> None:
    """Raises UsageError, which says what else can be done, where workbooks cannot be written."""
    if find_spec("openpyxl") is None:
        raise UsageError(
            _(
                "To write an .xlsx file the program needs one more package: install it with pip install "
                "'genplan[excel]', or {instead}",
                instead=instead,
            )
        )


def workbook(tables: Sequence[Written], moment: datetime) -> bytes:
    """An .xlsx file in which every cell is a text, so that no spreadsheet makes a date of 4/5 or runs a note; made, as
    it says itself, at an aware `moment`. Raises UsageError without the extra library."""
    refuse_without_library(_("name a folder: then each sheet is a CSV file in it."))
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for table in tables:
        _fill(book.create_sheet(table.name), table)
    return saved(book, moment)


def saved(book: Any, moment: datetime) -> bytes:
    """The bytes of a workbook, the same for one moment: the library writes that of the clock into it."""
    out = io.BytesIO()
    book.save(out)
    with ZipFile(out) as made:
        parts = {name: made.read(name) for name in made.namelist()}
    at = f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}".encode()
    parts[DOCUMENT] = MOMENT.sub(rb"\g<1>" + at + rb"\g<2>", parts[DOCUMENT])
    return zipped(parts)


def _fill(sheet: Any, table: Written) -> None:
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    rows = [table.headings, *([table.words] if table.words else []), *table.rows]
    for number, row in enumerate(rows, 1):
        for column, text in enumerate(row, 1):
            if text:
                put_text(sheet.cell(number, column), text)
    for column, heading in enumerate(table.headings, 1):
        sheet.cell(1, column).font = Font(bold=True)
        longest = max([len(heading), *(len(row[column - 1]) for row in table.rows if column <= len(row))])
        width = sheet.column_dimensions[get_column_letter(column)]
        width.width = min(WIDEST, max(NARROWEST, longest + 2)) if table.words else 110
        width.number_format = "@"
        if table.words:
            note = sheet.cell(2, column)
            note.font, note.alignment = (
                Font(italic=True, color="00595959"),
                Alignment(wrap_text=True, vertical="top"),
            )
    sheet.freeze_panes = "C2" if len(table.headings) > 2 else "A2"


def put_text(cell: Any, text: str) -> None:
    """As a text, whatever it begins with."""
    cell.value = text
    cell.data_type = "s"  # the library would take what begins with = for a formula
    cell.number_format, cell.quotePrefix = "@", text[:1] in "=+-@"
