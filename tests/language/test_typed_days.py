"""Days as people type them: read where they can be only one day, asked about where they can be two."""

from __future__ import annotations

from datetime import date

import pytest

from genplan.language import Speech, speaking
from genplan.language.typed_days import UnclearDate, date_of, day_near, is_near, possible_days

SATURDAY = date(2026, 11, 28)


@pytest.mark.parametrize(
    ("language", "typed", "day"),
    [
        ("en", "2026-12-03", (2026, 12, 3)),
        ("en", "2026/12/3", (2026, 12, 3)),
        ("en", "14/03/2021", (2021, 3, 14)),
        ("en", "3/14/2021", (2021, 3, 14)),
        ("en", "5.5.2021", (2021, 5, 5)),
        ("en", "3 December 2026", (2026, 12, 3)),
        ("en", "Dec 3rd, 2026", (2026, 12, 3)),
        ("en", "14 March 21", (2021, 3, 14)),
        ("en", "21 March 2014", (2014, 3, 21)),
        ("en", "04/2020", None),
        ("en", "soon", None),
        ("de", "10.12.2026", (2026, 12, 10)),
        ("de", "3.4.2026", (2026, 4, 3)),
        ("de", "3/4/2026", (2026, 4, 3)),
        ("de", "14.03.21", (2021, 3, 14)),
        ("de", "3. Dezember 2026", (2026, 12, 3)),
    ],
)
def test_dates_with_a_year(language: str, typed: str, day: tuple[int, int, int] | None) -> None:
    with speaking(Speech(language)):
        assert date_of(typed) == (date(*day) if day else None)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (
            "3/4/2026",
            "'3/4/2026' may be 4 March 2026 or 3 April 2026: write the month in letters, or the date year first,"
            " such as 2026-03-04",
        ),
        (
            "14/03/21",
            "'14/03/21' has a year of two figures, and may be several days: write it as '14 March 2021'",
        ),
        (
            "03/04/21",
            "'03/04/21' has a year of two figures, and may be several days: write it as '4 March 2021' or",
        ),
        (
            "3/21",
            "'3/21' may be a day and a month or a month and a year: write all three, such as 3 December 2026",
        ),
    ],
)
def test_what_may_be_several_days_is_asked_about_in_one_sentence(typed: str, told: str) -> None:
    with pytest.raises(UnclearDate) as unclear:
        date_of(typed) or is_near(typed)
    assert str(unclear.value).startswith(told)


def test_a_day_that_no_calendar_has() -> None:
    for typed in ("2026-02-30", "30 February 2026", "30.2.2026"):
        with speaking(Speech("de")), pytest.raises(ValueError, match="day is out of range"):
            date_of(typed)
    with pytest.raises(ValueError, match="31/31/2026"):
        date_of("31/31/2026")


@pytest.mark.parametrize(
    ("typed", "past", "day"),
    [
        ("today", False, SATURDAY),
        ("morgen", False, date(2026, 11, 29)),
        ("gestern", True, date(2026, 11, 27)),
        ("Thursday", False, date(2026, 12, 3)),
        ("Donnerstag", False, date(2026, 12, 3)),
        ("on Thursday", True, date(2026, 11, 26)),
        ("Sat", False, SATURDAY),
        ("samstags", True, SATURDAY),
        ("1 January", False, date(2027, 1, 1)),
        ("1 December", True, date(2025, 12, 1)),
        ("1.11.", True, date(2026, 11, 1)),
        ("3.12.", True, date(2025, 12, 3)),
        ("30.11", True, date(2025, 11, 30)),
        ("28/11", True, SATURDAY),
        ("next Thursday", False, None),
        ("Thursday 4pm", False, None),
        ("2026-12-01", False, None),
    ],
)
def test_days_that_are_near(typed: str, past: bool, day: date | None) -> None:
    assert day_near(typed, SATURDAY, past=past) == day
    assert is_near(typed) is (day is not None)


def test_figures_in_a_file_do_not_depend_on_who_reads_it() -> None:
    for language in ("en", "de"):
        with speaking(Speech(language)):
            assert possible_days("3/4/2026") == (date(2026, 3, 4), date(2026, 4, 3))
            assert possible_days("14/03/21") == ()
