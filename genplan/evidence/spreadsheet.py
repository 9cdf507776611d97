"""A spreadsheet file as the bytes of a table with commas, row by row, so that both are read by the same
rules."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from genplan.errors import FileError, UsageError
from genplan.findings import Finding, Severity

ENDINGS = (".xlsx", ".xlsm", ".xls", ".ods")


def is_spreadsheet(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS


def table_of_spreadsheet(path: Path, data: bytes) -> tuple[bytes, list[Finding]]:
    """The first sheet as comma-separated UTF-8; line n is the sheet's row n. Dates and times of the
    spreadsheet's own come out in ISO 8601, whole numbers without a point.

    Raises UsageError without the extra library, FileError for a file that is no spreadsheet."""
    try:
        from python_calamine import CalamineError, CalamineWorkbook
    except ImportError:
        raise UsageError(
            f"To read {path.name} the program needs one more package: install it with"
            " pip install 'genplan[excel]', or save the sheet as 'CSV UTF-8'."
        ) from None
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = book.sheet_names
        rows = book.get_sheet_by_index(0).to_python(skip_empty_area=False) if names else []
    except CalamineError as error:
        raise FileError(f"{path} cannot be read as a spreadsheet: {error}. Nothing was added.") from error
    out, findings = io.StringIO(), []
    writer = csv.writer(out, lineterminator="\n")
    for line, row in enumerate(rows, 1):
        cells = []
        for position, cell in enumerate(row, 1):
            text, problem = _text(cell)
            if problem:
                findings.append(Finding(path.name, line, f"column {position}", *problem))
            cells.append(text)
        writer.writerow(cells)
    if len(names) > 1:
        others = ", ".join(f"'{n}'" for n in names[1:])
        what = f"only the first sheet, '{names[0]}', is read, and not {others}"
        findings.append(Finding(path.name, 0, "", what, "", "", Severity.WARNING))
    return out.getvalue().encode("utf-8", "replace"), findings


def _text(cell: Any) -> tuple[str, tuple[str, str, str] | None]:
    """The cell as text, and what is wrong with it."""
    if isinstance(cell, str):
        # a line end inside a cell would shift the numbers of the rows after it
        return " ".join(cell.split("\n")).replace("\r", " "), None
    if isinstance(cell, bool):
        return "", ("found TRUE or FALSE", "a text or a number", "type the cell again")
    if isinstance(cell, int | float):
        return (str(int(cell)) if cell == int(cell) else repr(cell)), None
    if isinstance(cell, datetime):
        midnight = cell.time() == time()
        return (cell.date().isoformat() if midnight else cell.isoformat(timespec="seconds")), None
    if isinstance(cell, date):
        return cell.isoformat(), None
    if isinstance(cell, time):
        return cell.isoformat(timespec="minutes" if not cell.second else "seconds"), None
    return "", (f"found a span of time ({cell})", "a time such as 16:30", "set the column to text")
