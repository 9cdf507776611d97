"""Weeks against the calendar, windows against a set of minutes."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.case import Week, WeeklyHours, Window
from genplan.case.week import MINUTES_PER_WEEK
from genplan.case.windows import Windows, holds, intersect, merge, subtract

PARTS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), max_size=8)


def minutes(parts: list[tuple[int, int]] | Windows) -> set[int]:
    """The minutes that half-open stretches hold."""
    return {m for start, end in parts for m in range(start, end)}


def is_tidy(windows: Windows) -> bool:
    """Sorted, none empty, none touching the next."""
    ends_before = all(one.end < other.start for one, other in pairwise(windows))
    return ends_before and all(w.start < w.end for w in windows)


@given(PARTS)
def test_merge_holds_the_same_minutes(parts: list[tuple[int, int]]) -> None:
    assert minutes(merge(parts)) == minutes(parts)
    assert is_tidy(merge(parts))


@given(PARTS, PARTS)
def test_intersect_holds_the_common_minutes(
    left: list[tuple[int, int]], right: list[tuple[int, int]]
) -> None:
    both = intersect(merge(left), merge(right))
    assert minutes(both) == minutes(left) & minutes(right)
    assert is_tidy(both)


@given(PARTS, PARTS)
def test_subtract_holds_the_rest(left: list[tuple[int, int]], taken: list[tuple[int, int]]) -> None:
    rest = subtract(merge(left), taken)
    assert minutes(rest) == minutes(left) - minutes(taken)
    assert is_tidy(rest)


@given(PARTS, st.integers(0, 60), st.integers(1, 20))
def test_holds_means_every_minute(parts: list[tuple[int, int]], start: int, length: int) -> None:
    inside = set(range(start, start + length)) <= minutes(parts)
    assert holds(merge(parts), start, start + length) is inside


def test_windows_that_touch_are_one() -> None:
    assert merge([(10, 20), (0, 10), (30, 30)]) == (Window(0, 20),)


def test_hours_of_a_week() -> None:
    assert WeeklyHours.always().in_week() == (Window(0, MINUTES_PER_WEEK),)
    assert WeeklyHours.never().in_week() == ()
    tuesday = WeeklyHours(((), (Window(900, 960), Window(1000, 1440)), (Window(0, 60),), (), (), (), ()))
    # over midnight from Tuesday to Wednesday the two windows touch
    assert tuesday.in_week() == (Window(1440 + 900, 1440 + 960), Window(1440 + 1000, 2 * 1440 + 60))


@pytest.mark.parametrize(
    ("day", "week"),
    [
        # ISO 8601: the first week is the one with the year's first Thursday, so 28 December is in the last
        (date(2025, 12, 29), "2026-W01"),
        (date(2026, 1, 4), "2026-W01"),
        (date(2026, 12, 28), "2026-W53"),
        (date(2027, 1, 1), "2026-W53"),
        (date(2027, 1, 3), "2026-W53"),
        (date(2027, 1, 4), "2027-W01"),
        (date(2021, 1, 3), "2020-W53"),
        (date(2024, 12, 30), "2025-W01"),
        (date(2023, 1, 1), "2022-W52"),
        (date(2026, 11, 29), "2026-W48"),
    ],
)
def test_the_week_of_a_day(day: date, week: str) -> None:
    assert str(Week.of(day)) == week
    assert Week.parse(week) == Week.of(day)
    assert day in Week.of(day).days


def test_the_week_after() -> None:
    assert Week.parse("2026-W53").next() == Week.parse("2027-W01")
    assert Week.parse("2025-W52").next() == Week.parse("2026-W01")
    assert sorted([Week(2027, 1), Week(2026, 53)]) == [Week(2026, 53), Week(2027, 1)]


def test_years_with_53_weeks() -> None:
    """2004 2009 2015 2020 2026 2032 2037 2043 2048: 28 December lies in week 53."""
    long = [year for year in range(2000, 2050) if Week.of(date(year, 12, 28)).number == 53]
    assert long == [2004, 2009, 2015, 2020, 2026, 2032, 2037, 2043, 2048]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2025-W53", "the year 2025 has no week 53"),
        ("2026-W00", "has no week 0"),
        ("2026-W54", "has no week 54"),
        ("2026W49", "is not an ISO week"),
        ("2026-W9", "is not an ISO week"),
        ("2026-w49", "is not an ISO week"),
        ("2026-W49 ", "is not an ISO week"),
        ("0000-W01", "does not lie in the years from 1900"),
        ("٢٠٢٦-W49", "is not an ISO week"),
    ],
)
def test_what_is_no_week(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Week.parse(text)


def test_minutes_of_a_week() -> None:
    week = Week(2026, 49)
    assert (week.monday, week.sunday) == (date(2026, 11, 30), date(2026, 12, 6))
    assert week.minute_of(datetime(2026, 11, 30)) == 0
    assert week.minute_of(datetime(2026, 12, 1, 16, 15)) == 1440 + 16 * 60 + 15
    assert week.minute_of(datetime(2026, 11, 29, 23, 59)) == -1
    # up for what must not have begun, down for where an absence starts
    assert week.minute_of(datetime(2026, 11, 30, 0, 0, 1)) == 1
    assert week.minute_before(datetime(2026, 11, 30, 0, 0, 59)) == 0
    assert week.minute_before(datetime(2026, 11, 29, 23, 59, 1)) == -1


@pytest.mark.parametrize(
    ("zone", "week", "minute", "text"),
    [
        # 2026, by the tz database: Dublin 29 March and 25 October, Lord Howe 4 October by half an hour
        ("Europe/Dublin", "2026-W13", 6 * 1440 + 30, "2026-03-29T00:30:00+00:00"),
        ("Europe/Dublin", "2026-W13", 6 * 1440 + 120, "2026-03-29T02:00:00+01:00"),
        ("Europe/Dublin", "2026-W43", 6 * 1440 + 30, "2026-10-25T00:30:00+01:00"),
        ("Europe/Dublin", "2026-W43", 6 * 1440 + 120, "2026-10-25T02:00:00+00:00"),
        ("Australia/Lord_Howe", "2026-W40", 6 * 1440 + 60, "2026-10-04T01:00:00+10:30"),
        ("Australia/Lord_Howe", "2026-W40", 6 * 1440 + 150, "2026-10-04T02:30:00+11:00"),
        ("America/New_York", "2026-W10", 6 * 1440 + 180, "2026-03-08T03:00:00-04:00"),
        ("Africa/Cairo", "2026-W17", 4 * 1440 + 60, "2026-04-24T01:00:00+03:00"),
    ],
)
def test_wall_clock_minutes_around_a_clock_change(zone: str, week: str, minute: int, text: str) -> None:
    moment = Week.parse(week).moment(minute, ZoneInfo(zone))
    assert moment.isoformat() == text
    assert Week.parse(week).minute_of(moment) == minute


@given(st.integers(0, MINUTES_PER_WEEK - 1))
def test_a_minute_there_and_back(minute: int) -> None:
    week, zone = Week(2026, 43), ZoneInfo("Europe/Dublin")
    assert week.minute_of(week.moment(minute, zone)) == minute
    assert week.moment(minute, zone).replace(tzinfo=None) == datetime(2026, 10, 19) + timedelta(
        minutes=minute
    )
