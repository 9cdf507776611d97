"""What is wanted by a date of the week and is not shown in time: left out of it, or shown too late. Its reason is what
stands in the way until then: that there is room afterwards is no help."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from genplan.case import Week
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Window, intersect
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.plan import LeftOut, MissedDate, ProbeKind
from genplan.planning.budget import Budget
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.limits_in_the_way import reason_for
from genplan.planning.needs import LAST_DAY, TargetNeed
from genplan.planning.openings import Hours
from genplan.planning.reasons import Owed, leaves_alone
from genplan.planning.reasons_of_dates import DatedWays, reason_of_dated
from genplan.rules.limits import LESS_URGENT, Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def missed_dates(
    owed: Owed, week: Week, today: date, omitted: Sequence[LeftOut], budget: Budget
) -> tuple[MissedDate, ...]:
    """Each such tuple once, with the earliest of its dates that is missed; `omitted` is what the week leaves out."""
    found = _Missed(owed, week, today, budget)
    missed = (m for need in owed.needs for m in found.of(need, omitted))
    return tuple(sorted(missed, key=lambda m: (m.by, m.item.learner, m.item.target, m.item.values)))


@dataclass(frozen=True)
class _Missed:
    owed: Owed
    week: Week
    today: date
    budget: Budget
    _ways: dict[int, InsertionFinder] = field(default_factory=dict)

    def of(self, need: TargetNeed, omitted: Sequence[LeftOut]) -> Iterator[MissedDate]:
        dates = self._dates(need)
        if not dates:
            return
        out = {i.values: i for i in omitted if i.target == need.id and i.kind is ProbeKind.NEW}
        shown = self._first_days(need)
        for tuple_, by in sorted(dates.items()):
            day, last = shown.get(tuple_), (by - self.week.monday).days
            if day is None and (item := out.get(tuple_)):
                limit = self._why(need, tuple_, last, item.limit)
                yield MissedDate(item=replace(item, limit=limit), by=by)
            elif day is not None and day > last:
                limit = self._why(need, tuple_, last, self.owed.clear)
                item = LeftOut(
                    learner=need.target.learner,
                    target=need.id,
                    kind=ProbeKind.NEW,
                    values=tuple_,
                    limit=limit,
                )
                yield MissedDate(item=item, by=by, shown=self.week.days[day])

    def _dates(self, need: TargetNeed) -> Mapping[Tuple, date]:
        """What is open and wanted by a date that is still ahead in the week, with the earliest."""
        found: dict[Tuple, date] = {}
        for due in need.wishes:
            by = due.wish.by
            if by is not None and max(self.today, self.week.monday) <= by <= self.week.sunday:
                for tuple_ in due.tuples:
                    found[tuple_] = min(by, found.get(tuple_, by))
        return found

    def _first_days(self, need: TargetNeed) -> Mapping[Tuple, int]:
        """Each tuple that the week shows, with the first day on which it does."""
        found: dict[Tuple, int] = {}
        for seat in self.owed.seats:
            for probe in seat.probes:
                if probe.target == need.id and probe.is_test:
                    for tuple_ in tuples_of(need.target, probe.combination):
                        found[tuple_] = min(seat.day, found.get(tuple_, seat.day))
        return found

    def _why(self, need: TargetNeed, tuple_: Tuple, last: int, clear: Limit) -> Limit:
        """What stands in the way of showing it until the day `last`; `clear` where nothing does."""
        choices = [c for c in need.of_kind(ProbeKind.NEW) if tuple_ in c.shows]
        if last == LAST_DAY or not choices:
            return clear
        if self.budget.is_over:
            return Limit(Kind.NO_TIME)
        if self._before_dated is not None and need.dated.get(tuple_) == last:
            limit = reason_of_dated(self._before_dated, need, tuple_, choices)
            if limit is not None:
                return limit
        ways = self._ways_until(need, tuple_, last)
        limit = reason_for(ways, need.target, choices)
        if limit.kind is Kind.HOURS:
            until = self.week.days[last]
            return replace(limit, parts=tuple(replace(part, until=until) for part in limit.parts))
        if limit != LESS_URGENT:
            return limit
        anew = self.owed.told_anew
        if anew is None or any(leaves_alone(ways, anew, *w) for c in choices for w in ways.clear(c)):
            return clear
        return Limit(Kind.TOLD_ANEW)

    @cached_property
    def _before_dated(self) -> DatedWays | None:
        return self.owed.ways_before_dated()

    def _ways_until(self, need: TargetNeed, tuple_: Tuple, last: int) -> InsertionFinder:
        """The ways until a day of the week, beside all else: what shows it too late gives way."""

        def stays(_: PlacedSitting, probe: PlacedProbe) -> bool:
            return probe.target != need.id or tuple_ not in tuples_of(need.target, probe.combination)

        if all(stays(seat, p) for seat in self.owed.seats for p in seat.probes):
            if last not in self._ways:
                self._ways[last] = self._finder(self.owed, last)
            return self._ways[last]
        return self._finder(replace(self.owed, seats=self.owed.only_with(stays)), last)

    def _finder(self, owed: Owed, last: int) -> InsertionFinder:
        return InsertionFinder(owed.case, _until(owed.free, last), owed.seats)


def _until(free: Hours, last: int) -> Hours:
    """The hours of the days up to this one."""
    days = (Window(0, (last + 1) * MINUTES_PER_DAY),)
    learners, adults, locations = (
        {i: intersect(windows, days) for i, windows in some.items()}
        for some in (free.learners, free.adults, free.locations)
    )
    return replace(free, learners=learners, adults=adults, locations=locations)
