"""Findings in a case that was made of tables -> the cells that they are about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from genplan.findings import Finding
from genplan.language import _, and_list, ngettext, or_list
from genplan.tables.cells import in_a_cell
from genplan.tables.filled import Filled
from genplan.tables.naming import SHEET_OF

MANY = 2
"""So many more cells are counted and not named."""


def in_cells(findings: Iterable[Finding], filled: Filled) -> Iterator[Finding]:
    """Each with its sheet and cell where it is about one; without those of cells that were told of already."""
    for finding in findings:
        path = tuple(finding.key.split(".")) if finding.key else ()
        if any(path[: len(refused)] == refused for refused in filled.refused):
            continue
        mark = next(
            (filled.marks[path[:n]] for n in range(len(path), 0, -1) if path[:n] in filled.marks), None
        )
        if mark is None:
            yield finding
        else:
            expected = in_a_cell(finding.expected)
            yield replace(finding, file=mark.file, line=mark.line, key=mark.written[0], expected=expected)


def once_a_column(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The same fault in many cells of a column is one finding, at the first, that counts the others."""
    cells: dict[tuple[Finding, str], list[Finding]] = {}
    for finding in findings:
        column = finding.key.rstrip("0123456789") if "!" in finding.key else finding.key
        cells.setdefault((replace(finding, line=0, key=""), column), []).append(finding)
    for first, *others in cells.values():
        if len(others) < MANY or not (first.line or "!" in first.key):
            yield from (first, *others)
            continue
        more = ngettext(
            " (and in {n} more cell of the column)", " (and in {n} more cells of the column)", len(others)
        )
        yield replace(first, found=first.found + more)


def of_new_case(
    findings: Iterable[Finding], filled: Filled, files: Sequence[Path], folder: Path
) -> Iterator[Finding]:
    """Of a case to be made: that it would have no places, say, is the want of a sheet, which may be in another file. A
    sheet whose every row is wrong was told of."""
    lacking = []
    for finding in findings:
        sheet = SHEET_OF.get(finding.key, "")
        if finding.key == "timezone" and not finding.line:
            hint = _("add --timezone, such as --timezone Europe/Dublin, or a sheet 'case' with a row for it")
            yield replace(finding, file=_names(files), key="", hint=hint)
        elif not sheet:
            yield finding
        elif sheet not in filled.sheets or not filled.findings:
            lacking.append(sheet)
    if lacking:
        found = _("nothing that is filled in on a sheet of {sheets}", sheets=or_list(lacking))
        expected = _("children, adults, places and skills, which a new case needs")
        hint = _(
            "name all files that make up the case at once: genplan tables read {files} OTHER.xlsx {folder}",
            files=" ".join(typed(file.name) for file in files),
            folder=typed(folder),
        )
        yield Finding(_names(files), 0, "", found, expected, hint)


def typed(path: Path | str) -> str:
    """As it is typed behind a command: a blank would part it."""
    return f'"{path}"' if " " in str(path) else str(path)


def _names(files: Sequence[Path]) -> str:
    return and_list([file.name for file in files])
