"""Public holidays, school terms and dated changes: read, refused with a sentence, and told in the plan's notes."""

from __future__ import annotations

import builtins
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from genplan.case import Absence, Case, Week
from genplan.case.dated_facts import in_week, missing_in, reasons_in
from genplan.case.windows import Window
from genplan.casefile import load
from genplan.casefile.public_holidays import with_holidays
from genplan.text.absences import reason_text
from genplan.text.notes import note_text
from genplan.workflow.notes_of_plan import closed_notes

TEXT = """\
format: 1
timezone: Europe/Dublin
learners: {{lark: {{free: {{daily: "09:00-18:00"}}}}}}
adults: {{mum: {{free: {{tue: "09:00-12:00"}}}}}}
locations: {{school: {{name: The school{place}}}}}
material_sets: {{hats: {{}}}}
targets: {{puts-on: {{learner: lark, correct_when: It is on}}}}
{more}
"""


def case_of(folder: Path, place: str = "", more: str = "") -> Case:
    found = loaded(folder, place, more)
    assert found.case, found.findings
    return found.case


def loaded(folder: Path, place: str = "", more: str = "") -> Any:
    (folder / "case.yaml").write_text(TEXT.format(place=place, more=more), encoding="utf-8")
    return load(folder)


def told(folder: Path, place: str = "", more: str = "") -> list[str]:
    return [f.sentence() for f in loaded(folder, place, more).findings if f.severity == "error"]


def closed_days(case: Case, year: int) -> dict[date, str]:
    place = with_holidays(case, [year]).locations["school"]
    return {a.start.date(): reason_text(a.reason) for a in place.closed}


def test_irish_public_holidays_close_a_place(tmp_path: Path) -> None:
    """Ten days since 2023: Organisation of Working Time Act 1997, second schedule, as amended (from memory). In 2026
    the first Monday of May is the 4th, the last of October the 26th (arithmetic)."""
    days = closed_days(case_of(tmp_path, ", holidays: IE"), 2026)
    assert len(days) == 10
    for day in (
        date(2026, 1, 1),
        date(2026, 3, 17),
        date(2026, 5, 4),
        date(2026, 10, 26),
        date(2026, 12, 25),
    ):
        assert days[day].startswith("holiday: ")
    assert days[date(2026, 12, 25)] == "holiday: Christmas Day"


def test_a_part_of_a_country_has_days_of_its_own(tmp_path: Path) -> None:
    """Tasmania has Eight Hours Day on the second Monday of March (from memory): 9 March 2026."""
    part = closed_days(case_of(tmp_path, ", holidays: {country: AU, subdivision: TAS}"), 2026)
    whole = closed_days(case_of(tmp_path, ", holidays: AU"), 2026)
    assert date(2026, 3, 9) in part
    assert date(2026, 3, 9) not in whole
    assert date(2026, 1, 26) in whole


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (", holidays: Ireland", "'Ireland'; expected the two capital letters of a country"),
        (", holidays: ie", "Did you mean 'IE'?"),
        (", holidays: {country: AU, subdivision: TASMANIA}", "a part of AU that is known"),
        (", holidays: {subdivision: TAS}", "a country such as IE"),
        (", holidays: {country: [AU]}", "a country such as IE"),
        (", holidays: [IE]", "a country such as IE"),
        (', terms: ["2026-08-27"]', "first and last day, such as 2026-08-27..2026-12-18"),
        (', terms: ["2026-12-18..2026-08-27"]', "ends before it starts"),
        (", terms: []", "an empty list"),
    ],
)
def test_what_names_no_holidays_and_no_terms(tmp_path: Path, place: str, words: str) -> None:
    (sentence,) = told(tmp_path, place)
    assert sentence.startswith("case.yaml:5: locations.school.")
    assert words in sentence


