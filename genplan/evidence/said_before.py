"""What rows of results.csv say again: a day, a time, who did what where, the counts. Each is read once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, time
from operator import attrgetter
from typing import Any

from genplan.case import Combination, Target
from genplan.case.targets import BASE_DIMENSIONS
from genplan.evidence.delimited_text import Sheet
from genplan.evidence.log import Result, made
from genplan.evidence.row_counts import COUNTED

_counted = attrgetter(*COUNTED)


class SaidBefore:
    """Makes the value of a row from what rows before it said. What a row says is right or wrong in parts that have
    nothing to do with each other, so one of which every part was right before is right."""

    def __init__(self, sheet: Sheet, targets: Mapping[str, Target], extra: Sequence[str]) -> None:
        """`extra` are the columns of extra dimensions."""
        self.sheet = sheet
        self._targets = targets
        self._where = tuple(name for name in ("target", *BASE_DIMENSIONS, *extra) if name in sheet.columns)
        self._parts = (
            sheet.reader("date"),
            sheet.reader("time"),
            sheet.reader(*self._where),
            sheet.reader("kind", *COUNTED),
        )
        self.days: dict[str, date] = {}
        self.times: dict[str, time | None] = {}
        self.places = _Places()
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
        names = self._targets[result.target].dimension_names
        self.places.learn(place, result, [self._where.index(name) for name in names])
        if count not in self.counts:
            self.counts[count] = result.kind, *_counted(result)


class _Places(dict[Any, tuple[str, Combination]]):
    """Target and combination of what the columns of both say. What may stand in one of them hangs on the target and on
    no other column, so cells that were all right beside this target before are right together."""

    def __init__(self) -> None:
        self._right: dict[str, tuple[set[str], ...]] = {}
        self._at: dict[str, Sequence[int]] = {}

    def __missing__(self, place: Sequence[str]) -> tuple[str, Combination]:
        target = place[0]
        for cell, right in zip(place, self._right[target], strict=True):
            if cell not in right:
                raise KeyError(place)
        self[place] = said = target, tuple([place[n] for n in self._at[target]])
        return said

    def learn(self, place: Sequence[str], result: Result, at: Sequence[int]) -> None:
        """`at` says where in the columns the values of the combination stand."""
        self[place] = result.target, result.combination
        self._at[result.target] = at
        for cell, right in zip(
            place, self._right.setdefault(result.target, tuple(set() for _ in place)), strict=True
        ):
            right.add(cell)
