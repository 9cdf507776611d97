"""Rules of time and place: one sitting of a person at a time, so many at a place and with a set.

Minutes are wall-clock minutes of the week, stretches half-open. A sitting lies within one day. A learner's *rest* goes
on over midnight, since a child that was just asked is no fresher for the date; a *way* counts within a day only, since
nobody is asked to be on it at midnight: the last place of a day and the first of the next are left and reached in the
person's own time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case import Case
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Windows, touches
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting


def way_between(case: Case, one: PlacedSitting, other: PlacedSitting) -> int:
    """Minutes from one sitting's place to the other's; none where they are on two days."""
    return case.travel.minutes(one.location, other.location) if one.day == other.day else 0


def too_near(one: PlacedSitting, other: PlacedSitting, gap: int) -> bool:
    """Whether less than `gap` minutes lie between the two."""
    return one.start < other.end + gap and other.start < one.end + gap


def learner_time(case: Case, seat: PlacedSitting, own: Iterable[PlacedSitting]) -> Limit | None:
    """One sitting of a learner at a time, with the rest between two, or the way where that is longer; `own` are the
    learner's others."""
    rest, day = case.policy.rest_minutes, seat.day
    for o in own:
        if too_near(seat, o, max(rest, way_between(case, seat, o)) if o.day == day else rest):
            return Limit(Kind.LEARNER_TIME, learner=seat.learner)
    return None


def adult_time(case: Case, adult: str, seat: PlacedSitting, hers: Iterable[PlacedSitting]) -> Limit | None:
    """One sitting of an adult at a time, run or sat beside, with the way between; `hers` are the adult's others."""
    if any(too_near(seat, o, way_between(case, seat, o)) for o in hers):
        return Limit(Kind.ADULT_TIME, adult=adult)
    return None


def room(case: Case, seat: PlacedSitting, others: Iterable[PlacedSitting]) -> Limit | None:
    """A location holds its capacity."""
    here = [o for o in others if o.location == seat.location]
    if most_at_once(seat, here) >= case.locations[seat.location].capacity:
        return Limit(Kind.ROOM, location=seat.location)
    return None


def set_in_use(case: Case, name: str, seat: PlacedSitting, others: Iterable[PlacedSitting]) -> Limit | None:
    """So many sittings use a set at once as it has copies; a single copy needs the way between two places."""
    users = [o for o in others if name in o.material_sets]
    copies = case.material_sets[name].copies
    on_its_way = copies == 1 and any(too_near(seat, o, way_between(case, seat, o)) for o in users)
    if on_its_way or most_at_once(seat, users) >= copies:
        return Limit(Kind.COPIES, material_set=name)
    return None


def set_missing(name: str, seat: PlacedSitting, gaps: Windows) -> Limit | None:
    """A sitting with a set lies before or after the minutes in which the set is missing."""
    if touches(gaps, seat.start, seat.end):
        return Limit(Kind.SET_MISSING, material_set=name)
    return None


def most_at_once(seat: PlacedSitting, others: Sequence[PlacedSitting]) -> int:
    """The most of the others that go on at the same moment while the seat does."""
    moments = [seat.start] + [o.start for o in others if seat.start < o.start < seat.end]
    return max(sum(o.start <= m < o.end for o in others) for m in moments)


def kept_from(case: Case, seat: PlacedSitting, location: str, rest: int = 0) -> tuple[int, int]:
    """The minutes in which one who is in the seat can be in no sitting at the location: the seat with a rest, and with
    the way as far as the day goes."""
    way = case.travel.minutes(seat.location, location)
    midnight = seat.day * MINUTES_PER_DAY
    start, end = max(seat.start - way, midnight), min(seat.end + way, midnight + MINUTES_PER_DAY)
    return min(start, seat.start - rest), max(end, seat.end + rest)
