"""What adults are asked for of the time that they can give, counted once more.

Minutes of the week stand one in a byte: 1 where something can be. What an adult can give is the limit of the week, or
else the minutes in which that adult can meet some learner who is owed something, to run a sitting or to sit beside.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from math import ceil, floor

from genplan.audit.beside import has_worked_with
from genplan.audit.choices_left import owed_targets
from genplan.audit.hours import free_minutes
from genplan.audit.matter import DAY, Matter
from genplan.plan import Sitting

WEEK = 7 * DAY
Probe = tuple[str, int]
"""The set that a probe uses, and the minutes of a sitting with it alone."""


def largest_load(matter: Matter) -> float:
    """Tenths, rounded up, for the most burdened adult who can be met. Observing what is ahead does not count: it is
    never asked for its own sake."""
    if not matter.case.policy.prefer.fair_shares:
        return 0
    largest = 0
    for adult, can_give in _Time(matter).can_give.items():
        own = matter.by_adult.get(adult, [])
        asked = [s for s in own if s.begun or s.adult == adult or s.beside_as.value == "companion"]
        minutes = sum(int(matter.minute(s.end) - matter.minute(s.start)) for s in asked)
        largest = max(largest, ceil(10 * minutes / can_give - 1e-9))
    return largest


@dataclass(frozen=True)
class _Time:
    matter: Matter

    @cached_property
    def can_give(self) -> dict[str, int]:
        met: dict[str, bytes] = defaultdict(lambda: bytes(WEEK))
        for (learner, adult, location), probes in self._meetings().items():
            together = _both(
                self._learner(learner, location), self._adult(adult, location), self._place(location)
            )
            company: dict[str, bytes] = {}
            if self._is_new(adult, learner):
                company = self._company(learner, location)
                together = _both(together, _either(company.values()))
            for start, end in _stretches(together):
                if any(self._fits(probe, start, end) for probe in probes):
                    beside = [a for a, own in company.items() if any(own[start:end])]
                    for who in {adult, *beside}:
                        met[who] = _either([met[who], _only(start, end)])
        limits = {a: self.matter.case.adults[a].limits.minutes_per_week for a in met}
        return {a: limits[a] or sum(minutes) for a, minutes in met.items()}

    def _meetings(self) -> dict[tuple[str, str, str], set[Probe]]:
        """Learner, adult and location -> the probes that could be run there."""
        found: dict[tuple[str, str, str], set[Probe]] = defaultdict(set)
        for left in owed_targets(self.matter):
            minutes = self.matter.case.policy.settle_minutes + left.target.minutes
            for combination in left.combinations:
                adult, location, used = combination[:3]
                found[left.target.learner, adult, location].add((used, minutes))
        return found

    @cached_property
    def _ahead(self) -> bytes:
        """Minutes that are not over, on days that the policy uses, that exist once on the clock."""
        matter, zone, ahead = self.matter, self.matter.case.timezone, bytearray(WEEK)
        for day in matter.case.policy.days:
            midnight = datetime.combine(matter.monday.date() + timedelta(days=day), time(), zone)
            same = midnight.utcoffset() == (midnight + timedelta(days=1)).utcoffset()
            for minute in range(DAY):
                moment = midnight + timedelta(minutes=minute)
                once = same or moment.utcoffset() == moment.replace(fold=1).utcoffset()
                ahead[day * DAY + minute] = once and day * DAY + minute >= matter.minute(matter.plan.now)
        return bytes(ahead)

    def _learner(self, id_: str, location: str) -> bytes:
        learner, rest = self.matter.case.learners[id_], self.matter.case.policy.rest_minutes
        free = free_minutes(self.matter, learner.free, learner.away)
        begun = [s for s in self.matter.by_learner.get(id_, []) if s.begun]
        for s in begun:
            start, end = self._span(s)
            _block(free, start - rest, end + rest)
        self._keep_ways(free, begun, location)
        return _both(bytes(free), self._ahead)

    def _adult(self, id_: str, location: str) -> bytes:
        adult = self.matter.case.adults[id_]
        free = free_minutes(self.matter, adult.free, (*adult.away, *self.matter.busy.get(id_, ())))
        self._keep_ways(free, [s for s in self.matter.by_adult.get(id_, []) if s.begun], location)
        return _both(bytes(free), self._ahead)

    def _keep_ways(self, free: bytearray, begun: Iterable[Sitting], location: str) -> None:
        """Takes off what has begun, with the way to it and from it on its day."""
        for s in begun:
            way, (start, end) = self.matter.case.travel.minutes(s.location, location), self._span(s)
            midnight = start // DAY * DAY
            _block(free, max(start - way, midnight), min(end + way, midnight + DAY))

    def _place(self, id_: str) -> bytes:
        place = self.matter.case.locations[id_]
        free = free_minutes(self.matter, place.open, place.closed)
        spans = [self._span(s) for s in self.matter.by_location.get(id_, []) if s.begun]
        for start, end in spans:
            for minute in range(start, end):
                if sum(a <= minute < b for a, b in spans) >= place.capacity:
                    free[minute] = 0
        return bytes(free)

    def _is_new(self, adult: str, learner: str) -> bool:
        asked = self.matter.case.policy.accompany_new_adults
        return asked and not has_worked_with(self.matter, adult, learner)

    def _company(self, learner: str, location: str) -> dict[str, bytes]:
        """When each adult who has worked with the learner could sit beside."""
        return {
            a.id: self._adult(a.id, location)
            for a in self.matter.case.adults.values()
            if (a.learners is None or learner in a.learners)
            and (a.locations is None or location in a.locations)
            and has_worked_with(self.matter, a.id, learner)
        }

    def _fits(self, probe: Probe, start: int, end: int) -> bool:
        """Whether a sitting with it begins on the grid and ends within the stretch, while the set is there."""
        used, minutes = probe
        grid, gaps = self.matter.case.policy.start_every_minutes, self.matter.case.material_sets[used].missing
        missing = [(floor(self.matter.minute(g.start)), ceil(self.matter.minute(g.end))) for g in gaps]
        return any(
            at % DAY % grid == 0 and not any(at < b and a < at + minutes for a, b in missing)
            for at in range(start, end - minutes + 1)
        )

    def _span(self, s: Sitting) -> tuple[int, int]:
        return int(self.matter.minute(s.start)), int(self.matter.minute(s.end))


def _block(free: bytearray, start: int, end: int) -> None:
    for minute in range(max(0, start), min(WEEK, end)):
        free[minute] = 0


def _only(start: int, end: int) -> bytes:
    return bytes(start) + b"\x01" * (end - start) + bytes(WEEK - end)


def _both(*minutes: bytes) -> bytes:
    found = int.from_bytes(minutes[0])
    for other in minutes[1:]:
        found &= int.from_bytes(other)
    return found.to_bytes(WEEK)


def _either(minutes: Iterable[bytes]) -> bytes:
    found = 0
    for other in minutes:
        found |= int.from_bytes(other)
    return found.to_bytes(WEEK)


def _stretches(minutes: bytes) -> Iterator[tuple[int, int]]:
    """Runs of minutes that are 1, none of them over midnight."""
    for day in range(7):
        own = b"\x00" + minutes[day * DAY : (day + 1) * DAY] + b"\x00"
        edges = [at for at, (one, other) in enumerate(pairwise(own)) if one != other]
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            yield day * DAY + start, day * DAY + end
