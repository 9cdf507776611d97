"""How many of the week's minutes sittings take of each child, adult and place, of those that there are for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from enum import StrEnum
from fractions import Fraction

from genplan.case import Case, Week, Windows
from genplan.plan import Sitting
from genplan.planning.openings import Busy, hours, usable_minutes


class Whose(StrEnum):
    LEARNER = "learner"
    ADULT = "adult"
    LOCATION = "location"


@dataclass(frozen=True, kw_only=True)
class HoursUsed:
    """Minutes of one week.

    - `whose`, `id`: a learner, an adult or a location
    - `used`: in sittings; an adult's beside another one too
    - `free`: what there was to plan with before any sitting: the hours less absences, busy times and closed days, on
      the days that the policy uses. Those of a location count as often as it has room for sittings
    - `always`: it is open, or they are free, day and night, all seven days of the week"""

    whose: Whose
    id: str
    used: int
    free: int
    always: bool = False

    @property
    def share(self) -> Fraction | None:
        """None where nothing is free. More than 1 where people were told of a sitting for which the hours are gone."""
        return Fraction(self.used, self.free) if self.free else None


def hours_used(case: Case, week: Week, busy: Busy, sittings: Sequence[Sitting]) -> tuple[HoursUsed, ...]:
    """Of everybody and every place of the case, as it is in the week; the whole week, however much of it is over."""
    monday = datetime.combine(week.monday, time(), case.timezone)
    free, used = hours(case, week, monday, busy), _used(sittings)
    whole_week = (
        _length(usable_minutes(case, week, monday)) if len(case.policy.days) == len(week.days) else None
    )
    there_are = {Whose.LEARNER: free.learners, Whose.ADULT: free.adults, Whose.LOCATION: free.locations}
    return tuple(
        HoursUsed(
            whose=whose,
            id=i,
            used=used[whose, i],
            free=_length(windows) * (case.locations[i].capacity if whose is Whose.LOCATION else 1),
            always=_length(windows) == whole_week,
        )
        for whose, all_of in there_are.items()
        for i, windows in all_of.items()
    )


def _used(sittings: Sequence[Sitting]) -> Counter[tuple[Whose, str]]:
    used: Counter[tuple[Whose, str]] = Counter()
    for s in sittings:
        used[Whose.LEARNER, s.learner] += s.minutes
        used[Whose.LOCATION, s.location] += s.minutes
        for adult in s.adults:
            used[Whose.ADULT, adult] += s.minutes
    return used


def _length(windows: Windows) -> int:
    return sum(w.length for w in windows)
