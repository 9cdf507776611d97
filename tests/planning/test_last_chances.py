"""A wish is at its last chance by the hours of the weeks after it. Those repeat; hours of one date do not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from genplan.case import Absence, Case, WeeklyHours, Wish
from tests.fixtures.planning_cases import plan_one, product_case

TUESDAY = date(2026, 12, 1)
BY = date(2026, 12, 11)
"""Friday of the week after the planned one."""


def free_only_on(*days: date) -> Case:
    """One adult, whose only hours are 16:00 to 17:00 of these dates, and one combination, wished by the 11th."""
    case = product_case([1, 1, 1], first=(Wish({"location": "l1-0"}, BY),))
    (adult,) = case.adults.values()
    hour = (datetime(d.year, d.month, d.day, 16) for d in days)
    extra = tuple(Absence(at, at.replace(hour=17), "extra") for at in hour)
    return replace(case, adults={adult.id: replace(adult, free=WeeklyHours.never(), extra=extra)})


@pytest.mark.parametrize(
    ("days", "last_chance"),
    [
        ((TUESDAY,), True),
        ((TUESDAY, date(2026, 12, 8)), False),
        ((TUESDAY, BY), False),
        ((TUESDAY, date(2026, 12, 12)), True),  # the day after
    ],
)
def test_an_hour_offered_once_is_no_chance_in_a_later_week(days: tuple[date, ...], last_chance: bool) -> None:
    plan = plan_one(free_only_on(*days))
    assert [s.start.date() for s in plan.sittings] == [TUESDAY]
    # of the three pairs two hold the place
    assert {o.name: o.value for o in plan.objectives}["dated"] == (2 if last_chance else 0)
