"""Whoever writes a teaching down hears at once whether it counts and what is still owed."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from tests.fixtures.small_case import small_case

NOW = datetime(2026, 12, 1, 20)
HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
FAILED = "2026-11-20,,puts-on,probe,gran,yard,hats,5,1,,,,\n"
WHERE = {"target": "puts-on", "adult": "gran", "location": "yard", "material_set": "hats"}


def a_case(folder: Path, rows: str = FAILED, target: str = "") -> Path:
    case = small_case(folder)
    text = (case / "case.yaml").read_text("utf-8").replace("cover: all", f"cover: all{target}")
    (case / "case.yaml").write_text(text, "utf-8")
    (case / "results.csv").write_text(HEAD + rows, "utf-8")
    return case


def answer(case: Path, day: int, **counts: int) -> str:
    """What is said after the place of the row."""
    entry = workflow.RecordRequest(**WHERE, kind="teaching", date=date(2026, 11, day), **counts)
    return workflow.record(case, entry, NOW).sentence.split("hats: ")[1]


def test_what_a_teaching_pays_is_said_at_once(tmp_path: Path) -> None:
    more = ", taught_when: 4/5, teachings_before_retest: 2, retest_after_days: 3"
    case = a_case(tmp_path / "case", target=more)
    nothing = "It does not count as teaching: 4 of 5 correct without help are asked for, and it has {}."
    two = " 2 more teachings that count are owed there before it is probed again."
    assert answer(case, 21) == "teaching. " + nothing.format("no count") + two
    assert answer(case, 22, correct=3) == "3 of 5 correct. " + nothing.format("3 of 5") + two
    one = " 1 more teaching that counts is owed there before it is probed again."
    assert answer(case, 23, correct=4) == "4 of 5 correct. It counts as teaching." + one
    due = " The next probe there is due from 27 November 2026 on."
    assert answer(case, 24, trials=10, correct=9) == "9 of 10 correct. It counts as teaching." + due


def test_where_nothing_is_asked_and_nothing_waits_nothing_is_said(tmp_path: Path) -> None:
    assert answer(a_case(tmp_path / "case", rows=""), 21) == "teaching."


def test_a_count_without_trials_is_of_the_trials_of_the_target(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case", rows="")
    assert answer(case, 21, correct=4) == "4 of 5 correct."
    assert answer(case, 22, prompted=4) == "teaching."
    assert (case / "results.csv").read_text("utf-8").splitlines()[1].split(",")[7:9] == ["5", "4"]


def test_each_row_of_a_sheet_says_it_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    case = a_case(tmp_path / "case", target=", taught_when: 4/5")
    sheet = tmp_path / "filled.csv"
    sheet.write_text(
        HEAD
        + "2026-11-21,,puts-on,teaching,gran,yard,hats,5,1,,,,\n"
        + "2026-11-22,,puts-on,teaching,gran,yard,hats,5,5,,,,\n",
        "utf-8",
    )
    assert main(["record", str(case), "--from", str(sheet), "--now", "2026-12-01T20:00"]) == 0
    said = capsys.readouterr().out
    assert "Line 3: It does not count as teaching: 4 of 5 correct without help are asked for" in said
    assert "Line 4: It counts as teaching." in said


def test_a_plan_names_the_rows_that_pay_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Though something was run, and the other warnings of the case are only counted."""
    bare = "2026-11-21,,puts-on,teaching,gran,yard,hats,,,,,,\n"
    case = a_case(tmp_path / "case", FAILED + bare, ", taught_when: 4/5")
    decided = (
        (case / "case.yaml").read_text("utf-8").replace("{like: none,", "{like: none, plan_teaching: no,")
    )
    (case / "case.yaml").write_text(decided, "utf-8")
    assert main(["plan", str(case), "--now", "2026-11-29T12:00"]) == 0
    said = capsys.readouterr().err
    assert "results.csv:3: trials: teaching without trials, which does not count" in said
    assert "genplan check" not in said
