"""What a row of results says by itself, whatever the case is: its day, its time, its kind, its counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any, NamedTuple

from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.delimited_text import Row
from genplan.evidence.faultless_rows import KINDS
from genplan.evidence.log import ResultKind
from genplan.evidence.moments import clock_of, day_of
from genplan.evidence.row_counts import read_counts
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, nearest
from genplan.language import _


def faults_by_itself(file: str, row: Row) -> list[Finding]:
    """Where there is no case yet by which the rest could be read."""
    reader = ReaderOfCells(file, [])
    reader.by_itself(row)
    return [*reader.findings, *([reader.odd_time] if reader.odd_time else [])]


class ByItself(NamedTuple):
    """None is what cannot be read; of a time also an empty cell."""

    day: date | None
    time: time | None
    kind: ResultKind | None
    counted: Mapping[str, Any]


@dataclass
class ReaderOfCells:
    """Reads the cells of one row after another and adds what is wrong with them to `findings`."""

    file: str
    findings: list[Finding]
    row: Row = field(init=False)
    odd_time: Finding | None = field(init=False, default=None)
    """What is wrong with the row's time. It can be read without it; whether that is safe, others decide."""

    def by_itself(self, row: Row) -> ByItself:
        self.row, self.odd_time = row, None
        day, moment, kind = self._date(), self._time(), self._kind()
        counted, faults = read_counts(row.cells, kind)
        for fault in faults:
            self.complain(*fault)
        return ByItself(day, moment, kind, counted)

    def complain(self, key: str, found: str, expected: str, hint: str = "") -> None:
        self.findings.append(Finding(self.file, self.row.line, key, found, expected, hint))

    def _date(self) -> date | None:
        try:
            return day_of(self.row.cells["date"])
        except InvalidValue as problem:
            self.complain("date", problem.found, problem.expected, problem.hint)
            return None

    def _time(self) -> time | None:
        """None for an empty cell, and for one that cannot be read, which is kept in `odd_time`."""
        text = self.row.cells.get("time", "")
        if not text:
            return None
        try:
            return clock_of(text)
        except InvalidValue as problem:
            self.odd_time = Finding(self.file, self.row.line, "time", problem.found, problem.expected)
            return None

    def _kind(self) -> ResultKind | None:
        text = self.row.cells["kind"]
        if kind := KINDS.get(text):
            return kind
        self.complain(
            "kind",
            _("found {text}", text=quoted(text)),
            _("one of {kinds}", kinds=", ".join(KINDS)),
            nearest(text.lower(), KINDS),
        )
        return None
