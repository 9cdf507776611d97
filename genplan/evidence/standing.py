"""The standing of each combination: what its latest probe says, and whether enough teaching followed a failure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.where_taught import is_named_as_taught
from genplan.language import N_


class Status(StrEnum):
    UNTESTED = N_("untested")
    TAUGHT = N_("taught")
    MET = N_("met")
    NOT_MET = N_("not met")


@dataclass(frozen=True)
class Uncounted:
    """A row of teaching that did not reach `taught_when`; without trials there is no count of it."""

    on: date
    correct: int
    trials: int


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What is known of a combination.

    status      by the latest row that says something
    tested      some probe or maintenance probe was run, met or not
    retest_due  not met, and taught since as often as the target asks for; or what only failed in it was, elsewhere
    last_date   of the row that decided
    correct     of the latest test
    trials      of the latest test
    teachings   that count since the latest test, if that was not met
    retest_from first day on which the retest that is due may be run
    suspects    of what waits and need not be taught itself: what only failed in it and was not taught since
    partly_from of the same: first day of its retest if that is all there is to teach; None where nothing was taught
    taught      `taught` names it, as far as that goes, or a row of teaching speaks of it, at any time
    lost_on     day of the test that undid what had been met, and has not been met again
    uncounted   of what waits: the latest teaching since, there or where it would do, that does not count
                two standings are alike without these three: they say nothing of what is known now
    """

    status: Status = Status.UNTESTED
    tested: bool = False
    retest_due: bool = False
    last_date: date | None = None
    correct: int | None = None
    trials: int | None = None
    teachings: int = 0
    retest_from: date | None = None
    suspects: tuple[tuple[tuple[str, str], ...], ...] = ()
    partly_from: date | None = None
    taught: bool = field(default=False, compare=False)
    lost_on: date | None = field(default=None, compare=False)
    uncounted: Uncounted | None = field(default=None, compare=False)

    @property
    def waits_for_teaching(self) -> bool:
        """Not met, and too little teaching recorded since: no plan may hold a probe of it."""
        return self.status is Status.NOT_MET and not self.retest_due

    @property
    def comes_again(self) -> bool:
        """Whether it is to be probed again, now or once it is taught."""
        return self.retest_due or self.waits_for_teaching


UNTESTED = Standing()


def _with(before: Standing, **fields: Any) -> Standing:
    """`replace`, which calls a constructor that sets each frozen field by itself: there is a standing for each of some
    ten thousand combinations, and this takes a tenth of the time."""
    standing = object.__new__(Standing)
    vars(standing).update(vars(before), **fields)
    return standing


_TAUGHT_AND_UNTESTED = Standing(taught=True)


def standings(target: Target, log: Log) -> Mapping[Combination, Standing]:
    """The standing of every combination that a row or `taught` speaks of; all others are `UNTESTED`."""
    return log.once(_standings, target)


def _standings(target: Target, log: Log) -> Mapping[Combination, Standing]:
    from genplan.evidence.only_failed import taught_elsewhere  # which starts from the standings found here

    corrected, teaching = corrected_of(target, log), ResultKind.TEACHING
    rows: Sequence[Result] = log.of_target(target.id)
    if corrected:
        rows = [row for row in rows if row.line not in corrected]
    taught = {row.combination for row in rows if row.kind is teaching}
    history: dict[Combination, list[Result]] = defaultdict(list)
    for row in rows:
        history[row.combination].append(row)
    taught.update(c for c in history if is_named_as_taught(target, c))
    found = {
        c: standing_of(target, rows, _TAUGHT_AND_UNTESTED if c in taught else UNTESTED)
        for c, rows in history.items()
    }
    for combination in filter(target.wholly_taught.__contains__, target.combinations()):
        if found.get(combination, UNTESTED).status is Status.UNTESTED:
            found[combination] = Standing(status=Status.TAUGHT, taught=True)
    return found | taught_elsewhere(target, history, found)


def was_taught(target: Target, combination: Combination) -> bool:
    """Whether `taught` names the whole combination; one that leaves out a dimension names none."""
    return combination in target.wholly_taught


def standing_of(target: Target, rows: Iterable[Result], begun: Standing = UNTESTED) -> Standing:
    """The standing after these rows of one combination, given in order of time. What comes before the latest test
    that was met says nothing any more."""
    since: list[Result] = []
    latest: Result | None = None
    lost_on: date | None = None
    failed_on: date | None = None
    for row in reversed(list(rows)):
        if not (row.kind.is_test and row.trials):
            since += [row] if latest is None else []
            continue
        latest = latest or row
        if row.meets(target.pass_mark):
            lost_on = failed_on  # by the first test after it
            break
        failed_on = row.date
    standing = begun if latest is None else _tested(target, begun, latest, lost_on)
    for row in reversed(since):
        standing = standing_after(target, standing, row)
    return standing


def _tested(target: Target, before: Standing, row: Result, lost_on: date | None) -> Standing:
    return _with(
        UNTESTED,
        status=Status.MET if row.meets(target.pass_mark) else Status.NOT_MET,
        tested=True,
        last_date=row.date,
        correct=row.correct or 0,
        trials=row.trials,
        taught=before.taught,
        lost_on=lost_on,
    )


def standing_after(target: Target, before: Standing, row: Result) -> Standing:
    """The standing of a combination after one row more of it."""
    if row.kind is ResultKind.TEACHING:
        if counts_as_teaching(target, row):
            return _after_teaching(target, before, row)
        return _with(before, uncounted=uncounted(row)) if before.waits_for_teaching else before
    if not (row.kind.is_test and row.trials):
        return before
    if row.meets(target.pass_mark):
        return _tested(target, before, row, None)
    return _tested(target, before, row, row.date if before.status is Status.MET else before.lost_on)


def counts_as_teaching(target: Target, row: Result) -> bool:
    """Whether a row of teaching reached `taught_when`; one without counts cannot, where that is asked for."""
    mark = target.taught_when
    return mark is None or row.meets(mark)


def uncounted(row: Result) -> Uncounted:
    return Uncounted(row.date, row.correct or 0, row.trials or 0)


def _after_teaching(target: Target, before: Standing, row: Result) -> Standing:
    if before.status is Status.MET:
        return before
    if not before.tested:
        return _with(before, status=Status.TAUGHT, last_date=row.date)
    teachings = before.teachings + 1
    if teachings < target.teachings_before_retest:
        return _with(before, teachings=teachings)
    return _with(
        before,
        status=Status.TAUGHT,
        retest_due=True,
        last_date=row.date,
        teachings=teachings,
        retest_from=row.date + timedelta(days=target.retest_after_days),
    )
