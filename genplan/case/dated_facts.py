"""What holds on certain dates only: hours offered once, and days on which a place is closed for a reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from genplan.case.model import Case
from genplan.case.people import Absence, AbsenceKind, Adult, Reason
from genplan.case.places import Location
from genplan.case.safety import MaterialSet
from genplan.case.week import MINUTES_PER_DAY, Week
from genplan.case.windows import WeeklyHours, Windows, merge

PLAIN = tuple(map(Reason, (AbsenceKind.AWAY, AbsenceKind.BUSY, AbsenceKind.CLOSED)))
"""Reasons that say no more than that somebody or some place is not there."""


def in_week(case: Case, week: Week) -> Case:
    """The case as it holds in one week: hours that an adult offers once are among that adult's hours."""
    adults = {i: _with_extra(a, week) if a.extra else a for i, a in case.adults.items()}
    return replace(case, adults=adults) if adults != case.adults else case


def missing_in(material_set: MaterialSet, week: Week) -> Windows:
    """The minutes of the week in which the set is not there."""
    end = 7 * MINUTES_PER_DAY
    return merge(
        (max(0, week.minute_before(x.start)), min(end, week.minute_of(x.end))) for x in material_set.missing
    )


def _with_extra(adult: Adult, week: Week) -> Adult:
    days = [
        merge((*adult.free.days[n], *(_on_day(x, day) for x in adult.extra)))
        for n, day in enumerate(week.days)
    ]
    return replace(adult, free=WeeklyHours(tuple(days)))


def _on_day(stretch: Absence, day: date) -> tuple[int, int]:
    """The minutes of a day that lie in a stretch; empty if none do."""
    midnight = datetime.combine(day, time())
    first, last = ((moment - midnight) // timedelta(minutes=1) for moment in (stretch.start, stretch.end))
    return max(0, first), min(MINUTES_PER_DAY, last)


def reasons_in(place: Location, week: Week) -> tuple[Reason, ...]:
    """What closes the place on whole days of the week, such as a public holiday, each once."""
    return tuple(closed_days(place, week))


def closed_days(place: Location, week: Week) -> dict[Reason, list[int]]:
    """Each reason with the days of the week (0 is Monday) that it closes, of those on which it opens in other weeks."""
    found: dict[Reason, list[int]] = {}
    for number, day in enumerate(week.days):
        for why in _reasons(place, day) if place.open.days[number] else ():
            found.setdefault(why, []).append(number)
    return found


def _reasons(place: Location, day: date) -> Iterator[Reason]:
    whole = (0, MINUTES_PER_DAY)
    yield from dict.fromkeys(
        x.reason for x in place.closed if x.reason not in PLAIN and _on_day(x, day) == whole
    )
