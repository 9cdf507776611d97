"""The guided start understands German where German is spoken, and English beside it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from genplan.casefile.diagnostics import InvalidValue
from genplan.language import Speech, speaking
from genplan.language.typed import day_of, is_word, month_of
from genplan.language.typed_days import UnclearDate, date_of
from genplan.language.typed_numbers import amount_of
from genplan.start.allergies import read_allergies
from genplan.start.answers import Answers, Entry
from genplan.start.hours_text import hours_text, read_hours
from genplan.start.problems import problem_of
from genplan.start.reading import value_of
from genplan.start.screens import group_of
from tests.fixtures.start_answers import TODAY


@pytest.fixture(autouse=True)
def _in_german() -> Iterator[None]:
    with speaking(Speech("de")):
        yield


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Mo-Fr 15-17 Uhr, Sa 10-12 Uhr", "mon-fri 15:00-17:00, sat 10:00-12:00"),
        ("Mo.-Fr. 15.30 Uhr bis 17 Uhr", "mon-fri 15:30-17:00"),
        ("Dienstag und Donnerstag von 15 bis 17 Uhr", "tue 15:00-17:00, thu 15:00-17:00"),
        ("Di 15-17 Uhr, das Gleiche am Do", "tue 15:00-17:00, thu 15:00-17:00"),
        ("montags 9-11 Uhr, mittwochs wie montags", "mon 09:00-11:00, wed 09:00-11:00"),
        ("jeden Tag 15:00-16:00", "mon-sun 15:00-16:00"),
        ("Mo-Fr 15-17 Uhr, außer Mittwoch", "mon-tue 15:00-17:00, thu-fri 15:00-17:00"),
        ("Mo-Fr 15-17 Uhr, aber nicht am Mittwoch", "mon-tue 15:00-17:00, thu-fri 15:00-17:00"),
        ("Mo-Fr 15-17 Uhr, mittwochs nicht", "mon-tue 15:00-17:00, thu-fri 15:00-17:00"),
        ("werktags 16-18 Uhr; am Wochenende 10 Uhr-mittags", "mon-fri 16:00-18:00, sat-sun 10:00-12:00"),
        ("mon-fri 3-5pm, sunday 10-12", "mon-fri 15:00-17:00, sun 10:00-12:00"),
    ],
)
def test_hours(typed: str, meant: str) -> None:
    week = read_hours(typed)
    with speaking(Speech()):
        assert hours_text(week) == meant
        assert read_hours(typed) == week  # what was begun in German is read on in English
    assert read_hours(hours_text(week)) == week


def test_am_before_a_day_is_no_hour_before_noon() -> None:
    assert hours_text(read_hours("16-18 am Mi")) == "Mi 16:00-18:00"
    assert hours_text(read_hours("3-5 am Nachmittag Mi")) == "Mi 15:00-17:00"
    assert hours_text(read_hours("3-5am Mi")) == "Mi 03:00-05:00"
    for typed in ("halb 5 bis 6 am Mi", "3-5 am Montag"):
        with pytest.raises(InvalidValue, match="vormittags oder nachmittags"):
            read_hours(typed)
    with speaking(Speech()):
        assert hours_text(read_hours("3-5 am Mon")) == "mon 03:00-05:00"


@pytest.mark.parametrize(
    "typed", ["keine Ahnung", "weiß nicht", "weiß ich nicht", "no idea", "I don't know", "?"]
)
def test_that_nobody_knows_is_no_allergy_and_not_that_there_is_none(typed: str) -> None:
    with pytest.raises(InvalidValue) as problem:
        read_allergies(typed)
    assert "Es hat noch niemand gesagt, welche" in problem.value.hint


@pytest.mark.parametrize("typed", ["niemand", "nein", "keine", "nobody"])
def test_a_word_for_nobody_is_no_name(typed: str) -> None:
    question = group_of("helpers").question("name")
    told = problem_of(question, Entry("h1", {"name": typed}), Answers(), TODAY, "helpers")
    assert told == f"„{typed}“ ist kein Name. Wie heißt diese Person?"


def test_hours_are_written_in_german_and_what_is_unclear_is_asked_in_it() -> None:
    assert hours_text(read_hours("mon-fri 3-5pm")) == "Mo-Fr 15:00-17:00"
    with pytest.raises(InvalidValue) as problem:
        read_hours("Zahltag 15-17 Uhr")
    assert problem.value.hint == (
        "Tage schreibt man Mo, Di oder Dienstag. Etwa Mo-Fr 15-17 Uhr, Sa 10:00-12:00."
    )


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("3.12.2026", date(2026, 12, 3)),
        ("03. 12. 2026", date(2026, 12, 3)),
        ("3. Dezember 2026", date(2026, 12, 3)),
        ("am 3. Dez. 2026", date(2026, 12, 3)),
        ("3 December 2026", date(2026, 12, 3)),
        ("2026-12-03", date(2026, 12, 3)),
        ("3/12/2026", date(2026, 12, 3)),
        ("3.12.", None),
    ],
)
def test_dates(typed: str, meant: date | None) -> None:
    assert date_of(typed) == meant


def test_numbers_alone_are_no_date_in_english() -> None:
    with speaking(Speech()):
        with pytest.raises(UnclearDate):
            date_of("3/12/2026")
        assert date_of("3.12.2026") == date(2026, 12, 3)
        assert date_of("3 December 2026") == date(2026, 12, 3)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("März 2020", "2020-03"), ("Mai 2020", "2020-05"), ("4.2020", "2020-04"), ("Sept. 2020", "2020-09"),
     ("April 2020", "2020-04"), ("2020-04", "2020-04"), ("October 2020", "2020-10"), ("Dez 2020", "2020-12")],
)  # fmt: skip
def test_months(typed: str, meant: str) -> None:
    question, entry = group_of("children").question("born"), Entry("c1", {"born": typed})
    assert value_of(question, entry, Answers()) == meant


def test_a_day_is_kept_as_files_write_it_and_one_that_is_none_is_told() -> None:
    question = group_of("skills").question("since")
    assert value_of(question, Entry("s1", {"since": "19.10.2026"}), Answers()) == "2026-10-19"
    assert value_of(question, Entry("s1", {"since": "2026-10-19"}), Answers()) == "2026-10-19"
    assert "31.2.2026" in problem_of(
        question, Entry("s1", {"since": "31.2.2026"}), Answers(), TODAY, "skills"
    )


@pytest.mark.parametrize(
    ("typed", "minutes", "others"),
    [
        ("20", 20, 20),
        ("20 Minuten", 20, None),
        ("20min.", 20, None),
        ("zwanzig", 20, 20),
        ("eine Stunde", 60, None),
        ("eine halbe Stunde", 30, None),
        ("1 1/2 Stunden", None, None),
        ("drei", 3, 3),
        ("drei Besuche", None, 3),
        ("zwei halbe Stunden", None, None),
        ("3 tries", None, 3),
        ("20-30 Minuten", None, None),
        ("drei vier", None, None),
        ("", None, None),
        ("-3", None, None),
        ("ein Minuten Minuten", None, None),
    ],
)
def test_numbers(typed: str, minutes: int | None, others: int | None) -> None:
    assert (amount_of(typed, in_minutes=True), amount_of(typed, in_minutes=False)) == (minutes, others)


def test_yes_and_no_and_names() -> None:
    assert all(is_word(word, "yes") for word in ("ja", "J", "yes", "Y"))
    assert all(is_word(word, "no") for word in ("nein", "N", "no"))
    assert not is_word("jawohl", "yes")
    assert [day_of(word) for word in ("Mi", "sonntags", "thurs", "so", "Donner")] == [2, 6, 3, 6, None]
    assert [month_of(word) for word in ("Mär", "okt", "Oct", "ma", "xyz")] == [3, 10, 10, None, None]