def test_without_the_library_a_sentence_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    true_import = builtins.__import__

    def lacking(name: str, *rest: Any, **named: Any) -> Any:
        if name == "holidays":
            raise ImportError(name)
        return true_import(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", lacking)
    (sentence,) = told(tmp_path, ", holidays: IE")
    assert "pip install 'genplan[holidays]'" in sentence


def closures(case: Case, week: Week) -> tuple[str, ...]:
    return tuple(note_text(case, note) for note in closed_notes(case, week))


def test_a_place_is_open_inside_its_terms_alone(tmp_path: Path) -> None:
    case = case_of(tmp_path, ', terms: ["2027-01-06..2027-03-19", "2026-08-27..2026-12-18"]')
    ends = [(a.start.date(), a.end.date(), a.kind) for a in case.locations["school"].closed]
    assert ends == [
        (date(1900, 1, 1), date(2026, 8, 27), "outside term"),
        (date(2026, 12, 19), date(2027, 1, 6), "outside term"),
        (date(2027, 3, 20), date(2101, 1, 1), "outside term"),
    ]


def test_the_reasons_of_closed_days_are_told(tmp_path: Path) -> None:
    case = case_of(tmp_path, ', holidays: IE, terms: ["2026-08-27..2026-12-23"], closed: ["2026-12-22"]')
    case = with_holidays(case, [2026])
    # 2026-W52: 21 to 27 December; Friday is Christmas Day, Saturday St Stephen's Day
    assert closures(case, Week(2026, 52)) == (
        "The school is closed on Thu, Fri, Sat, Sun (outside term).",
        "The school is closed on Fri (holiday: Christmas Day).",
        "The school is closed on Sat (holiday: Saint Stephen's Day).",
    )
    assert closures(case, Week(2026, 53))[0] == "The school is closed all week (outside term)."
    assert closures(case, Week(2026, 49)) == ()
    assert reasons_in(case.locations["school"], Week(2026, 52))[:2] == (
        ("outside term", ""),
        ("holiday", "Christmas Day"),
    )


def test_a_day_on_which_the_place_never_opens_is_no_news(tmp_path: Path) -> None:
    more = ', holidays: IE, terms: ["2026-08-27..2026-12-18"], open: {mon-fri: "09:00-14:00"}'
    case = with_holidays(case_of(tmp_path, more), [2026])
    # the term ends on Friday 18 December of 2026-W51; Saturday of W52 is St Stephen's Day
    assert closures(case, Week(2026, 51)) == ()
    assert closures(case, Week(2026, 52)) == (
        "The school is closed all week (outside term).",
        "The school is closed on Fri (holiday: Christmas Day).",
    )
    assert reasons_in(case.locations["school"], Week(2026, 51)) == ()


CHANGES = """\
changes:
  - {away: lark, from: "2026-12-01 13:00", note: a cold}
  - {away: mum, from: 2026-12-02, to: 2026-12-03}
  - {closed: school, from: "2026-12-03 10:00", to: "2026-12-03 12:30"}
  - {missing: hats, from: 2026-12-01, to: "2026-12-02 12:00"}
  - {extra: mum, from: "2026-12-01 11:00", to: "2026-12-01 13:00"}
"""


def test_changes_are_merged_into_whom_they_are_about(tmp_path: Path) -> None:
    case = case_of(tmp_path, more=CHANGES)

    def on(day: int, hour: int = 0, minute: int = 0) -> datetime:
        return datetime(2026, 12, day, hour, minute)

    assert case.learners["lark"].away == (Absence(on(1, 13), on(2), "away", "a cold"),)
    assert case.adults["mum"].away == (Absence(on(2), on(4), "away"),)
    assert case.locations["school"].closed == (Absence(on(3, 10), on(3, 12, 30), "closed"),)
    week = Week(2026, 49)
    # Tuesday begins at minute 1440; the set is back on Wednesday at noon
    assert missing_in(case.material_sets["hats"], week) == (Window(1440, 2 * 1440 + 720),)
    assert missing_in(case.material_sets["hats"], week.next()) == ()
    # 09:00-12:00 and once 11:00-13:00
    assert in_week(case, week).adults["mum"].free.days[1] == (Window(540, 780),)
    assert in_week(case, week.next()) == case


def test_changes_may_stand_in_a_file_of_their_own(tmp_path: Path) -> None:
    (tmp_path / "changes.yaml").write_text(CHANGES, encoding="utf-8")
    assert case_of(tmp_path).adults["mum"].extra


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            "{away: granny, from: 2026-12-01}",
            "'granny', which is not there; expected an id under 'adults' or 'learners'",
        ),
        ("{missing: mum, from: 2026-12-01}", "an id under 'material_sets'"),
        ("{from: 2026-12-01}", "a change that says nothing"),
        ("{away: mum, closed: school, from: 2026-12-01}", "'away' and 'closed' in one change"),
        ("{away: mum}", "no 'from'"),
        ("{away: mum, from: soon}", "a date such as 2026-12-01, or with a time"),
        (
            "{away: mum, from: 2026-12-03, to: 2026-12-02}",
            "the end of 2026-12-02, which is not after 2026-12-03",
        ),
        ("{extra: mum, from: 2026-12-03}", "hours of one day"),
        ("{extra: mum, form: 2026-12-03}", "Did you mean 'from'?"),
    ],
)
def test_a_change_that_says_nothing_clear_is_an_error_on_its_line(
    tmp_path: Path, change: str, words: str
) -> None:
    sentences = told(tmp_path, more=f"changes:\n  - {change}")
    assert any(words in s and s.startswith("case.yaml:9: changes.1") for s in sentences), sentences


def test_an_id_of_an_adult_and_a_learner_is_not_guessed(tmp_path: Path) -> None:
    text = TEXT.format(place="", more="changes:\n  - {away: lark, from: 2026-12-01}")
    text = text.replace("adults: {", "adults: {lark: {}, ")
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    (finding,) = [f for f in load(tmp_path).findings if f.severity == "error"]
    assert "an adult's id and a learner's" in finding.found


AGAIN = """\
changes:
  - {missing: hats, from: 2026-12-01}
  - {missing: hats, from: 2026-12-03}
  - {away: mum, from: 2026-12-01}
  - {away: mum, from: 2026-12-03}
  - {away: lark, from: 2026-12-01}
  - {away: lark, from: 2026-12-03}
  - {closed: school, from: 2026-12-01}
  - {closed: school, from: 2026-12-03}
  - {extra: mum, from: "2026-12-01 18:00", to: "2026-12-01 19:00"}
  - {extra: mum, from: "2026-12-03 18:00", to: "2026-12-03 19:00"}
"""


def test_a_second_change_about_the_same_leaves_the_first(tmp_path: Path) -> None:
    case = case_of(tmp_path, more=AGAIN)
    week = Week(2026, 49)
    # Tuesday is day 1, Thursday day 3, each from midnight to midnight
    days = (Window(1440, 2 * 1440), Window(3 * 1440, 4 * 1440))
    assert missing_in(case.material_sets["hats"], week) == days
    for there in (case.adults["mum"].away, case.learners["lark"].away, case.locations["school"].closed):
        assert [x.start.day for x in there if x.start.month == 12 and x.kind in ("away", "closed")] == [1, 3]
    assert [x.start.day for x in case.adults["mum"].extra] == [1, 3]
