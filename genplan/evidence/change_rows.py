"""Changing rows of results.csv where they stand: their day, who and what a row is of cannot be said by a later one."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path

from genplan.case import Case
from genplan.errors import FileError, UsageError
from genplan.evidence.append_rows import (
    KeptLines,
    as_cell,
    bytes_of,
    ready_for,
    refuse_errors,
    results_locked,
    rights_lost,
)
from genplan.evidence.delimited_text import Sheet, ending_of, row_of
from genplan.evidence.effective_rows import corrected_by
from genplan.evidence.formula_cells import escape_formula
from genplan.evidence.log import Log, Result
from genplan.evidence.results import FILE_NAME, parse_results
from genplan.evidence.row_identity import in_names
from genplan.files import rewrite
from genplan.findings import Finding
from genplan.language import _

Changes = Mapping[int, Mapping[str, str]]
"""Line on which a row starts -> its new cells, by column."""


def change_rows(
    folder: Path, case: Case, wanted: Callable[[Log, Sheet], Changes], now: datetime | None = None
) -> tuple[tuple[Result, ...], tuple[Finding, ...]]:
    """Writes new cells into rows, all of them or none; every other row stays as it is written, to the byte.

    `wanted` is asked once nobody else can change the file, of the rows and of the sheet as it is written. Returns the
    rows as they are read back, in order, and what is odd about them. Raises CaseError if a row, or the file as it is,
    has errors, UsageError if a row would count in the place of another that it did not before, and FileError; the file
    is then as it was."""
    path = (folder / FILE_NAME).resolve()
    with results_locked(folder):
        old = bytes_of(path)
        sheet, log, findings = parse_results(old, case, now)
        refuse_errors(findings, _("nothing was changed: correct the file first"))
        changes = wanted(log, sheet)
        kept = ready_for(old, sheet, case, tuple(changes.values()))
        data = kept.bom + "".join(_rewritten(kept, changes)).encode("utf-8")
        after, read, found = parse_results(data, case, now)
        refuse_errors(found, _("nothing was changed"))
        moved = dict(zip(sheet.lines, after.lines, strict=True))
        _refuse_two_of_one(case, log, read, moved)
        lines = [moved[line] for line in sorted(changes)]
        rows = {r.line: r for r in (*read.results, *read.taken_back)}
        if not rows.keys() >= set(lines):
            raise FileError(
                _("The rows could not be read back, so nothing was changed; the file is as it was.")
            )
        lost = rewrite(path, data)
    return tuple(rows[n] for n in lines), (*(f for f in found if f.line in lines), *rights_lost(path, lost))


def _rewritten(kept: KeptLines, changes: Changes) -> Iterator[str]:
    reader, at = csv.reader(kept.lines, delimiter=kept.delimiter, strict=True), 0
    for cells in reader:
        written, line = "".join(kept.lines[at : reader.line_num]), at + 1
        at = reader.line_num
        if line not in changes:
            yield written
            continue
        own = cells + [""] * (len(kept.header) - len(cells))
        for n, name in enumerate(kept.header):
            if name in changes[line]:
                own[n] = escape_formula(as_cell(changes[line][name]))
        yield row_of(own, kept.delimiter, ending_of(written))


def _refuse_two_of_one(case: Case, before: Log, after: Log, moved: Mapping[int, int]) -> None:
    known = {(moved[old], moved[new]) for old, new in corrected_by(before.results).items()}
    away = {moved[r.line] for r in before.taken_back}  # they come back together, as they counted before
    rows = {r.line: r for r in after.results}
    for old, new in corrected_by(after.results).items():
        if (old, new) not in known and not {old, new} <= away:
            raise UsageError(
                _(
                    "These two would speak of the same probe or teaching then, and only the later one would count: "
                    "{old}; {new}. Nothing was changed: if they are two of that day, give each its time.",
                    old=in_names(case, rows[old]),
                    new=in_names(case, rows[new]),
                )
            )
