"""A spreadsheet file as the bytes of a table with commas, row by row, so that both are read by the same
rules. It is opened in a process of its own: a cell far off, or a small file that unpacks to a huge one, ends that
process alone."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime, time, timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from genplan.errors import FileError, UsageError
from genplan.fence import WALL_SECONDS, run_fenced
from genplan.findings import Finding, Severity
from genplan.language import _

ENDINGS = (".xlsx", ".xlsm", ".xls", ".ods")
MOST_CHARACTERS = 5_000_000
MOST_FAULTS = 200


def is_spreadsheet(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS


def table_of_spreadsheet(path: Path, data: bytes) -> tuple[bytes, list[Finding]]:
    """The first sheet as comma-separated UTF-8; line n is the sheet's row n. Dates and times of the
    spreadsheet's own come out in ISO 8601, whole numbers without a point.

    Raises UsageError without the extra library, FileError for a file that is no spreadsheet or too big a one."""
    if find_spec("python_calamine") is None:
        raise UsageError(
            _(
                "To read {path} the program needs one more package: install it with pip "
                "install 'genplan[excel]', or save the sheet as 'CSV UTF-8'.",
                path=path.name,
            )
        )
    answer = _ask(path, data)
    if problem := answer.get("problem"):
        raise FileError(
            _(
                "{path} cannot be read as a spreadsheet: {problem}. Nothing was added.",
                path=path.name,
                problem=problem,
            )
        )
    findings = [Finding(path.name, *parts) for parts in answer["findings"]]
    if others := answer["others"]:
        named = ", ".join(f"'{n}'" for n in others)
        what = _(
            "only the first sheet, '{sheet}', is read, and not {named}", sheet=answer["first"], named=named
        )
        findings.append(Finding(path.name, 0, "", what, "", "", Severity.WARNING))
    return answer["table"].encode("utf-8", "replace"), findings


def _ask(path: Path, data: bytes) -> dict[str, Any]:
    ended = run_fenced("genplan.evidence.spreadsheet_child", given=data, seconds=WALL_SECONDS)
    if ended.code is None:
        raise FileError(
            _(
                "{path} takes more than {seconds} seconds to read, so it is no filled sheet. Nothing was added.",
                path=path.name,
                seconds=WALL_SECONDS,
            )
        )
    if ended.code:
        raise FileError(
            _(
                "{path} cannot be read as a spreadsheet: it is broken, or a cell far "
                "from the others makes it huge. Copy the filled part into a new "
                "sheet, or save it as 'CSV UTF-8'. Nothing was added.",
                path=path.name,
            )
        )
    answer: dict[str, Any] = json.loads(ended.written)
    return answer


def answer_for(data: bytes) -> dict[str, Any]:
    """What the other process finds: the table as text and what is wrong with it, or the problem in words."""
    from python_calamine import CalamineError, CalamineWorkbook

    from genplan.evidence.cells_without_value import uncomputed_cells

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = book.sheet_names
        rows = book.get_sheet_by_index(0).to_python(skip_empty_area=False) if names else []
    except CalamineError as error:
        return {"problem": str(error)}
    out = io.StringIO()
    findings: list[tuple[int, str, str, str, str]] = []
    writer = csv.writer(out, lineterminator="\n")
    uncomputed = uncomputed_cells(data).get(names[0], {}) if names else {}
    for line, row in enumerate(rows, 1):
        cells = []
        for position, cell in enumerate(row, 1):
            text, problem = cell_text(cell)
            problem = uncomputed.get((line - 1, position - 1), problem)
            if problem and len(findings) < MOST_FAULTS:
                findings.append((line, _("column {position}", position=position), *problem))
            cells.append(text)
        writer.writerow(cells)
        if out.tell() > MOST_CHARACTERS:
            most = MOST_CHARACTERS // 1_000_000
            return {"problem": _("its first sheet holds more than {most} million characters", most=most)}
    first = names[0] if names else ""
    return {"table": out.getvalue(), "findings": findings, "first": first, "others": names[1:]}


def cell_text(
    cell: Any, *, yes_no: bool = False, one_line: bool = True
) -> tuple[str, tuple[str, str, str] | None]:
    """The cell as text, and what is wrong with it. `yes_no`: TRUE and FALSE may be meant by it."""
    if isinstance(cell, str):
        # in a table of text a line end inside a cell would shift the numbers of the rows after it
        return (" ".join(cell.split("\n")).replace("\r", " ") if one_line else cell), None
    if isinstance(cell, bool) and yes_no:
        return ("yes" if cell else "no"), None
    if isinstance(cell, bool):
        return "", (_("found TRUE or FALSE"), _("a text or a number"), _("type the cell again"))
    if isinstance(cell, int | float):
        return (str(int(cell)) if cell == cell // 1 else repr(cell)), None
    if isinstance(cell, datetime):
        midnight = cell.time() == time()
        return (cell.date().isoformat() if midnight else cell.isoformat(timespec="seconds")), None
    if isinstance(cell, date):
        return cell.isoformat(), None
    if isinstance(cell, time):
        return cell.isoformat(timespec="minutes" if not cell.second else "seconds"), None
    if isinstance(cell, timedelta) and timedelta(0) <= cell < timedelta(days=1):
        # how some spreadsheets keep a time of day
        return (datetime.min + cell).time().isoformat(timespec="seconds"), None
    return "", (
        _("found a span of time ({cell})", cell=cell),
        _("a time such as 16:30"),
        _("set the column to text"),
    )
