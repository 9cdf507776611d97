"""How many of the week's minutes sittings take of each child, adult and place, of those that there are for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from enum import StrEnum
from fractions import Fraction

from genplan.case import Adult, Case, Learner, Week, Windows
from genplan.case.people import AdultLimits, LearnerLimits
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import intersect, merge
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
    - `limit`: the minutes of the week that an adult gives at the most
    - `left`: what neither hours nor limits of sittings and minutes keep from being used yet
    - `always`: it is open, or they are free, day and night, all seven days of the week"""

    whose: Whose
    id: str
    used: int
    free: int
    left: int
    limit: int | None = None
    always: bool = False

    @property
    def available(self) -> int:
        """The hours that are free, as far as the limit lets them be used."""
        return self.free if self.limit is None else min(self.free, self.limit)

    @property
    def share(self) -> Fraction | None:
        """None where nothing is free. More than 1 where people were told of a sitting for which the hours are gone."""
        return Fraction(self.used, self.free) if self.free else None


def hours_used(case: Case, week: Week, busy: Busy, sittings: Sequence[Sitting]) -> tuple[HoursUsed, ...]:
    """Of everybody and every place of the case, as it is in the week; the whole week, however much of it is over."""
    monday = datetime.combine(week.monday, time(), case.timezone)
    free, own = hours(case, week, monday, busy), _sittings_of(sittings)
    whole_week = (
        _length(usable_minutes(case, week, monday)) if len(case.policy.days) == len(week.days) else None
    )
    there_are = {Whose.LEARNER: free.learners, Whose.ADULT: free.adults, Whose.LOCATION: free.locations}
    limits: Mapping[Whose, Mapping[str, Learner | Adult]] = {
        Whose.LEARNER: case.learners,
        Whose.ADULT: case.adults,
    }

    def row(whose: Whose, id_: str, windows: Windows) -> HoursUsed:
        at_once = case.locations[id_].capacity if whose is Whose.LOCATION else 1
        most = limits[whose][id_].limits if whose in limits else None
        return HoursUsed(
            whose=whose,
            id=id_,
            used=sum(s.minutes for s in own[whose, id_]),
            free=_length(windows) * at_once,
            left=_left(week, windows, at_once, own[whose, id_], most),
            limit=most.minutes_per_week if isinstance(most, AdultLimits) else None,
            always=_length(windows) == whole_week,
        )

    return tuple(
        row(whose, i, windows) for whose, all_of in there_are.items() for i, windows in all_of.items()
    )


def _sittings_of(sittings: Sequence[Sitting]) -> Mapping[tuple[Whose, str], list[Sitting]]:
    own = defaultdict[tuple[Whose, str], list[Sitting]](list)
    for s in sittings:
        own[Whose.LEARNER, s.learner].append(s)
        own[Whose.LOCATION, s.location].append(s)
        for adult in s.adults:
            own[Whose.ADULT, adult].append(s)
    return own


def _left(
    week: Week,
    windows: Windows,
    at_once: int,
    own: Sequence[Sitting],
    limits: LearnerLimits | AdultLimits | None,
) -> int:
    """Of the days on which another sitting may begin, what is free and not used."""
    a_day, a_week = (limits.sittings_per_day, limits.sittings_per_week) if limits else (None, None)
    if a_week is not None and len(own) >= a_week:
        return 0
    left = 0
    for number, day in enumerate(week.days):
        on_it = [s for s in own if s.start.date() == day]
        if a_day is None or len(on_it) < a_day:
            of_day = merge([(number * MINUTES_PER_DAY, (number + 1) * MINUTES_PER_DAY)])
            free = _length(intersect(windows, of_day)) * at_once
            left += max(0, free - sum(s.minutes for s in on_it))
    most = limits.minutes_per_week if isinstance(limits, AdultLimits) else None
    return left if most is None else min(left, max(0, most - sum(s.minutes for s in own)))


def _length(windows: Windows) -> int:
    return sum(w.length for w in windows)
