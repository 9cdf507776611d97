"""The minutes used and free of everybody in a week, by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction

import pytest

from genplan.case import Absence, Case, Policy, Week, WeeklyHours, Window
from genplan.case.people import AdultLimits
from genplan.plan import Beside, Sitting
from genplan.planning.hours_used import HoursUsed, Whose, hours_used
from tests.fixtures import builders as b

NINE = 9 * 60
MON_FRI = tuple(range(5))


def daily(minutes: int) -> WeeklyHours:
    """So many minutes from nine o'clock, on each of the seven days."""
    return WeeklyHours(((Window(NINE, NINE + minutes),),) * 7)


def a_case() -> Case:
    """Everybody is free for two hours a day, and places are open for four; the policy uses five days."""
    case = b.a_case()
    closed = Absence(datetime(2026, 12, 2), datetime(2026, 12, 3))
    away = Absence(datetime(2026, 12, 1, 10, 30), datetime(2026, 12, 1, 20))
    places = {i: replace(x, open=daily(240)) for i, x in case.locations.items()}
    return replace(
        case,
        policy=Policy(days=MON_FRI),
        learners={i: replace(x, free=daily(120), away=(away,)) for i, x in case.learners.items()},
        adults={i: replace(x, free=daily(120)) for i, x in case.adults.items()},
        locations=places | {"park": replace(places["park"], closed=(closed,))},
    )


def minutes(case: Case, *sittings: Sitting, week: Week = b.WEEK) -> dict[str, tuple[int, int]]:
    busy = {"mum": (Absence(datetime(2026, 11, 30, 9, 45), datetime(2026, 11, 30, 10, 15)),)}
    return {u.id: (u.used, u.free) for u in hours_used(case, week, busy, sittings)}


def test_absences_busy_times_and_closed_days_are_not_free_and_places_count_as_often_as_they_have_room() -> (
    None
):
    assert minutes(a_case()) == {
        "wren": (0, 5 * 120 - 30),  # away on Tuesday from half past ten, free until eleven
        "grandad": (0, 5 * 120),
        "mum": (0, 5 * 120 - 30),  # busy on Monday for half an hour
        "teacher": (0, 5 * 120),
        "home": (0, 5 * 240),
        "park": (0, 4 * 240 * 2),  # closed on Wednesday; room for two
        "school": (0, 5 * 240),
    }


def test_a_sitting_is_used_by_all_who_are_there() -> None:
    one = b.a_sitting(start=datetime(2026, 12, 1, 9, tzinfo=b.ZONE))  # five minutes with grandad in the park
    two = b.a_sitting(start=datetime(2026, 12, 3, 9, tzinfo=b.ZONE))
    seen = replace(two, beside="mum", beside_as=Beside.OBSERVER)
    used = {i: used for i, (used, _) in minutes(a_case(), one, seen).items() if used}
    assert used == {"wren": 10, "grandad": 10, "mum": 5, "park": 10}


def test_the_hour_that_the_clock_repeats_is_free_for_nobody() -> None:
    """On 25 October 2026 Ireland has 01:00 to 02:00 twice."""
    case = replace(b.a_case(), policy=Policy(days=(6,)))
    assert minutes(case, week=Week(2026, 43))["school"] == (0, 23 * 60)


@pytest.mark.parametrize(("used", "free", "share"), [(30, 120, Fraction(1, 4)), (5, 0, None), (10, 5, 2)])
def test_the_share(used: int, free: int, share: Fraction | None) -> None:
    assert HoursUsed(whose=Whose.ADULT, id="mum", used=used, free=free, left=0).share == share


@pytest.mark.parametrize(
    ("limits", "left"),
    [
        ({}, 5 * 120 - 10),
        ({"minutes_per_week": 60}, 50),
        ({"minutes_per_week": 5}, 0),  # people were told before the limit came
        ({"sittings_per_day": 1}, 3 * 120),  # nothing more on Tuesday and Thursday
        ({"sittings_per_week": 2}, 0),
        ({"sittings_per_week": 3}, 5 * 120 - 10),
    ],
)
def test_what_is_left_is_what_hours_and_limits_leave(limits: dict[str, int], left: int) -> None:
    """Two sittings of five minutes each in the park, on Tuesday and Thursday."""
    case = a_case()
    grandad = replace(case.adults["grandad"], limits=AdultLimits(**limits))
    case = replace(case, adults={**case.adults, "grandad": grandad})
    held = [b.a_sitting(start=datetime(2026, 12, d, 9, tzinfo=b.ZONE)) for d in (1, 3)]
    found = {u.id: u for u in hours_used(case, b.WEEK, {}, held)}
    assert found["grandad"].left == left
    assert found["park"].left == 4 * 240 * 2 - 10
    assert found["grandad"].available == min(600, limits.get("minutes_per_week", 600))
