"""What rows of results.csv say again: a day, a time, who did what where, the counts. Each is read once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, time
from operator import attrgetter
from typing import Any

from genplan.case import Combination
from genplan.case.targets import BASE_DIMENSIONS
from genplan.evidence.delimited_text import Sheet
from genplan.evidence.log import Result, made
from genplan.evidence.row_counts import COUNTED

_counted = attrgetter(*COUNTED)


class SaidBefore:
    """Makes the value of a row from what rows before it said. What a row says is right or wrong in parts that have
    nothing to do with each other, so one of which every part was right before is right."""

    def __init__(self, sheet: Sheet, extra: Sequence[str]) -> None:
        """`extra` are the columns of extra dimensions."""
        self.sheet = sheet
        self._parts = (
            sheet.reader("date"),
            sheet.reader("time"),
            sheet.reader("target", *BASE_DIMENSIONS, *extra),
            sheet.reader("kind", *COUNTED),
        )
        self.days: dict[str, date] = {}
        self.times: dict[str, time | None] = {}
        self.places: dict[Any, tuple[str, Combination]] = {}
        self.counts: dict[Any, tuple[Any, ...]] = {}

    def results(self) -> Iterator[Result | None]:
        """Each row, or None if some part of it was in no row that was learnt so far."""
        words = self.sheet.reader("observer"), self.sheet.reader("note")
        cells = self.sheet.cells
        read = (map(reader, cells) for reader in (*self._parts, *words))
        for line, day, at, place, count, observer, note in zip(self.sheet.lines, *read, strict=True):
            try:
                target, combination = self.places[place]
                kind, trials, correct, prompted, other, marks, other_marks, steps = self.counts[count]
                when = self.days[day], self.times[at]
            except KeyError:
                yield None
            else:
                who = line, *when, target, kind, combination
                yield made(
                    *who, trials, correct, prompted, observer, other, note, False, marks, other_marks, steps
                )

    def learn(self, at: int, result: Result) -> None:
        """`result` is what the row was read as, and nothing about it was odd."""
        day, time_, place, count = (reader(self.sheet.cells[at]) for reader in self._parts)
        self.days[day], self.times[time_] = result.date, result.time
        self.places.setdefault(place, (result.target, result.combination))
        if count not in self.counts:
            self.counts[count] = result.kind, *_counted(result)
