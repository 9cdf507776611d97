"""A case as tables, and tables with nothing but headings."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import CaseError, FileError, unreadable
from genplan.language import _
from genplan.workflow.opened_case import errors_of, local

if TYPE_CHECKING:
    from genplan.tables.writing import Written

RESULTS_FILE = "results.csv"
ENDING = ".xlsx"


def empty_tables(out: Path) -> tuple[str, ...]:
    """Writes a workbook, or a folder of CSV files, with nothing but headings. Raises FileError, UsageError."""
    from genplan.tables.files import NO_MOMENT
    from genplan.tables.writing import empty_tables as empty

    return _write(out, empty(), NO_MOMENT, may_replace=False)


def write_tables(folder: Path, out: Path, now: datetime | None = None) -> tuple[str, ...]:
    """Writes the case as a workbook, which says that it was made now, or a folder of CSV files. Raises CaseError,
    FileError, UsageError."""
    from genplan.casefile import edit, load
    from genplan.evidence.delimited_text import read_sheet
    from genplan.evidence.results import COLUMNS, MOST_BYTES, NEEDED, columns_of
    from genplan.files import read_file
    from genplan.tables.writing import tables_of_case

    loaded = load(folder)
    if loaded.case is None:
        raise CaseError(errors_of(loaded.findings))
    try:
        data = read_file(folder / RESULTS_FILE, MOST_BYTES)
    except FileNotFoundError:
        data = b""
    except OSError as error:
        raise unreadable(folder / RESULTS_FILE, error) from error
    sheet, wrong = read_sheet(RESULTS_FILE, data, columns_of(loaded.case), NEEDED)
    if errors := errors_of(tuple(wrong)):
        raise CaseError(errors)
    columns = [c for c in sheet.header if c in columns_of(loaded.case)] or list(COLUMNS)
    tables = tables_of_case(edit.things(folder), [row.cells for row in sheet.rows], columns)
    return _write(out, tables, local(loaded.case, now), may_replace=True)


def _write(out: Path, tables: list[Written], moment: datetime, *, may_replace: bool) -> tuple[str, ...]:
    from genplan.folders import write_file, write_folder
    from genplan.tables.files import csv_files, workbook

    if not may_replace and (out.is_file() or (out.is_dir() and any(out.iterdir()))):
        raise FileError(
            _("{out} is there already; nothing was written. Name one that does not exist yet.", out=out)
        )
    if out.suffix.lower() == ENDING:
        write_file(out, workbook(tables, moment))
        return (out.name,)
    if out.suffix:
        raise FileError(
            _(
                "{out} ends neither in {ending} nor is it a folder. Name one of them. Nothing was written.",
                out=out,
                ending=ENDING,
            )
        )
    files = csv_files(tables)
    write_folder(out, files)
    return tuple(files)
