"""What is wrong or odd in a row of results.csv, for whoever looks at a screen and not at its files: which row it is by
its day, its skill and who, in the place of file and line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from genplan import workflow
from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import GenplanError
from genplan.evidence.delimited_text import read_sheet
from genplan.evidence.moments import day_of
from genplan.evidence.results import FILE_NAME, MOST_BYTES, NEEDED, columns_of
from genplan.files import read_file
from genplan.findings import Finding
from genplan.language import N_, _, said
from genplan.language.dates import long_date
from genplan.report.names_and_words import Names, clean

COLUMNS = {
    "date": N_("Date"),
    "time": N_("Time"),
    "target": N_("Target"),
    "kind": N_("Kind"),
    "adult": N_("Adult"),
    "location": N_("Location"),
    "material_set": N_("Material set"),
    "trials": N_("Trials"),
    "correct": N_("Correct without help"),
    "prompted": N_("Correct with help"),
    "note": N_("Note"),
}


def told(folder: Path, findings: Iterable[Finding]) -> tuple[str, ...]:
    """A sentence for each; one of no row of results.csv keeps its place in its file."""
    findings = tuple(findings)
    rows = _rows(folder) if any(map(_is_of_a_row, findings)) else {}
    return tuple(
        _of_row(rows.get(f.line, ""), f) if _is_of_a_row(f) and rows else f.sentence() for f in findings
    )


def told_of(folder: Path, finding: Finding) -> str:
    return told(folder, (finding,))[0]


def _is_of_a_row(finding: Finding) -> bool:
    return finding.file == FILE_NAME and finding.line > 1


def _of_row(row: str, finding: Finding) -> str:
    """A row that cannot be taken apart is told by its number, as a spreadsheet counts."""
    which = row or _("Row {number} of the results", number=finding.line)
    if finding.key not in COLUMNS:
        return f"{which}: {finding.words}"
    return f"{which}: {said(COLUMNS[finding.key])}: {finding.words}"


def _rows(folder: Path) -> Mapping[int, str]:
    """What each row is called, by its line; none where the case itself cannot be read."""
    try:
        case = workflow.open_case(folder, with_results=False).case
        data = read_file(folder / FILE_NAME, MOST_BYTES)
    except (GenplanError, OSError):
        return {}
    sheet, _found = read_sheet(FILE_NAME, data, columns_of(case), NEEDED)
    names = Names(case)
    return {row.line: _row_words(names, row.cells) for row in sheet.rows}


def _row_words(names: Names, cells: Mapping[str, str]) -> str:
    """`Tuesday 1 December 2026, Washes hands, with Dad`, of what the row says of it; ids of nobody stay as typed."""
    told = {name: clean(cells.get(name, "").strip()) for name in ("date", "target", "adult")}
    with suppress(InvalidValue):
        told["date"] = long_date(day_of(told["date"]))
    if told["target"] in names.case.targets:
        told["target"] = names.target(told["target"])
    if told["adult"] in names.case.adults:
        told["adult"] = names.adult(told["adult"])
    if told["adult"]:
        told["adult"] = _("with {adult}", adult=told["adult"])
    return ", ".join(filter(None, told.values()))
