"""Learners and adults. `None` as a set of ids always means 'all'; `None` as a limit means 'no limit'."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from genplan.case.windows import WeeklyHours

NEEDS_SCALE = 1_000_000
"""A case file's numbers have six decimals at the most."""


class AbsenceKind(StrEnum):
    """Why somebody, some place or some set is away; an extra hour and a term are stretches of the same form."""

    AWAY = "away"
    BUSY = "busy"
    CLOSED = "closed"
    MISSING = "missing"
    EXTRA = "extra"
    TERM = "term"
    OUTSIDE_TERM = "outside term"
    HOLIDAY = "holiday"


class Reason(NamedTuple):
    """A kind with what a user wrote of it, or the name of a holiday; the note may be empty."""

    kind: AbsenceKind
    note: str = ""


@dataclass(frozen=True, order=True)
class Absence:
    """A half-open stretch `[start, end)` of local wall-clock time (naive) in which somebody or some place is away."""

    start: datetime
    end: datetime
    kind: AbsenceKind = AbsenceKind.AWAY
    note: str = ""
    place: str = ""
    """The location at which a busy time is spent, by id, if that is known: it then needs the way there and back."""

    @property
    def reason(self) -> Reason:
        return Reason(self.kind, self.note)


@dataclass(frozen=True)
class Birth:
    """When a learner was born. Without a day a month of age is complete only once the calendar month is over, so
    that an age is never overstated where it decides about small parts."""

    year: int
    month: int
    day: int | None = None

    def age_months(self, on: date) -> int:
        """Completed months of age, at least 0."""
        months = (on.year - self.year) * 12 + on.month - self.month
        completed = self.day is not None and on.day >= self.day
        return max(0, months if completed else months - 1)

    def day_of_age(self, months: int) -> date:
        """The first day on which so many months are completed."""
        year, month = divmod(self.year * 12 + self.month - 1 + months, 12)
        if self.day is not None and self.day <= monthrange(year, month + 1)[1]:
            return date(year, month + 1, self.day)
        return date(year + (month + 1) // 12, (month + 1) % 12 + 1, 1)


@dataclass(frozen=True, kw_only=True)
class LearnerLimits:
    """The most that a learner has; None: no limit.

    sittings_per_day    sittings that begin on one day
    probes_per_day      probes on one day
    probes_per_sitting  probes in one sitting
    sitting_minutes     minutes of a sitting, settling in included
    sittings_per_week   sittings in one week
    teachings_per_day   teachings on one day
    retests_per_day     probes on one day of what was not met before
    """

    sittings_per_day: int | None = None
    probes_per_day: int | None = None
    probes_per_sitting: int | None = None
    sitting_minutes: int | None = None
    sittings_per_week: int | None = None
    teachings_per_day: int | None = None
    retests_per_day: int | None = None


@dataclass(frozen=True)
class AdultLimits:
    sittings_per_day: int | None = None
    minutes_per_week: int | None = None
    sittings_per_week: int | None = None


@dataclass(frozen=True, kw_only=True)
class Learner:
    """The child.

    name       for the family's own sheets
    alias      for all that is shared
    free       when probes may be run
    born       None: not known
    mouths     everything goes into the mouth: of small parts as if under the age for them
    away       stretches off, half-open
    limits     what is enough
    allergens  what no set may hold
    needs      weight when hours are short, over 0; 1 is usual
    """

    id: str
    name: str
    alias: str
    free: WeeklyHours = field(default_factory=WeeklyHours.never)
    born: Birth | None = None
    mouths: bool = False
    away: tuple[Absence, ...] = ()
    limits: LearnerLimits = field(default_factory=LearnerLimits)
    allergens: frozenset[str] = frozenset()
    needs: float = 1.0

    @property
    def weight(self) -> int:
        """`needs` in whole numbers, as objectives are counted; the file's decimals are all kept."""
        return round(NEEDS_SCALE * self.needs)


@dataclass(frozen=True, kw_only=True)
class Adult:
    """Whoever runs probes.

    free        hours of every week
    role        free text
    learners    ids of whom the adult works with; None: all
    locations   ids of where the adult goes; None: all
    away        stretches off, half-open
    busy        path of an exported calendar in the case folder; `casefile.busy` reads it a week at a time
    emails      the adult's own addresses in invitations
    tentative_busy       whether what is only tentative in that calendar takes time
    busy_margin_minutes  before and after an event at a place that the case does not have
    utc_series  how its series in UTC are read, if it names a zone of its own: both, utc or local
    limits      what is enough
    briefed_on  ids of targets; None: all
    teaches     ids of targets that the adult may teach; None: those that the adult is briefed on
    extra       hours offered once, beyond `free`; `dated.in_week` adds those of a week
    """

    id: str
    name: str
    free: WeeklyHours = field(default_factory=WeeklyHours.never)
    role: str = ""
    learners: frozenset[str] | None = None
    locations: frozenset[str] | None = None
    away: tuple[Absence, ...] = ()
    busy: str | None = None
    emails: tuple[str, ...] = ()
    tentative_busy: bool = True
    busy_margin_minutes: int = 0
    utc_series: str = "both"
    limits: AdultLimits = field(default_factory=AdultLimits)
    briefed_on: frozenset[str] | None = None
    teaches: frozenset[str] | None = None
    extra: tuple[Absence, ...] = ()

    def works_with(self, learner: str) -> bool:
        return self.learners is None or learner in self.learners

    def goes_to(self, location: str) -> bool:
        return self.locations is None or location in self.locations

    def is_briefed_on(self, target: str) -> bool:
        return self.briefed_on is None or target in self.briefed_on

    def may_teach(self, target: str) -> bool:
        return self.is_briefed_on(target) if self.teaches is None else target in self.teaches
