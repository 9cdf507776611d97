"""How coverage of a target grew: its tuples tried, met, and met without teaching, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Target
from genplan.case.possible import possible_combinations
from genplan.coverage.tally import Tally, tally_among
from genplan.evidence.effective_rows import log_until
from genplan.evidence.log import Log, ResultKind


@dataclass(frozen=True, kw_only=True)
class Point:
    """Tuples at the end of a day.

    possible  that possible combinations show
    shown     of these, tested or taught
    tested    of these, in a probe
    met       of these, met by the latest probes
    met_untaught  of these, met in a combination in which nothing was taught by then
    """

    day: date
    possible: int
    shown: int
    tested: int
    met: int
    met_untaught: int = 0


def curve(case: Case, target: Target, log: Log, first: date, last: date) -> tuple[Point, ...]:
    """A point for the day before `first`, for each day in the span with a row that may change anything, and
    for `last`. What is possible is that of `last`, so that the curve moves only by what was run. Raises
    ValueError for a span that ends before it starts."""
    if last < first:
        raise ValueError(f"{last} is before {first}")
    before = date.fromordinal(first.toordinal() - 1) if first > date.min else first
    days = {
        r.date
        for r in log.of_target(target.id)
        if first <= r.date <= last and r.kind is not ResultKind.NOT_RUN
    }
    possible = possible_combinations(case, target, last)
    return tuple(
        _point(day, tally_among(target, possible, log_until(log, day)))
        for day in sorted({before, last, *days})
    )


def _point(day: date, count: Tally) -> Point:
    return Point(
        day=day,
        possible=len(count.possible),
        shown=len(count.shown),
        tested=len(count.tested),
        met=len(count.met),
        met_untaught=len(count.met_untaught),
    )
