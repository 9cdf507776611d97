"""A wish of which nothing is possible is told as that, and never as one that came true."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from genplan import workflow
from genplan.case import Case
from genplan.case.people import Birth
from genplan.casefile import load
from genplan.cli import main
from genplan.coverage.tally import tally
from genplan.coverage.wishes_not_possible import WishNotPossible, wishes_not_possible
from genplan.evidence.log import Log
from genplan.forecast import BottleneckKind, Verdict, WishForecast
from genplan.report.forecast_words import wish_sentence
from genplan.report.names_and_words import Names
from genplan.report.wish_lines import wish_lines
from tests.fixtures.forecast_cases import look_ahead, only

CASE = """\
format: 1
timezone: Europe/Dublin
policy: {like: none}
learners:
  wren: {BORN, free: {daily: "15:00-16:00"}}
adults:
  mum: {free: {daily: "15:00-16:00"}}
locations:
  home: {}
material_sets:
  bricks: {THING}
  cups: {small_parts: no}
targets:
  zip:
    learner: wren
    correct_when: closes it
    first: [{material_set: bricks, by: 2026-12-10}, {adult: mum, by: 2026-12-11}]
"""
NOW = datetime(2026, 11, 29, 12, tzinfo=ZoneInfo("Europe/Dublin"))
TODAY = NOW.date()
AT = ["--now", "2026-11-29T12:00"]
EGG = ("born: 2019-12-02, allergens: [egg]", "small_parts: no, allergens: [egg]")
YOUNG, SOON = ("born: 2024-12-02", "small_parts: yes"), ("born: 2023-12-02", "small_parts: yes")


def write(folder: Path, kind: tuple[str, str], more: str = "") -> Path:
    text = CASE.replace("BORN", kind[0]).replace("THING", kind[1])
    (folder / "case.yaml").write_text(text + more, "utf-8")
    return folder


def case_of(folder: Path) -> Case:
    case = load(folder).case
    assert case is not None
    return case


def not_possible(case: Case, day: date = TODAY) -> tuple[WishNotPossible, ...]:
    return tuple(wishes_not_possible(case, tally(case, case.targets["zip"], Log(), day), day))


def forecast_of(case: Case) -> WishForecast:
    return only(look_ahead(case, rate=1.0, weeks=2)).wishes[0]


@pytest.mark.parametrize("kind", [EGG, YOUNG])
def test_a_forecast_says_that_it_cannot_be_tried_and_why(kind: tuple[str, str], tmp_path: Path) -> None:
    case = case_of(write(tmp_path, kind))
    found = forecast_of(case)
    assert (found.verdict, found.done, found.tried, found.met) == (Verdict.NO, False, 0.0, 0.0)
    assert found.held_up is not None
    assert found.held_up.by is BottleneckKind.WISH_NOT_POSSIBLE
    said = wish_sentence(Names(case), case.targets["zip"], found)
    assert ("egg" if kind is EGG else "2 December 2027") in said


@pytest.mark.parametrize("kind", [EGG, YOUNG])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("more", ["", "words: plain\n"])
def test_each_that_speaks_of_dates_names_it(
    kind: tuple[str, str], language: str, more: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = str(write(tmp_path, kind, more))
    day = "2. Dezember 2027" if language == "de" else "2 December 2027"
    why = ("enthält" if language == "de" else "egg") if kind is EGG else day
    assert main(["--language", language, "term", folder, "--week", "2026-W50", "--weeks", "1", *AT]) == 0
    assert why in (told := capsys.readouterr().out)
    assert ("1 Termin mehr" if language == "de" else "1 date more cannot hold") in told
    assert main(["--language", language, "progress", folder, *AT]) == 0
    assert why in capsys.readouterr().out


def test_check_warns_with_the_day_from_which_it_is_possible(tmp_path: Path) -> None:
    (warning,) = [f for f in workflow.check(write(tmp_path, YOUNG), NOW) if f.key == "targets.zip.first.1"]
    assert (warning.line, "2 December 2027" in warning.found) == (17, True)
    (once,) = [f for f in workflow.check(write(tmp_path, EGG), NOW) if f.key == "targets.zip.first.1"]
    assert "no possible combination" in once.found
    grown = datetime(2026, 12, 2, 12, tzinfo=NOW.tzinfo)
    assert not [f for f in workflow.check(write(tmp_path, SOON), grown) if "first.1" in f.key]


def test_what_the_child_grows_into_in_time_is_counted_from_that_day(tmp_path: Path) -> None:
    case = case_of(write(tmp_path, SOON))
    (never,) = not_possible(case)
    assert (never.possible_from, never.in_time) == (date(2026, 12, 2), True)
    found = forecast_of(case)
    assert found.verdict is Verdict.YES
    assert found.line is not None
    assert date(2026, 12, 2) <= found.line <= date(2026, 12, 10)
    assert not not_possible(case, date(2026, 12, 2))


def test_a_plan_says_it_beside_the_wish(tmp_path: Path) -> None:
    case = case_of(write(tmp_path, SOON))
    first, second = wish_lines(Names(case), case.targets["zip"], NOW.date())
    assert "not possible before 2 December 2026" in first
    assert "possible" not in second


@pytest.mark.parametrize(
    "born", [Birth(2023, 11, 30), Birth(2024, 1, 31), Birth(2024, 2, 29), Birth(2024, 12)]
)
def test_the_day_of_an_age_is_the_first_on_which_it_is_complete(born: Birth) -> None:
    for months in range(40):
        day = born.day_of_age(months)
        assert born.age_months(day) == months
        before = date.fromordinal(day.toordinal() - 1)
        assert months == 0 or born.age_months(before) == months - 1
