"""Hours as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan.casefile.diagnostics import InvalidValue
from genplan.language import Speech, Words, speaking
from genplan.start.hours_text import hours_text, read_hours
from tests.fixtures.nightly import tries


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
        ("mon - 3pm to 5pm", "mon 15:00-17:00"),
        ("tue 3.30-5pm, the same on thu, sat 10-12", "tue 15:30-17:00, thu 15:30-17:00, sat 10:00-12:00"),
        ("tue 3.30-5pm; the same on thu; sat 10-12", "tue 15:30-17:00, thu 15:30-17:00, sat 10:00-12:00"),
        ("tue 3-5pm, the same on thu and fri, sun 9-10am",
         "tue 15:00-17:00, thu-fri 15:00-17:00, sun 09:00-10:00"),
        ("mon 3-4pm, same on fri-sun", "mon 15:00-16:00, fri-sun 15:00-16:00"),
        ("mon 1-2pm, tue 3-4pm, same as mon on thu", "mon 13:00-14:00, tue 15:00-16:00, thu 13:00-14:00"),
        ("mon 1-2pm, tue 3-4pm, the same on wed, fri same as mon",
         "mon 13:00-14:00, tue-wed 15:00-16:00, fri 13:00-14:00"),
        ("", ""),
        ("mon-fri 3-5pm except wed, sat 10-12", "mon-tue 15:00-17:00, thu-fri 15:00-17:00, sat 10:00-12:00"),
        ("every day 3-5pm, but not on Wednesday and Thursday",
         "mon-tue 15:00-17:00, fri-sun 15:00-17:00"),
        ("mon-fri except Wednesday 3-5pm", "mon-tue 15:00-17:00, thu-fri 15:00-17:00"),
        ("mon-fri 3-5pm except wed, the same on sat", "mon-tue 15:00-17:00, thu-sat 15:00-17:00"),
        ("tue 1-2pm, mon-fri 3-5pm, except tue", "mon 15:00-17:00, tue 13:00-14:00, wed-fri 15:00-17:00"),
        ("mon-fri 3-5pm, wed not", "mon-tue 15:00-17:00, thu-fri 15:00-17:00"),
        ("mon 3pm - 5.30", "mon 15:00-17:30"),
        ("mon 10am-2", "mon 10:00-14:00"),
        ("mon 12-2", "mon 12:00-14:00"),
        ("mon 9-5", "mon 09:00-17:00"),
        ("mon 15-5", "mon 15:00-17:00"),
        ("mon 9-12 and 1-3", "mon 09:00-12:00 13:00-15:00"),
        ("mon 5pm-midnight", "mon 17:00-24:00"),
        ("mon 3-4am", "mon 03:00-04:00"),
        ("Di u Do 15-17", "tue 15:00-17:00, thu 15:00-17:00"),
        ("Tu/Th 15-17, sat closed", "tue 15:00-17:00, thu 15:00-17:00"),
        ("nachmittags Mo und Di 3-5", "mon-tue 15:00-17:00"),
        ("mon half past 3 to half past 5pm", "mon 15:30-17:30"),
        ("mon 3pm till half past five", "mon 15:00-17:30"),
        ("mon 3pm till halb 6", "mon 15:00-17:30"),
        ("mon quarter past 3 to 5pm", "mon 15:15-17:00"),
        ("mon quarter to 4 - 5pm", "mon 15:45-17:00"),
        ("Mo 3pm bis viertel nach 5", "mon 15:00-17:15"),
        ("Mo 15 Uhr bis viertel vor sechs abends", "mon 15:00-17:45"),
        ("mo nachmittags dreiviertel 4 bis 17 Uhr", "mon 15:45-17:00"),
        ("Mo nachmittags 5 vor halb 4 bis 17 Uhr", "mon 15:25-17:00"),
        ("mon 20 past 3 to 5pm", "mon 15:20-17:00"),
        ("mon 10 to 4pm", "mon 10:00-16:00"),  # from ten, not ten minutes before four
        ("mon ten past three to five pm", "mon 15:10-17:00"),
        ("Mo-Fr 15 bis halb 6", "mon-fri 15:00-17:30"),
        ("Mo 15–17 Uhr", "mon 15:00-17:00"),
        ("Mo 15-17 uhr 18-19 uhr", "mon 15:00-17:00 18:00-19:00"),
        ("Mo 15 Uhr 30 bis 17 Uhr", "mon 15:30-17:00"),
        ("mon 3-5 in the afternoon", "mon 15:00-17:00"),
        ("montags nachmittags 3 bis halb 6", "mon 15:00-17:30"),
        ("Di morgens 9 bis 11", "tue 09:00-11:00"),
        ("mon-fri evenings 6-7, sat 10-12", "mon-fri 18:00-19:00, sat 10:00-12:00"),
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
        (
            "mon 3-5",
            "'3-5', which may be before noon or after it",
            "Is it the afternoon? Then write 15:00-17:00, or with pm; else 03:00-05:00.",
        ),
        (
            "mon 3 till 5",
            "'3-5', which may be before noon or after it",
            "Is it the afternoon? Then write 15:00-17:00, or with pm; else 03:00-05:00.",
        ),
        (
            "Mo halb 4 bis 6",
            "'halb 4-6', which may be before noon or after it",
            "Is it the afternoon? Then write 15:30-18:00, or with pm; else 03:30-06:00.",
        ),
        ("mon half 5 to 6pm", "'half 5'", "It may mean 04:30 or 05:30: write the one that is meant."),
        ("mon quarter 5 to 6pm", "'quarter 5'", "It may mean 04:15 or 05:15: write the one that is meant."),
        ("mon 10pm-2", "'10pm-2', which ends before it begins", "Over midnight write two: 22:00-24:00"),
        (
            "mon 03:30 to 5",
            "'03:30-5', which may be before noon or after it",
            "write 15:30-17:00, or with pm; else 03:30",
        ),
        (
            "mon 6-8",
            "'6-8', which may be before noon or after it",
            "write 18:00-20:00, or with pm; else 06:00-08:00.",
        ),
        ("Sa vormittags", "'vormittags' without hours", "Such as 9:00-12:00."),
        ("thur afternoon", "'afternoon' without hours", "Such as 15:00-17:00."),
        ("sat mornings and sun 10-12", "'mornings' without hours", "Such as 9:00-12:00."),
        ("mon 9-12 closed", "'closed' without a day", "sat closed."),
        (
            "mon half",
            "'half'",
            "Days are written mon, tue or Tuesday. Such as mon-fri 3-5pm, sat 10:00-12:00.",
        ),
        ("mon 3-3pm", "'3-3pm', which may be before noon or after it", "am or pm behind both"),
        ("mon 5-3pm", "'5-3pm', which may be before noon or after it", "am or pm behind both"),
        ("3-5pm", "'3-5pm' without a day", "Which days?"),
        (
            "tue 3-5pm, the same on thu and sat 10-12",
            "'10-12' behind 'the same on Thursday, Saturday'",
            "';'",
        ),
        (
            "tue 3-5pm, the same on thu, fri, sat 10-12",
            "'10-12' behind 'the same on Thursday, Friday, Saturday'",
            "';'",
        ),
        ("tue 3-5pm, the same on thu; 6-7pm", "'6-7pm' behind 'the same' without a day", "Whose hours"),
        ("tue 3-5pm, the same", "'the same' without a day", "the same on thu"),
        ("tue 3-5pm, thu the same, sat 10-12", "'the same' without the day it is like", "as tue"),
        ("tue 3-5pm, thu same as wed", "'the same as Wednesday' before its hours", "its hours first"),
        ("mon 1-2pm, tue 3-4pm, the same on mon", "'the same' on Monday, which has other hours", "once"),
        (
            "tue 1-2pm, tue 3-4pm, the same on wed",
            "'the same' behind hours of Tuesday in several places",
            "once more",
        ),
        ("tue 3-5pm, thu the same as", "'the same' without the day it is like", "as tue"),
        ("mon 1-2pm, the same on tue, as mon", "'as' behind 'the same on Tuesday'", "Whose hours"),
        ("mon 3-5pm - tue 4-5pm", "'to' or '-' between other things than two days or times", "Such as"),
        ("mon", "no hours for Monday", "Such as"),
        ("except wed 3-5pm", "'except' before any days", "except wed."),
        ("mon-fri 3-5pm except wed 10-12", "'10-12' behind 'except Wednesday'", "Whose hours"),
        ("mon-tue 3-5pm, except wed", "'except Wednesday', which is none of the days before it", "Such as"),
        ("mon-fri 3-5pm except", "'except' without a day", "Such as"),
        ("mon 3pm", "'3pm' alone", "From when to when"),
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


DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LONG = ("Monday", "tues", "Wednesdays", "thur", "Friday", "Saturday", "sunday")
HOURS = {
    "3-5pm": "15:00-17:00",
    "10-12": "10:00-12:00",
    "15.30 to 17.00": "15:30-17:00",
    "from 9am till 11am": "09:00-11:00",
    "13:00-14:00 and 6-7pm": "13:00-14:00 18:00-19:00",
}


@st.composite
def clauses(draw: st.DrawFn) -> tuple[str, dict[int, str]]:
    """A text in which no day comes twice, and what it says. A list of 'the same' has 'and' between its days: with
    commas too, it could not be told where it ends."""
    left = draw(st.permutations(range(7)))
    text, said, source = "", dict[int, str](), ""
    while left and (not said or draw(st.booleans())):
        many = draw(st.integers(1, min(3, len(left))))
        days, left = left[:many], left[many:]
        named = [draw(st.sampled_from((DAYS[d], LONG[d]))) for d in days]
        shape = draw(st.sampled_from(("own", "same on", "same as", "as on"))) if said else "own"
        like = draw(st.sampled_from(sorted(said))) if said else 0
        joined = " and ".join(named)
        if shape == "own":
            typed = draw(st.sampled_from(sorted(HOURS)))
            colon = draw(st.sampled_from(("", ":", " -")))
            clause, source = f"{joined}{colon} {typed}", HOURS[typed]
        elif shape == "same on":
            clause = f"{draw(st.sampled_from(('the same on', 'same on', 'and the same')))} {joined}"
        elif shape == "same as":
            clause, source = f"{joined} the same as {DAYS[like]}", said[like]
        else:
            clause, source = f"the same as {DAYS[like]} on {joined}", said[like]
        text += f"{draw(st.sampled_from((', ', '; ', '. '))) if text else ''}{clause}"
        said |= dict.fromkeys(days, source)
    return text, said


@settings(max_examples=tries(300, by_day=60))
@given(clauses())
def test_clauses_of_days_and_hours_in_any_order_read_as_written(drawn: tuple[str, dict[int, str]]) -> None:
    text, said = drawn
    meant = read_hours(", ".join(f"{DAYS[day]} {hours}" for day, hours in said.items()))
    assert read_hours(text) == meant, text


@pytest.mark.parametrize(
    ("language", "typed", "found", "write"),
    [
        ("de", "Do ab 16 Uhr", "'16' allein", "Do 16:00-19:00"),
        ("de", "Mo 9-12, Do ab 15.30", "'15.30' allein", "Do 15:30-18:30"),
        ("de", "Mo-Fr bis 12 Uhr", "'12' als Ende allein", "Mo-Fr 09:00-12:00"),
        ("en", "thu from 4pm on", "'4pm' alone", "thu 16:00-19:00"),
        ("en", "thu until noon", "'noon' as the end alone", "thu 09:00-12:00"),
        ("en", "thu after 4pm", "'after'", "16:00-19:00"),
        ("en", "sat from 11pm", "'11pm' alone", "sat 23:00-24:00"),
        ("en", "sat until 1am", "'1am' as the end alone", "sat 00:00-01:00"),
    ],
)
def test_of_one_end_alone_no_other_is_made_up_and_what_to_write_is_shown(
    language: str, typed: str, found: str, write: str
) -> None:
    with speaking(Speech(language, Words.PLAIN)):
        with pytest.raises(InvalidValue) as refused:
            read_hours(typed)
        assert refused.value.found == found
        assert refused.value.hint.endswith(f" {write}.")
        assert read_hours(write if " " in write else f"Do {write}")  # what is shown can be typed
