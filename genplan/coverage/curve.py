"""How coverage of a target grew: its tuples tried, met, and met without teaching, day by day."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from genplan.case import Case, Combination, Target
from genplan.case.possible import possible_combinations
from genplan.coverage.tuples import Tuple, tuples_named_as_taught, tuples_of, tuples_of_all
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import Standing, Status, standing_after
from genplan.evidence.where_taught import is_named_as_taught


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
    """The curve of a target of which there is no tally yet (`curve_of`)."""
    possible = tuples_of_all(target, possible_combinations(case, target, last))
    return curve_of(target, possible, log, first, last)


def curve_of(
    target: Target, possible: frozenset[Tuple], log: Log, first: date, last: date
) -> tuple[Point, ...]:
    """A point for the day before `first`, for each day in the span with a row that may change anything, and
    for `last`. What is `possible` are the tuples of `last`, so that the curve moves only by what was run. Raises
    ValueError for a span that ends before it starts."""
    if last < first:
        raise ValueError(f"{last} is before {first}")
    before = day_before(first)
    grown = _Grown(target, possible)
    rows = [r for r in log.of_target(target.id) if r.date <= last and r.kind is not ResultKind.NOT_RUN]
    grown.take(r for r in rows if r.date <= before)
    found = {before: grown.point(before)}
    for day, of_day in groupby((r for r in rows if r.date > before), key=lambda r: r.date):
        grown.take(of_day)
        found[day] = grown.point(day)
    return tuple((found | {last: grown.point(last)}).values())


def day_before(day: date) -> date:
    """The first day that a calendar knows has none before it, and is its own."""
    return max(day, date.min + timedelta(days=1)) - timedelta(days=1)


class _Held:
    """Combinations that are something, and the tuples that at least one of them holds."""

    def __init__(self) -> None:
        self._combinations: set[Combination] = set()
        self._times: Counter[Tuple] = Counter()

    def __len__(self) -> int:
        return len(self._times)

    def put(self, combination: Combination, tuples: Collection[Tuple], holds: bool) -> None:
        """Puts a combination in, or takes it out. Nothing changes where it is so already."""
        if holds is (combination in self._combinations):
            return
        if holds:
            self._combinations.add(combination)
            self._times.update(tuples)
            return
        self._combinations.remove(combination)
        self._times.subtract(tuples)
        for gone in (t for t in tuples if not self._times[t]):
            del self._times[gone]


class _Grown:
    """What the rows so far show of a target. It changes with each row by what that row says, and never looks back:
    tallied anew for each day, a thousand days take a thousand times as long."""

    def __init__(self, target: Target, possible: frozenset[Tuple]) -> None:
        self.target, self.possible = target, possible
        self.tuples: dict[Combination, tuple[Tuple, ...]] = {}
        self.named: dict[Combination, bool] = {}
        self.standings: dict[Combination, Standing] = defaultdict(Standing)
        self.lessons: set[Combination] = set()
        self.shown, self.tested, self.met, self.met_untaught = _Held(), _Held(), _Held(), _Held()
        self.shown.put((), tuples_named_as_taught(target) & possible, True)

    def take(self, rows: Iterable[Result]) -> None:
        """Rows of the target, in order of time."""
        for row in rows:
            self.standings[row.combination] = standing_after(
                self.target, self.standings[row.combination], row
            )
            if row.kind is ResultKind.TEACHING:
                self.lessons.add(row.combination)
            self._put(row.combination)

    def _put(self, combination: Combination) -> None:
        standing = self.standings[combination]
        if combination not in self.tuples:
            every = tuples_of(self.target, combination)
            self.tuples[combination] = tuple(t for t in every if t in self.possible)
            self.named[combination] = is_named_as_taught(self.target, combination)
        tuples = self.tuples[combination]
        met = standing.status is Status.MET
        taught = combination in self.lessons or self.named[combination]
        self.shown.put(combination, tuples, standing.tested or standing.status is Status.TAUGHT)
        self.tested.put(combination, tuples, standing.tested)
        self.met.put(combination, tuples, met)
        self.met_untaught.put(combination, tuples, met and not taught)

    def point(self, day: date) -> Point:
        return Point(
            day=day,
            possible=len(self.possible),
            shown=len(self.shown),
            tested=len(self.tested),
            met=len(self.met),
            met_untaught=len(self.met_untaught),
        )
