"""What rows of results.csv say again: a day, a time, who did what where, the counts. Each is read once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time
from operator import attrgetter
from typing import Any

from genplan.case import Combination
from genplan.case.targets import BASE_DIMENSIONS
from genplan.evidence.delimited_text import Sheet
from genplan.evidence.log import Result, ResultKind, made
from genplan.evidence.row_counts import COUNTED

_counted = attrgetter(*COUNTED)


class SaidBefore:
    """Makes the value of a row from what rows before it said. What a row says is right or wrong in parts that have
    nothing to do with each other, so one of which every part was right before is right."""

    def __init__(self, sheet: Sheet, extra: Sequence[str]) -> None:
        """`extra` are the columns of extra dimensions."""
        self._day, self._time = sheet.reader("date"), sheet.reader("time")
        self._where = sheet.reader("target", *BASE_DIMENSIONS, *extra)
        self._counts = sheet.reader("kind", *COUNTED)
        self._observer, self._note = sheet.reader("observer"), sheet.reader("note")
        self.days: dict[str, date] = {}
        self.times: dict[str, time | None] = {}
        self.places: dict[Any, tuple[str, Combination]] = {}
        self.counts: dict[Any, tuple[ResultKind, dict[str, Any]]] = {}

    def result(self, line: int, cells: tuple[str, ...]) -> Result | None:
        """The row, or None if some part of it was not there before."""
        try:
            target, combination = self.places[self._where(cells)]
            kind, counted = self.counts[self._counts(cells)]
            return made(
                line=line,
                date=self.days[self._day(cells)],
                time=self.times[self._time(cells)],
                target=target,
                kind=kind,
                combination=combination,
                observer=self._observer(cells),
                note=self._note(cells),
                **counted,
            )
        except KeyError:
            return None

    def learn(self, cells: tuple[str, ...], result: Result) -> None:
        """`result` is what the cells were read as, and nothing about them was odd."""
        self.days[self._day(cells)] = result.date
        self.times[self._time(cells)] = result.time
        self.places.setdefault(self._where(cells), (result.target, result.combination))
        self.counts.setdefault(
            self._counts(cells), (result.kind, dict(zip(COUNTED, _counted(result), strict=True)))
        )
