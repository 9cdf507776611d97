"""A VTIMEZONE (RFC 5545, 3.6.5) straight from the machine's zone database.

Each change of offset in the range is an observance of its own with nothing but a DTSTART. That is longer than
one rule, and right in readers that stumble over lists of RDATE, over zones whose changes follow no rule
(Ramadan in Morocco) and over a daylight saving that is negative (Ireland in the database): here DAYLIGHT is
always a clock that is ahead of the slowest one in the range.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

from genplan.case import Week

YEARS_BEFORE, YEARS_AFTER = 1, 3
"""A reader may keep the first definition it meets for later weeks, so it reaches some years ahead."""

_STEP = timedelta(days=1)
_SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Onset:
    """From the instant `at` (UTC) on, the clock stands at `after`; until then it stood at `before`."""

    at: datetime
    before: timedelta
    after: timedelta
    name: str

    @property
    def wall(self) -> datetime:
        """The onset as the old clock showed it (naive), which is what DTSTART means inside a VTIMEZONE."""
        return (self.at + self.before).replace(tzinfo=None)


def zone_component(zone: ZoneInfo, week: Week) -> Timezone:
    """The VTIMEZONE of a zone that has a key, good from a year before the week to three years after."""
    component = Timezone()
    component.add("tzid", zone.key)
    onsets = tuple(_onsets(zone, week))
    slowest = min(o.after for o in onsets)
    for onset in onsets:
        part = TimezoneStandard() if onset.after == slowest else TimezoneDaylight()
        part.add("dtstart", onset.wall)
        part.add("tzoffsetfrom", onset.before)
        part.add("tzoffsetto", onset.after)
        part.add("tzname", onset.name)
        component.add_component(part)
    return component


def _onsets(zone: ZoneInfo, week: Week) -> Iterator[Onset]:
    """The state at the start of the range, then every change in it, in order of time."""
    at = datetime(week.year - YEARS_BEFORE, 1, 1, tzinfo=UTC)
    end = datetime(week.year + YEARS_AFTER + 1, 1, 1, tzinfo=UTC)
    before = _offset(zone, at)
    yield Onset(at, before, before, _name(zone, at))
    while at < end:
        after = _offset(zone, at + _STEP)
        if before != after:
            change = _change_between(zone, at, at + _STEP)
            yield Onset(change, before, after, _name(zone, change))
        at, before = at + _STEP, after


def _change_between(zone: ZoneInfo, low: datetime, high: datetime) -> datetime:
    """The first instant of the new offset, to the second. No zone changes twice within a step."""
    before = _offset(zone, low)
    while high - low > _SECOND:
        middle = low + timedelta(seconds=(high - low) // _SECOND // 2)
        low, high = (middle, high) if _offset(zone, middle) == before else (low, middle)
    return high


def _offset(zone: ZoneInfo, instant: datetime) -> timedelta:
    return instant.astimezone(zone).utcoffset() or timedelta()


def _name(zone: ZoneInfo, instant: datetime) -> str:
    return instant.astimezone(zone).tzname() or zone.key
