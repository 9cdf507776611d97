"""Hours as people type them."""

from __future__ import annotations

import pytest

from genplan.casefile.diagnostics import InvalidValue
from genplan.start.hours_text import hours_text, read_hours


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("mon-fri 3-5pm, sat 10-12", "mon-fri 15:00-17:00, sat 10:00-12:00"),
        ("Tuesday 15.30 to 17.00, the same on Thursday", "tue 15:30-17:00, thu 15:30-17:00"),
        ("mon, wed 3pm-5pm and 6pm-7pm; sat 10-12",
         "mon 15:00-17:00 18:00-19:00, wed 15:00-17:00 18:00-19:00, sat 10:00-12:00"),
        ("weekdays 15:00-17:00", "mon-fri 15:00-17:00"),
        ("every day 9-11am", "mon-sun 09:00-11:00"),
        ("tue 4-6pm, thu same as tue", "tue 16:00-18:00, thu 16:00-18:00"),
        ("mon-wed 3-4pm, same on fri and sat", "mon-wed 15:00-16:00, fri-sat 15:00-16:00"),
        ("Mondays 3pm – 5 p.m.", "mon 15:00-17:00"),
        ("mon to fri from 3 to 5 pm", "mon-fri 15:00-17:00"),
        ("mon 11-1pm", "mon 11:00-13:00"),  # 11 pm would be after 1 pm
        ("fri noon-2pm", "fri 12:00-14:00"),
        ("mon 5pm-24:00", "mon 17:00-24:00"),
        ("mon 03:00-04:00", "mon 03:00-04:00"),  # with a 0 in front it was meant
        ("", ""),
    ],
)  # fmt: skip
def test_hours_are_read_as_they_are_meant_and_written_so_that_they_are_read_the_same(
    typed: str, meant: str
) -> None:
    week = read_hours(typed)
    assert hours_text(week) == meant
    assert read_hours(meant) == week


@pytest.mark.parametrize(
    ("typed", "found", "hint"),
    [
        ("mon 3-5", "'3-5'", "Is it the afternoon? Then write 15:00-17:00, or with pm."),
        ("mon 3-3pm", "'3-3pm'", "am or pm behind both"),
        ("mon 5-3pm", "'5-3pm'", "am or pm behind both"),
        ("3-5pm", "'3' without a day", "Which days?"),
        ("mon", "no hours for Monday", "Such as"),
        ("mon 3pm", "'3pm' alone", "from when to when"),
        ("mon 25-26", "'25', which no clock shows", "3pm or 15:00"),
        ("mon 13pm-2pm", "'13pm', which no clock shows", "3pm or 15:00"),
        ("payday 3-5pm", "'payday'", "Days are written"),
        ("mon 17-15", "'17-15', which ends before it begins", "15:00-17:00"),
        ("sat-tue 3-5pm", "Saturday to Tuesday", "apart"),
        ("the same on tue", "'the same' before any hours", "Such as"),
        ("mon 3-5pm!", "'!'", "Such as"),
    ],
)
def test_what_can_be_meant_in_two_ways_is_asked_about(typed: str, found: str, hint: str) -> None:
    with pytest.raises(InvalidValue) as problem:
        read_hours(typed)
    assert problem.value.found == found
    assert hint in problem.value.hint
