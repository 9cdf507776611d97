"""ISO 8601 weeks. Inside a week the planner counts whole minutes of wall-clock time from Monday 00:00."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from genplan.language import _
from genplan.language.dates import DAYS as DAYS  # as they are typed, too
from genplan.language.dates import MONTHS as MONTHS

DAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
YEARS = range(1900, 2101)
MOST_WEEKS = 26
"""Weeks that are planned or looked at in a row: further ahead nothing that is known today decides."""
"""The years that a user may speak of: far enough for every child, and no step from a day in them leads beyond what a
calendar holds."""
MINUTES_PER_DAY = 24 * 60
MINUTES_PER_WEEK = 7 * MINUTES_PER_DAY


@dataclass(frozen=True, order=True)
class Week:
    """An ISO week: `year` is the ISO year, which differs from the calendar year around New Year."""

    year: int
    number: int

    @classmethod
    def parse(cls, text: str) -> Week:
        """`2026-W49` -> Week. Raises ValueError for another form, a week that the year does not have, or a year outside
        `YEARS`."""
        match = re.fullmatch(r"([0-9]{4})-W([0-9]{2})", text)
        if not match:
            raise ValueError(_("'{text}' is not an ISO week such as 2026-W49", text=text))
        year, number = int(match[1]), int(match[2])
        if year not in YEARS:
            raise ValueError(
                _(
                    "the week {week} does not lie in the years from {first} to {last}",
                    week=text,
                    first=YEARS[0],
                    last=YEARS[-1],
                )
            )
        try:
            date.fromisocalendar(year, number, 1)
        except ValueError:
            raise ValueError(_("the year {year} has no week {number}", year=year, number=number)) from None
        return cls(year, number)

    @classmethod
    def of(cls, day: date) -> Week:
        iso = day.isocalendar()
        return cls(iso.year, iso.week)

    def __str__(self) -> str:
        return f"{self.year:04d}-W{self.number:02d}"

    @property
    def monday(self) -> date:
        return date.fromisocalendar(self.year, self.number, 1)

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    @property
    def days(self) -> tuple[date, ...]:
        return tuple(self.monday + timedelta(days=i) for i in range(7))

    def next(self) -> Week:
        return Week.of(self.monday + timedelta(days=7))

    def run(self, count: int) -> list[Week]:
        """So many weeks, this one first."""
        return [Week.of(self.monday + timedelta(weeks=i)) for i in range(count)]

    def minute_of(self, moment: datetime) -> int:
        """Wall-clock minutes from Monday 00:00 to `moment`, rounded up; negative before the week. A zone is dropped."""
        return -int(-self._wall_seconds(moment) // 60)

    def minute_before(self, moment: datetime) -> int:
        """The same, rounded down."""
        return int(self._wall_seconds(moment) // 60)

    def _wall_seconds(self, moment: datetime) -> float:
        return (moment.replace(tzinfo=None) - datetime.combine(self.monday, time())).total_seconds()

    def moment(self, minute: int, zone: ZoneInfo) -> datetime:
        """The aware local time of a minute of this week. The minute must exist on the wall clock exactly once."""
        wall = datetime.combine(self.monday, time()) + timedelta(minutes=minute)
        return wall.replace(tzinfo=zone)
