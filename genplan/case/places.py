"""Locations and the minutes it takes to get from one to another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.case.people import Absence
from genplan.case.windows import WeeklyHours


@dataclass(frozen=True, kw_only=True)
class Location:
    """Where probes are run.

    open      hours of every week
    capacity  sittings at the same time
    closed    stretches when it is shut, half-open
    learners  ids of whom it takes; None: all
    holidays  the country, and a part of it or '', whose public holidays close it
    address   as calendars write it; empty: not known
    """

    id: str
    name: str
    open: WeeklyHours = field(default_factory=WeeklyHours.always)
    capacity: int = 1
    closed: tuple[Absence, ...] = ()
    learners: frozenset[str] | None = None
    holidays: tuple[str, str] | None = None
    address: str = ""

    def takes(self, learner: str) -> bool:
        return self.learners is None or learner in self.learners


@dataclass(frozen=True)
class Travel:
    """Travel minutes, the same in both directions; `routes` is keyed by the unordered pair of locations."""

    otherwise: int = 0
    routes: Mapping[frozenset[str], int] = field(default_factory=dict)

    def minutes(self, here: str, there: str) -> int:
        if here == there:
            return 0
        return self.routes.get(frozenset((here, there)), self.otherwise)
