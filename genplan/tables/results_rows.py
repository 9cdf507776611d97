"""The sheet of results -> rows for results.csv."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

from genplan.case import Case
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import SECTION_OF
from genplan.errors import CaseError
from genplan.evidence.filled_sheet import FilledSheet, rows_of_filled
from genplan.evidence.formula_cells import escape_formula
from genplan.evidence.log import Log
from genplan.evidence.results import OPTIONAL, columns_of
from genplan.findings import Finding
from genplan.tables.filled import Filled
from genplan.tables.understood import Table

IDS = {**SECTION_OF, "target": "targets"}


def rows_of_results(table: Table, filled: Filled, case: Case, log: Log) -> FilledSheet:
    """Rows that results.csv has not got. Raises CaseError with every row that cannot be read, by its cell."""
    headings = [c.heading for c in table.columns.values()]
    try:
        found = rows_of_filled(table.grid.file, _as_text(table, filled, headings), case, log)
    except CaseError as problem:
        raise CaseError([_in_cell(table, headings, f) for f in problem.findings]) from problem
    return replace(found, warnings=tuple(_in_cell(table, headings, f) for f in found.warnings))


def _as_text(table: Table, filled: Filled, headings: list[str]) -> bytes:
    """The rows as CSV in which line n is row n of the sheet."""
    lines = {table.headings: headings}
    for row, cells in table.rows:
        texts = (cells[h][1] if h in cells else "" for h in headings)
        lines[row] = [_cell(h, " ".join(t.split()), filled) for h, t in zip(headings, texts, strict=True)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for number in range(1, max(lines) + 1):
        if number in lines:
            writer.writerow(lines[number])
        else:
            out.write("\n")
    return out.getvalue().encode("utf-8", "replace")


def _cell(heading: str, text: str, filled: Filled) -> str:
    """Ids in place of names; what no row has is told by the reader of results."""
    if heading in IDS and text:
        try:
            return filled.names.id_of(IDS[heading], text)
        except InvalidValue:
            return text
    return escape_formula(text)


def _in_cell(table: Table, headings: list[str], finding: Finding) -> Finding:
    columns = [number for number, c in table.columns.items() if c.heading == finding.key]
    if not finding.line:
        return finding
    column = columns[0] if columns else min(table.columns, default=0)
    place = table.grid.place(finding.line, column)
    return replace(finding, file=place.file, line=place.line, key=place.written[0])


def text_of_results(case: Case, rows: FilledSheet | None) -> bytes:
    """A results.csv that holds these rows."""
    held = rows.rows if rows else ()
    columns = [c for c in columns_of(case) if c not in OPTIONAL or any(row.get(c) for row in held)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([escape_formula(row.get(c, "")) for c in columns] for row in held)
    return out.getvalue().encode("utf-8")
