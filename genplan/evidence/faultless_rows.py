"""Rows of results.csv of which every part can be read: a day, a time, who did what where, the counts.

What a row says is right or wrong in parts that have nothing to do with each other, and 200,000 rows say the same parts
again and again. Each part is read once, and rows are put together column by column.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date, time
from functools import cache
from itertools import compress, repeat
from operator import contains, itemgetter
from typing import Any

from genplan.case import Combination, Target
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.delimited_text import Sheet
from genplan.evidence.log import Result, ResultKind, made
from genplan.evidence.marks import MARKS
from genplan.evidence.moments import clock_of, day_of
from genplan.evidence.row_counts import COUNTED, read_counts

KINDS = {kind.value: kind for kind in ResultKind}
Known = Callable[[Target], Mapping[str, Collection[str]]]
_WRONG = object()


class FaultlessRows:
    """`others` are the rows in which something is wrong, by their place in the sheet: what, says who reads them one by
    one."""

    def __init__(
        self,
        sheet: Sheet,
        targets: Mapping[str, Target],
        known: Known,
        extra: Sequence[str],
    ) -> None:
        """`known` says what the columns of a target's dimensions may hold, `extra` are the columns of extra ones."""
        places = _Places(targets, known, extra)
        self._as_written = sheet.lines, sheet.column("observer"), sheet.column("note")
        self._parts = [
            _Part(_day, sheet, ("date",)),
            _Part(_time, sheet, ("time",)),
            _Part(places.read, sheet, places.columns),
            _Part(_counts, sheet, ("kind", *COUNTED)),
        ]
        self.others = sorted({at for part in self._parts for at in part.wrong})

    def results(self, end: int) -> list[Result]:
        """The faultless ones among the rows before the place `end`."""
        others = {at for at in self.others if at < end}
        chosen = [at not in others for at in range(end)]
        lines, observers, notes = (compress(column, chosen) for column in self._as_written)
        days, times, places, counts = (list(compress(part.said, chosen)) for part in self._parts)
        targets, combinations = (map(itemgetter(n), places) for n in range(2))
        kinds, trials, correct, prompted, observed, *seen = (
            map(itemgetter(n), counts) for n in range(1 + len(COUNTED))
        )
        who = (lines, days, times, targets, kinds, combinations)
        return made(*who, trials, correct, prompted, observers, observed, notes, repeat(False), *seen)


class _Part:
    """What each row says in these columns, and the places of those of which that is wrong."""

    def __init__(self, read: Callable[[tuple[str, ...]], Any], sheet: Sheet, columns: Sequence[str]) -> None:
        once = _Once(read)
        self.said = list(map(once.__getitem__, zip(*map(sheet.column, columns), strict=True)))
        self.wrong = [at for at, said in enumerate(self.said) if said is _WRONG] if once.found_wrong else []


class _Once(dict[tuple[str, ...], Any]):
    def __init__(self, read: Callable[[tuple[str, ...]], Any]) -> None:
        self._read = read
        self.found_wrong = False

    def __missing__(self, cells: tuple[str, ...]) -> Any:
        try:
            self[cells] = said = self._read(cells)
        except (InvalidValue, KeyError):
            self[cells] = said = _WRONG
            self.found_wrong = True
        return said


def _day(cells: tuple[str, ...]) -> date:
    return day_of(cells[0])


def _time(cells: tuple[str, ...]) -> time | None:
    return clock_of(cells[0]) if cells[0] else None


def _counts(cells: tuple[str, ...]) -> tuple[Any, ...]:
    kind = KINDS[cells[0]]
    counted, faults = read_counts(dict(zip(COUNTED, cells[1:], strict=True)), kind)
    if faults:
        raise KeyError(cells)
    return kind, *(counted.get(name, "" if name in MARKS else None) for name in COUNTED)


class _Places:
    """Target and combination."""

    def __init__(self, targets: Mapping[str, Target], known: Known, extra: Sequence[str]) -> None:
        self.columns = ("target", *BASE_DIMENSIONS, *extra)
        self._targets, self._known = targets, known
        self._of_target = cache(self._looked_up)

    def read(self, cells: tuple[str, ...]) -> tuple[str, Combination]:
        allowed, combination = self._of_target(cells[0])
        if not all(map(contains, allowed, cells)):
            raise KeyError(cells)
        return cells[0], combination(cells)

    def _looked_up(self, id_: str) -> tuple[list[Collection[str]], Callable[[tuple[str, ...]], Combination]]:
        """What may stand in each of the columns, and what takes the combination from them."""
        target = self._targets[id_]
        known = {"target": (id_,), **self._known(target)}
        at = map(self.columns.index, target.dimension_names)
        return [known.get(name, ("",)) for name in self.columns], itemgetter(*at)
