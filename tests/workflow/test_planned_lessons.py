"""A planned teaching on its way into results.csv: proposed, asked for, written down."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.cli.asking import Questions
from genplan.evidence.log import ResultKind
from tests.fixtures.taught_week import LESSON, a_kept_lesson
from tests.fixtures.typed_words import otherwise

TUESDAY, EVENING = date(2026, 12, 1), datetime(2026, 12, 1, 20)
TYPED = [word for name, value in LESSON.items() for word in (f"--{name.replace('_', '-')}", value)]
NOW = ["--date", "2026-12-01", "--now", "2026-12-01T20:00"]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    return a_kept_lesson(tmp_path / "case")


def rows(case: Path) -> list[str]:
    return (case / "results.csv").read_text("utf-8").splitlines()[1:]


def answered(case: Path, *answers: str) -> list[str]:
    """The questions that were asked."""
    asked: list[str] = []
    given: Iterator[str] = iter(answers)

    def ask(question: str) -> str:
        asked.append(question)
        return next(given)

    Questions(workflow.propose(case, TUESDAY, None, EVENING), ask).run()
    return asked


def test_a_planned_teaching_is_proposed_and_taken_off_the_list(case: Path) -> None:
    kinds = [p.kind for p in workflow.propose(case, TUESDAY, None, EVENING).probes]
    assert kinds == [ResultKind.TEACHING, ResultKind.PROBE]
    entry = workflow.RecordRequest(**LESSON, kind="teaching", date=TUESDAY)
    workflow.record(case, entry, EVENING)
    assert [p.kind for p in workflow.propose(case, TUESDAY, None, EVENING).probes] == [ResultKind.PROBE]


def test_one_yes_is_enough_for_a_lesson(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = answered(case, "1", "yes", "", "", "yes", "")
    assert "1. 16:00 Puts it on: Mum, Home, Three hats (teaching)" in capsys.readouterr().out
    assert asked[1].startswith("Was it taught? 'yes', or why not: ")
    assert rows(case) == ["2026-12-01,16:00,puts-on,teaching,mum,home,hats,,,,,,"]


def test_a_lesson_with_counts_and_a_word(case: Path) -> None:
    asked = answered(case, "1", "yes", "2 of 4", "1", "liked it", "yes", "")
    assert rows(case) == ["2026-12-01,16:00,puts-on,teaching,mum,home,hats,4,2,1,,,liked it"]
    assert not any("count too" in q or "else counted" in q for q in asked)


def test_a_lesson_that_was_not_held(case: Path) -> None:
    answered(case, "1", "2", "yes", "")
    assert rows(case) == ["2026-12-01,16:00,puts-on,not run,mum,home,hats,,,,,,refused"]


def test_a_lesson_that_no_plan_has_is_not_asked_whether_it_was_taught(case: Path) -> None:
    asked = answered(case, "other", "teaching", "mum", "yard", "hats", "", "", "", "yes", "")
    assert not any(q.startswith("Was it") for q in asked)
    assert rows(case) == ["2026-12-01,,puts-on,teaching,mum,yard,hats,,,,,,"]


def test_record_writes_a_lesson_down_without_counts(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", str(case), *TYPED, "--kind", "teaching", *NOW]) == 0
    assert "hats: teaching." in capsys.readouterr().out


def test_a_probe_written_down_where_a_lesson_was_planned_is_told_of(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`probe` is what record writes unless it is told otherwise, and a lesson taken for a test would count as one."""
    assert main(["record", str(case), *TYPED, "--correct", "4", *NOW]) == 0
    said = capsys.readouterr().out
    assert (
        "The plan of 2026-W49 has a teaching there on that day, and this is written down as a probe" in said
    )
    assert rows(case)[0].split(",")[3] == "probe"


@pytest.mark.parametrize("change", [["--location", "yard"], ["--date", "2026-12-02"]])
def test_another_probe_is_told_of_nothing(
    case: Path, change: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    typed = otherwise(TYPED, "--date", "2026-12-01", *change, "--correct", "4", "--now", "2026-12-02T20:00")
    assert main(["record", str(case), *typed]) == 0
    assert "has a teaching there" not in capsys.readouterr().out


def test_a_probe_after_the_lesson_was_written_down_is_told_of_nothing(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", str(case), *TYPED, "--kind", "teaching", *NOW]) == 0
    assert main(["record", str(case), *TYPED, "--correct", "4", *NOW]) == 0
    assert "has a teaching there" not in capsys.readouterr().out


def test_the_matrix_has_a_lesson_as_planned_until_it_is_written_down(case: Path) -> None:
    at = ("puts-on", ("mum", "home", "hats"))
    assert at in workflow.matrix(case, EVENING).planned
    workflow.record(case, workflow.RecordRequest(**LESSON, kind="teaching", date=TUESDAY), EVENING)
    assert at not in workflow.matrix(case, EVENING).planned
