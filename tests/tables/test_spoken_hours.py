"""Hours as people write them: what they mean, and that what may mean two things is refused."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from genplan.case import Window
from genplan.case.windows import merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import windows_text
from genplan.tables.spoken_hours import days_with_hours, hours_of_a_day, written_days


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("3-5pm", "15:00-17:00"),
        ("15:00-17:30", "15:00-17:30"),
        ("15.00-17", "15:00-17:00"),
        ("3pm to 5.30pm", "15:00-17:30"),
        ("3:30 p.m. – 5 p.m.", "15:30-17:00"),
        ("11-1pm", "11:00-13:00"),
        ("9-12, 13-15", "09:00-12:00, 13:00-15:00"),
        ("9-5", "09:00-17:00"),
        ("9am-12", "09:00-12:00"),
        ("8-9am & 3-4pm", "08:00-09:00, 15:00-16:00"),
        ("from 10 until noon", "10:00-12:00"),
        ("5pm-12am", "17:00-24:00"),
        ("12-1pm", "12:00-13:00"),
        ("12:00-13:30", "12:00-13:30"),
        ("03:00-05:00", "03:00-05:00"),
        ("15:00:00-17:00:00", "15:00-17:00"),
        ("9-12 & 1-3", "09:00-12:00, 13:00-15:00"),
        ("9-12 and 1-3", "09:00-12:00, 13:00-15:00"),
        ("9-12, 1-2.30, 3-5", "09:00-12:00, 13:00-14:30, 15:00-17:00"),
        ("closed", ""),
        ("half past 3 to 5pm", "15:30-17:00"),
        ("3pm till halb 6", "15:00-17:30"),
        ("quarter to 4 - 5pm, 6-7pm", "15:45-17:00, 18:00-19:00"),
        ("3-5 in the afternoon", "15:00-17:00"),
        ("viertel nach drei bis fünf nachmittags", "15:15-17:00"),
        ("15–17 Uhr", "15:00-17:00"),
        ("15 Uhr 30 bis 17 Uhr", "15:30-17:00"),
        ("3pm - 5.30", "15:00-17:30"),
        ("noon-2pm", "12:00-14:00"),
    ],
)
def test_hours_of_a_day(text: str, meant: str) -> None:
    assert windows_text(hours_of_a_day(text)) == meant


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("3-5", "'3-5', which may be before noon or after it"),
        ("1:30-2:30", "'1:30-2:30', which may be before noon"),
        ("6-8", "'6-8', which may be before noon"),
        ("1-3 & 9-12", "'1-3', which may be before noon"),
        ("22:00-23:00, 1-3", "'1-3', which may be before noon"),
        ("3-4am, 5-7", "'5-7', which may be before noon"),
        ("5pm-3pm", "'5pm-3pm', which ends before it begins"),
        ("22:00-06:00", "'22:00-06:00', which ends before it begins"),
        ("9:75-10", "'9:75', which no clock shows"),
        ("13pm-14pm", "'13pm', which no clock shows"),
        ("after lunch", "'after'"),
        ("half 5 to 6pm", "'half 5'"),
        ("halb 4 bis 5", "'halb 4-5', which may be before noon"),
        ("0.625", "'0.625'"),
        ("15", "'15'"),
        ("Frei", "'Frei', which may be a day off"),
        ("free", "'free', which may be a day off"),
    ],
)
def test_hours_that_nobody_can_be_sure_of_are_refused(text: str, told: str) -> None:
    with pytest.raises(InvalidValue) as problem:
        hours_of_a_day(text)
    assert problem.value.found.startswith(told)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Mon, Wed 15:00-17:00", {"mon": "15:00-17:00", "wed": "15:00-17:00"}),
        ("Mon-Fri 9-12, 1-3pm", {"mon-fri": "09:00-12:00, 13:00-15:00"}),
        (
            "Mondays and Wednesdays 3-5pm; Fri 9-12",
            {"mon": "15:00-17:00", "wed": "15:00-17:00", "fri": "09:00-12:00"},
        ),
        ("Mon 9-12, Tue 9-12 and 13-15", {"mon": "09:00-12:00", "tue": "09:00-12:00, 13:00-15:00"}),
        ("Mon 9-12 & 1-3 & Wed 9-12", {"mon": "09:00-12:00, 13:00-15:00", "wed": "09:00-12:00"}),
        ("weekdays 8-9", {"mon-fri": "08:00-09:00"}),
        ("every day 10-11", {"daily": "10:00-11:00"}),
        (
            "Tu/Th: 16.00-18.00\nSat noon-2pm",
            {"tue": "16:00-18:00", "thu": "16:00-18:00", "sat": "12:00-14:00"},
        ),
        ("Thurs. 10 a.m. - 2 p.m.", {"thu": "10:00-14:00"}),
        ("Mon closed", {}),
        (
            "Mon, Wed half past 3 to 5pm; Fri 9-12",
            {"mon": "15:30-17:00", "wed": "15:30-17:00", "fri": "09:00-12:00"},
        ),
        ("Mo 15-17 Uhr, Di 9-12 Uhr", {"mon": "15:00-17:00", "tue": "09:00-12:00"}),
        ("Mo-Fr nachmittags 3 bis halb 6", {"mon-fri": "15:00-17:30"}),
        ("Di und Do 15:00 bis 17:00", {"tue": "15:00-17:00", "thu": "15:00-17:00"}),
        (
            "montags 15-17, mittwochs 14-16; So. 10:00-12:00",
            {"mon": "15:00-17:00", "wed": "14:00-16:00", "sun": "10:00-12:00"},
        ),
        ("Mo.-Fr. 9-12 und 13-15", {"mon-fri": "09:00-12:00, 13:00-15:00"}),
        ("werktags 8-9, Samstag 9-12", {"mon-fri": "08:00-09:00", "sat": "09:00-12:00"}),
        ("täglich 10-11", {"daily": "10:00-11:00"}),
    ],
)
def test_hours_of_the_week(text: str, meant: dict[str, str]) -> None:
    assert written_days(days_with_hours(text)) == meant


@pytest.mark.parametrize(
    "text", ["3-5pm", "Mon", "Fri-Mon 9-12", "soon", "Mon 3-5", "Monkey 9-12", "Fr bis Mo 9-12"]
)
def test_weeks_that_cannot_be_read_are_refused(text: str) -> None:
    with pytest.raises(InvalidValue):
        days_with_hours(text)


QUARTERS = st.integers(0, 95).flatmap(lambda a: st.integers(a + 1, 96).map(lambda b: Window(15 * a, 15 * b)))
WEEKS = st.dictionaries(st.integers(0, 6), st.lists(QUARTERS, min_size=1, max_size=3).map(merge))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(WEEKS)
def test_hours_that_are_written_are_read_as_they_were(days: dict[int, tuple[Window, ...]]) -> None:
    said = "; ".join(f"{day} {hours}" for day, hours in written_days(days).items())
    assert days_with_hours(said) == dict(sorted(days.items()))
    assert all(hours_of_a_day(windows_text(hours)) == hours for hours in days.values())
