"""A spreadsheet file as all of its sheets, cell by cell. It is opened in a process of its own, like a filled sheet."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

from genplan.errors import FileError, UsageError, unreadable
from genplan.evidence.cells_without_value import Problem, merged_in_ods, uncomputed_cells
from genplan.evidence.hidden_parts import hidden_parts
from genplan.evidence.spreadsheet import MOST_CHARACTERS, cell_text
from genplan.fence import WALL_SECONDS, run_fenced
from genplan.files import read_file
from genplan.language import N_, _, said

MOST_BYTES = 20_000_000
MOST_UNPACKED = 200_000_000
MOST_CELLS = 2_000_000
MOST_SHEETS = 60
NOTHING_READ = N_("Nothing was read.")


@dataclass(frozen=True)
class SheetCells:
    """One sheet. `rows` hold the text of each cell, without empty ones at the ends; `merged` are 0-based
    (first row, first column, last row, last column); `problems` are of cells that have no text to take. `hidden`: who
    opens the file does not see it."""

    name: str
    rows: tuple[tuple[str, ...], ...]
    merged: tuple[tuple[int, int, int, int], ...] = ()
    problems: dict[tuple[int, int], Problem] = field(default_factory=dict)
    hidden: bool = False
    hidden_rows: tuple[int, ...] = ()
    hidden_columns: tuple[int, ...] = ()
    """1-based, as those of people who count rows."""


def read_workbook(path: Path) -> tuple[SheetCells, ...]:
    """Every sheet of an .xlsx or .ods file. Raises UsageError without the extra library, FileError for a file that
    cannot be opened, is no spreadsheet, or too big a one."""
    if find_spec("python_calamine") is None:
        raise UsageError(
            _(
                "To read {path} the program needs one more package: install it with pip install "
                "'genplan[excel]', or save each sheet as 'CSV UTF-8' into one folder and name that.",
                path=path.name,
            )
        )
    try:
        data = read_file(path, MOST_BYTES)
    except OSError as error:
        raise unreadable(path.name, error) from error
    answer = _ask(path, data)
    if problem := answer.get("problem"):
        raise FileError(
            _(
                "{path} cannot be read as a spreadsheet: {problem}. {nothing_read}",
                path=path.name,
                problem=problem,
                nothing_read=said(NOTHING_READ),
            )
        )
    return tuple(
        SheetCells(
            sheet["name"],
            tuple(map(tuple, sheet["rows"])),
            tuple(map(tuple, sheet["merged"])),
            {(row, column): tuple(parts) for row, column, parts in sheet["problems"]},
            sheet["hidden"],
            tuple(sheet["hidden_rows"]),
            tuple(sheet["hidden_columns"]),
        )
        for sheet in answer["sheets"]
    )


def _ask(path: Path, data: bytes) -> dict[str, Any]:
    ended = run_fenced("genplan.evidence.spreadsheet_child", "all", given=data, seconds=WALL_SECONDS)
    if ended.code is None:
        raise FileError(
            _(
                "{path} takes more than {seconds} seconds to read. {nothing_read}",
                path=path.name,
                seconds=WALL_SECONDS,
                nothing_read=said(NOTHING_READ),
            )
        )
    if ended.code:
        raise FileError(
            _(
                "{path} cannot be read as a spreadsheet: it is broken, or a cell far from the "
                "others makes it huge. Copy the filled part into a new file. {nothing_read}",
                path=path.name,
                nothing_read=said(NOTHING_READ),
            )
        )
    answer: dict[str, Any] = json.loads(ended.written)
    return answer


def sheets_for(data: bytes) -> dict[str, Any]:
    """What the other process finds: every sheet, or the problem in words."""
    from python_calamine import (
        CalamineError,
        CalamineWorkbook,
        PasswordError,
        SheetTypeEnum,
        SheetVisibleEnum,
    )

    if problem := _too_big_unpacked(data):
        return {"problem": problem}
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        found = [sheet for sheet in book.sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet]
        names = [sheet.name for sheet in found]
        hidden = {sheet.name for sheet in found if sheet.visible != SheetVisibleEnum.Visible}
        if len(names) > MOST_SHEETS:
            return {
                "problem": _(
                    "it has {number} sheets, and at most {most} are read", number=len(names), most=MOST_SHEETS
                )
            }
        lacking, merged, unseen = uncomputed_cells(data), merged_in_ods(data), hidden_parts(data)
        sheets, left = [], MOST_CHARACTERS
        for name in names:
            sheet = book.get_sheet_by_name(name)
            if sheet.total_height * sheet.total_width > MOST_CELLS:
                return {
                    "problem": _(
                        "sheet '{name}' reaches over more than {most} million cells",
                        name=name,
                        most=MOST_CELLS // 1000000,
                    )
                }
            cells = _sheet(name, sheet, lacking.get(name, {}), merged.get(name, []))
            rows, columns = unseen.get(name, ([], []))
            cells |= {"hidden": name in hidden, "hidden_rows": rows, "hidden_columns": columns}
            sheets.append(cells)
            left -= sum(len(cell) for row in sheets[-1]["rows"] for cell in row)
            if left < 0:
                return {
                    "problem": _(
                        "it holds more than {most} million characters", most=MOST_CHARACTERS // 1000000
                    )
                }
    except PasswordError:
        return {"problem": _("it is locked with a password")}
    except CalamineError as error:
        return {"problem": str(error)}
    return {"sheets": sheets}


def _too_big_unpacked(data: bytes) -> str:
    """A small file that says of itself that it unpacks to a huge one is not opened."""
    try:
        with ZipFile(io.BytesIO(data)) as packed:
            size = sum(part.file_size for part in packed.infolist())
    except BadZipFile:
        return ""
    return _("it unpacks to {size:,.0f} MB", size=size / 1000000) if size > MOST_UNPACKED else ""


def _sheet(
    name: str, sheet: Any, lacking: dict[tuple[int, int], Problem], merged: list[tuple[int, int, int, int]]
) -> dict[str, Any]:
    rows, problems = [], dict(lacking)
    for number, row in enumerate(sheet.to_python(skip_empty_area=False)):
        cells = []
        for column, cell in enumerate(row):
            text, problem = cell_text(cell, yes_no=True, one_line=False)
            if problem:
                problems[number, column] = problem
            cells.append(text)
        while cells and not cells[-1].strip():
            cells.pop()
        rows.append(cells)
    while rows and not rows[-1]:
        rows.pop()
    known = [[*start, *end] for start, end in sheet.merged_cell_ranges or ()]
    told = [[row, column, parts] for (row, column), parts in sorted(problems.items())]
    return {"name": name, "rows": rows, "merged": known or merged, "problems": told}
