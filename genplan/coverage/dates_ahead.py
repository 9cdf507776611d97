"""Dates of wishes that are still open: how much is left for them, and whether the policy's own limits leave room."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from genplan.case import Case, Week, Wish
from genplan.coverage.tally import Tally, fewest_at_least
from genplan.coverage.tuples import wished_tuples


@dataclass(frozen=True)
class DateAhead:
    """A `first` wish with a date of which something is open: `open` tuples, which take `fewest` probes at the least.
    From the day looked from, of which something may still be ahead, up to the date the policy allows no more than
    `room` probes of the target."""

    target: str
    wish: Wish
    by: date
    open: int
    fewest: int
    room: int
    days: int

    @property
    def is_over(self) -> bool:
        return self.days < 0

    @property
    def cannot_hold(self) -> bool:
        """By counting alone; that it can is not said."""
        return self.is_over or self.fewest > self.room


def dates_ahead(case: Case, count: Tally, on: date) -> tuple[DateAhead, ...]:
    """The earliest first."""
    found = []
    for wish in count.target.first:
        if wish.by is not None and (left := wished_tuples(count.target, wish.pattern, count.open)):
            days, fewest = (wish.by - on).days, fewest_at_least(left)
            room = _room(case, on, wish.by)
            found.append(DateAhead(count.target.id, wish, wish.by, len(left), fewest, room, days))
    return tuple(sorted(found, key=lambda d: d.by))


def _room(case: Case, on: date, by: date) -> int:
    policy = case.policy
    weeks = Counter(Week.of(day) for day in _days_from(on, by) if day.weekday() in policy.days)
    return sum(
        min(policy.probes_per_target_per_week, days * policy.probes_per_target_per_day)
        for days in weeks.values()
    )


def _days_from(on: date, by: date) -> Iterator[date]:
    return (on + timedelta(days=n) for n in range((by - on).days + 1))
