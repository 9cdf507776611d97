"""Findings in a case that was made of tables -> the cells that they are about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from genplan.findings import Finding
from genplan.tables.filled import Filled


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
            yield replace(finding, file=mark.file, line=mark.line, key=mark.written[0])
