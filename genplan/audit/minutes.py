"""When people and places are free beside sittings that stay, minute by minute.

Minutes of the week stand one in a byte: 1 where something can be.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property
from math import ceil

from genplan.audit.context import DAY, AuditContext
from genplan.audit.hours import block, free_minutes, leave_the_way, minutes_of_adult
from genplan.audit.second_adults import has_worked_with
from genplan.audit.wishes import unwished
from genplan.plan import Sitting

WEEK = 7 * DAY


@dataclass(frozen=True)
class Free:
    """Beside the sittings in `fixed`."""

    matter: AuditContext
    fixed: tuple[Sitting, ...]

    @cached_property
    def ahead(self) -> bytes:
        """Minutes that are not over, on days that the policy uses, that exist once on the clock."""
        matter, ahead = self.matter, bytearray(WEEK)
        for day in matter.case.policy.days:
            midnight = datetime.combine(
                matter.monday.date() + timedelta(days=day), time(), matter.case.timezone
            )
            ahead[day * DAY : (day + 1) * DAY] = b"\x01" * DAY
            if midnight.utcoffset() != (midnight + timedelta(days=1)).utcoffset():
                for minute in range(DAY):
                    moment = midnight + timedelta(minutes=minute)
                    once = moment.utcoffset() == moment.replace(fold=1).utcoffset()
                    ahead[day * DAY + minute] = once
        block(ahead, 0, ceil(matter.minute(matter.plan.now)))
        return bytes(ahead)

    @cached_property
    def _known(self) -> dict[tuple[str, ...], bytes]:
        return {}

    def together(self, learner: str, adult: str, location: str) -> bytes:
        asked = (learner, adult, location)
        if asked not in self._known:
            self._known[asked] = both(
                self._learner(learner, location),
                self.adult(adult, location),
                self._place(location),
                bytes(unwished(self.matter, learner, adult)),
            )
        return self._known[asked]

    def _learner(self, id_: str, location: str) -> bytes:
        learner, rest = self.matter.case.learners[id_], self.matter.case.policy.rest_minutes
        free = free_minutes(self.matter, learner.free, learner.away)
        own = [s for s in self.fixed if s.learner == id_]
        for s in own:
            start, end = self._span(s)
            block(free, start - rest, end + rest)
        self._keep_ways(free, own, location)
        return both(bytes(free), self.ahead)

    def adult(self, id_: str, location: str) -> bytes:
        """An adult goes to a place with several learners."""
        asked = (id_, location)
        if asked not in self._known:
            self._known[asked] = self._adult(id_, location)
        return self._known[asked]

    def _adult(self, id_: str, location: str) -> bytes:
        free = minutes_of_adult(self.matter, self.matter.case.adults[id_])
        leave_the_way(self.matter, free, self.matter.busy.get(id_, ()), location)
        self._keep_ways(free, [s for s in self.fixed if id_ in s.adults], location)
        return both(bytes(free), self.ahead)

    def _keep_ways(self, free: bytearray, own: Iterable[Sitting], location: str) -> None:
        """Takes off sittings, with the way to each and from it on its day."""
        for s in own:
            way, (start, end) = self.matter.case.travel.minutes(s.location, location), self._span(s)
            midnight = start // DAY * DAY
            block(free, max(start - way, midnight), min(end + way, midnight + DAY))

    def _place(self, id_: str) -> bytes:
        place = self.matter.case.locations[id_]
        free = free_minutes(self.matter, place.open, place.closed)
        spans = [self._span(s) for s in self.fixed if s.location == id_]
        for start, end in spans:
            for minute in range(start, end):
                if sum(a <= minute < b for a, b in spans) >= place.capacity:
                    free[minute] = 0
        return bytes(free)

    def needs_company(self, adult: str, learner: str) -> bool:
        asked = self.matter.case.policy.accompany_new_adults
        return asked and not has_worked_with(self.matter, adult, learner)

    def company(self, learner: str, location: str) -> dict[str, bytes]:
        """When each adult who has worked with the learner could sit beside."""
        return {
            a.id: self.adult(a.id, location)
            for a in self.matter.case.adults.values()
            if (a.learners is None or learner in a.learners)
            and (a.locations is None or location in a.locations)
            and has_worked_with(self.matter, a.id, learner)
        }

    def _span(self, s: Sitting) -> tuple[int, int]:
        return int(self.matter.minute(s.start)), int(self.matter.minute(s.end))


def only(start: int, end: int) -> bytes:
    return bytes(start) + b"\x01" * (end - start) + bytes(WEEK - end)


def both(*minutes: bytes) -> bytes:
    found = int.from_bytes(minutes[0])
    for other in minutes[1:]:
        found &= int.from_bytes(other)
    return found.to_bytes(WEEK)


def either(minutes: Iterable[bytes]) -> bytes:
    found = 0
    for other in minutes:
        found |= int.from_bytes(other)
    return found.to_bytes(WEEK)


def stretches(minutes: bytes) -> Iterator[tuple[int, int]]:
    """Runs of minutes that are 1, none of them over midnight."""
    for day in range(7):
        night = (day + 1) * DAY
        start = minutes.find(1, day * DAY, night)
        while start >= 0:
            end = minutes.find(0, start, night)
            end = night if end < 0 else end
            yield start, end
            start = minutes.find(1, end, night)
