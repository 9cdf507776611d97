"""Which rows of a sheet results.csv has already, and what became of them there."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from genplan.case import Case
from genplan.evidence.before_change import states_before
from genplan.evidence.delimited_text import Row
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.results import read_row
from genplan.evidence.row_identity import cells_of, is_same_but_for_the_time, said_by
from genplan.evidence.taken_back import TAKEN_BACK

PLANNED_INSTEAD = (ResultKind.MAINTENANCE, ResultKind.BASELINE)
"""Kinds as which a probe is written down where people were told so."""
THERE = ("known", "counted", "before", "but_time")
_Key = tuple[Any, ...]


def without_known(
    ready: list[tuple[Row, Result | Row]], log: Log, case: Case | None
) -> tuple[tuple[Row, ...], dict[str, dict[int, int]]]:
    """Rows that results.csv has not got, each as often as the sheet has more of it than the file; and by what became of
    it each that it has, with the line there: `known`, taken back (`counted`), put right since (`before`)."""
    there: dict[_Key, deque[int]] = defaultdict(deque)
    for key, line in (
        *((said_by(r), r.line) for r in log.results),
        *((("away", said_by(r)), r.line) for r in log.taken_back),
        *((("counted", _counted(r)), r.line) for r in log.taken_back),
        *((("unread", _cells(r)), r.line) for r in log.unread),
        *((("before", _counted(b)), r.line) for r in log.results for b in _before_changes(r, case)),
    ):
        there[key].append(line)
    found: dict[str, dict[int, int]] = {what: {} for what in THERE}
    left = {row.line: _keys(row, told) for row, told in ready}
    for rank in range(max(map(len, left.values()), default=0)):
        for line, own in list(left.items()):
            if rank < len(own) and (lines := there.get(own[rank])):
                found[own[rank][0] if own[rank][0] in found else "known"][line] = lines.popleft()
                del left[line]
    taken = {line for lines_of in found.values() for line in lines_of.values()}
    still = [(row, told) for row, told in ready if row.line in left and isinstance(told, Result)]
    for line, what, line_there in _there_but_for_the_time(still, log, case, taken):
        found[what][line] = line_there
        del left[line]
    return tuple(row for row, _told in ready if row.line in left), found


def _there_but_for_the_time(
    ready: Iterable[tuple[Row, Result | Row]], log: Log, case: Case | None, taken: set[int]
) -> Iterable[tuple[int, str, int]]:
    """Of a row that only lacks the time, or alone has it, the line, what became of it and the line there: a sheet that
    is handed in again with other columns would count each probe twice. No line there stands for two rows."""
    wanted = {told.date for _row, told in ready if isinstance(told, Result)}
    there: dict[object, list[tuple[str, Result]]] = defaultdict(list)
    for what, one in (
        *(("but_time", r) for r in log.results if r.date in wanted),
        *(("counted", r) for r in log.taken_back if r.date in wanted),
        *(("before", b) for r in log.results if r.date in wanted for b in _before_changes(r, case)),
    ):
        there[one.target, one.combination, one.date].append((what, one))
    for row, told in ready:
        if not isinstance(told, Result) or row.cells["kind"].startswith(TAKEN_BACK):
            continue
        for what, r in there[told.target, told.combination, told.date]:
            if r.line not in taken and is_same_but_for_the_time(r, told):
                taken.add(r.line)
                yield row.line, what, r.line
                break


def _before_changes(result: Result, case: Case | None) -> Iterable[Result]:
    """What the row said before it was put right, as far as that can be read."""
    if case is None or not result.note:
        return
    for cells in states_before(cells_of(case.targets[result.target], result)):
        before, _wrong = read_row(case, Row(result.line, cells))
        if before:
            yield before


def _keys(row: Row, told: Result | Row) -> list[_Key]:
    """As what the row may be there, the likeliest first; of a row that counts the last two are one taken back and one
    put right. A probe that was written down as the kind that was planned is there, whatever the sheet calls it."""
    if isinstance(told, Row):
        return [("unread", _cells(told))]
    if row.cells["kind"].startswith(TAKEN_BACK):
        return [("away", said_by(told))]
    planned = PLANNED_INSTEAD if told.kind is ResultKind.PROBE else ()
    as_planned = (said_by(replace(told, kind=kind)) for kind in planned)
    return [said_by(told), *as_planned, *((what, _counted(told)) for what in THERE[1:3])]


def _counted(r: Result) -> object:
    """What a sheet still says of a row that was taken back: its note has the reason since, and a probe may have been
    written down as the kind that was planned."""
    who = r.target, r.combination, r.date, r.time, r.kind.is_probe or r.kind
    return (*who, r.trials, r.correct, r.prompted, r.observer_correct)


def _cells(row: Row) -> object:
    return frozenset((name, cell) for name, cell in row.cells.items() if cell)
