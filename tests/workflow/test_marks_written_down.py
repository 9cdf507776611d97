"""Marks and kept steps come through every way to write down: words, questions, a filled sheet, a correction."""

from __future__ import annotations

import builtins
import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.evidence.agreement import agreement
from genplan.evidence.log import Result
from genplan.evidence.marks import read_marks
from genplan.evidence.results import COLUMNS
from genplan.evidence.row_identity import digest_of
from tests.fixtures.places import EXAMPLES

NOW = ["--now", "2026-11-29T12:00"]
LATE = datetime(2026, 11, 29, 12)
WHAT = ["--target", "coat-on", "--adult", "mum", "--location", "home", "--material-set", "rain-jacket"]
SAID = ["--target", "coat-on", "--date", "2026-11-28"]
ON = ["--date", "2026-11-28", "--time", "09:30"]
SEEN = ["--observer", "dad", "--observer-marks", "+-p", "--steps-kept", "7/8"]
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLES / "family", tmp_path / "case")
    file = tmp_path / "case" / "case.yaml"
    text = file.read_text("utf-8")
    assert text.count("  coat-on:\n") == 1
    file.write_text(
        text.replace("  coat-on:\n", "  coat-on:\n    steps: [Hold it up, Wait five seconds]\n"), "utf-8"
    )
    return tmp_path / "case"


def last(case: Path) -> Result:
    return max(workflow.open_case(case, LATE).log.results, key=lambda r: r.line)


def header(case: Path) -> str:
    return (case / "results.csv").read_text("utf-8").splitlines()[0]


def test_typed_marks_say_the_counts(case: Path, capsys: Capture) -> None:
    before = (case / "results.csv").read_text("utf-8").splitlines()
    assert header(case) == ",".join(COLUMNS)
    assert main(["record", str(case), *WHAT, *ON, "--marks", "++p", *SEEN, *NOW]) == 0
    assert "2 of 3 correct" in capsys.readouterr().out
    row = last(case)
    assert (row.trials, row.correct, row.prompted, row.observer_correct) == (3, 2, 1, 1)
    assert (row.marks, row.observer_marks, row.steps_kept) == ("++p", "+-p", (7, 8))
    assert header(case) == ",".join((*COLUMNS, "marks", "observer_marks", "steps_kept"))
    now = (case / "results.csv").read_text("utf-8").splitlines()
    assert now[1 : len(before)] == [f"{line},,," for line in before[1:]]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--marks", "++p", "--correct", "3"], "found 2 of '+' beside 3 in 'correct'"),
        (["--marks", "yes"], "found 'y' in 'yes'"),
        (["--marks=+++++", "--observer", "dad", "--observer-marks=+++"], "found 3 signs beside 5 in 'marks'"),
        (["--correct", "2", "--steps-kept", "9/8"], "found 9 of 8"),
        (["--correct", "2", "--steps-kept", "07-Aug"], "write '7 of 8'"),
        (["--kind", "not-run", "--note", "ill", "--marks", "+"], "in a row that was not run"),
        (["--kind", "teaching", "--steps-kept", "7/8"], "found '7/8' in a row 'teaching'"),
    ],
)
def test_what_contradicts_is_refused(case: Path, typed: list[str], said: str, capsys: Capture) -> None:
    before = (case / "results.csv").read_bytes()
    assert main(["record", str(case), *WHAT, *ON, *typed, *NOW]) == 1
    told = capsys.readouterr().err
    assert said in told
    assert len(told.splitlines()) == 1
    assert (case / "results.csv").read_bytes() == before


def test_steps_that_nobody_is_named_to_have_marked_are_warned_of(case: Path, capsys: Capture) -> None:
    assert main(["record", str(case), *WHAT, *ON, "--correct", "2", "--steps-kept", "7/8", *NOW]) == 0
    assert "who marked the steps or counted too" in capsys.readouterr().err


def test_signs_that_begin_with_a_minus_are_told_how_to_be_typed(case: Path, capsys: Capture) -> None:
    assert main(["record", str(case), *WHAT, *ON, "--marks", "-++", *NOW]) == 2
    assert "such as --marks=-++p+" in capsys.readouterr().err


def test_a_cell_that_a_spreadsheet_made_a_text_is_read() -> None:
    assert read_marks("'p++") == "p++"


def test_more_steps_than_the_target_has_are_warned_of(case: Path, capsys: Capture) -> None:
    typed = ["--correct", "2", "--observer", "dad", "--steps-kept"]
    assert main(["record", str(case), *WHAT, *ON, *typed, "1/2", *NOW]) == 0
    assert "steps_kept" not in capsys.readouterr().err
    assert main(["record", str(case), *WHAT, "--date", "2026-11-27", *typed, "7/8", *NOW]) == 0
    assert "steps_kept: 7/8, and 'coat-on' has 2 'steps'" in capsys.readouterr().err
    main(["check", str(case), *NOW])
    assert "steps_kept: 7/8, and 'coat-on' has 2 'steps'" in capsys.readouterr().out


def test_the_questions_take_marks(case: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    given: Iterator[str] = iter(
        [
            "other",
            "coat-on",
            "probe",
            "mum",
            "1",
            "rain-jacket",
            "09:30",
            "yes",
            "++p-",
            "++p- of 4",
            "dad",
            "+++",
            "+++-",
            "mum",
            "7/8",
            "",
            "yes",
            "",
        ]
    )
    monkeypatch.setattr(builtins, "input", lambda _: next(given))
    assert main(["record", str(case), "--ask", *NOW]) == 0
    said = capsys.readouterr().out
    assert "'++p-' is not a number from 0 to 3, nor one such as '3 of 4', nor 3 signs" in said
    assert "'+++' is not a number from 0 to 4, nor 4 signs" in said
    assert "Found 'mum'; expected steps kept of all that were marked, such as 7/8." in said
    row = last(case)
    assert (row.correct, row.trials, row.prompted, row.observer_correct) == (2, 4, 1, 3)
    assert (row.marks, row.observer_marks, row.steps_kept) == ("++p-", "+++-", (7, 8))


def test_a_filled_plan_takes_marks_without_a_column_of_counts(case: Path, tmp_path: Path) -> None:
    head = "week,sitting,learner,target,kind,adult,location,material_set,start,end,trials,observer,marks,observer_marks"
    what = "2026-W48,s1,ines,coat-on,retest,theo,home,borrowed-fleece"
    when = "2026-11-28T10:00:00-04:00,2026-11-28T10:20:00-04:00,3"
    sheet = tmp_path / "filled.csv"
    sheet.write_text(
        f"{head}\n{what},{when},mum,+-+,++-\n{what},{when.replace('11-28', '11-27')},,,\n", "utf-8"
    )
    assert main(["record", str(case), "--from", str(sheet), *NOW]) == 0
    row = last(case)
    assert (row.correct, row.prompted, row.observer_correct, row.marks) == (2, 0, 2, "+-+")
    assert agreement([row]).trial_agreement is not None
    sheet.write_text(f"{head}\n{what},{when},mum,+-,++-\n", "utf-8")
    assert main(["record", str(case), "--from", str(sheet), *NOW]) == 1


def recorded(case: Path) -> str:
    assert main(["record", str(case), *WHAT, *ON, "--marks", "++p", *SEEN, *NOW]) == 0
    return str(last(case).line)


def test_a_correction_of_marks_corrects_the_counts(case: Path, capsys: Capture) -> None:
    line = recorded(case)
    assert main(["record", str(case), "--corrects", line, *SAID, "--marks", "+--", *NOW]) == 0
    row = last(case)
    assert (row.marks, row.correct, row.prompted) == ("+--", 1, 0)
    # what the observer marked is not doubted
    assert (row.observer_marks, row.observer_correct, row.steps_kept) == ("+-p", 1, (7, 8))


def test_a_new_count_leaves_out_marks_that_it_contradicts(case: Path, capsys: Capture) -> None:
    line = recorded(case)
    assert main(["record", str(case), "--corrects", line, *SAID, "--correct", "1", *NOW]) == 0
    assert "The marks of the row do not fit these counts and are left out." in capsys.readouterr().out
    row = last(case)
    assert (row.marks, row.correct, row.observer_marks) == ("", 1, "+-p")


def test_of_a_form_what_was_left_as_it_was_gives_way(case: Path) -> None:
    """A form sends all its fields: marks that were changed say the counts, and counts that were changed outdo marks."""
    recorded(case)
    row = last(case)
    digest = digest_of(workflow.open_case(case, LATE).case.targets["coat-on"], row)
    shown = {"correct": "2", "trials": "3", "prompted": "1", "observer_correct": "1", "note": ""}
    seen = {"marks": "++p", "observer_marks": "+-p", "steps_kept": "7/8"}
    workflow.correct(case, row.line, {**shown, **seen, "marks": "+++"}, LATE, digest=digest)
    new = last(case)
    assert (new.marks, new.correct, new.prompted) == ("+++", 3, 0)
    digest = digest_of(workflow.open_case(case, LATE).case.targets["coat-on"], new)
    done = workflow.correct(
        case,
        new.line,
        {**shown, **seen, "marks": "+++", "correct": "1", "prompted": "0"},
        LATE,
        digest=digest,
    )
    assert (last(case).marks, last(case).correct) == ("", 1)
    assert "do not fit these counts" in " ".join(done.said)


def test_history_and_progress_tell_of_them(case: Path, capsys: Capture) -> None:
    line = recorded(case)
    capsys.readouterr()
    assert main(["history", str(case), "--target", "coat-on", *NOW]) == 0
    assert (
        f"line {line}: 2026-11-28 09:30 probe 2/3 (1 prompted), observer 1/3 (++p; +-p), steps kept 7/8"
        in (capsys.readouterr().out)
    )
    assert main(["progress", str(case), *NOW]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Steps of the procedure" in said
    assert "Mum: 7 of 8 steps kept (88 %), as marked in 1 of" in said
    assert "briefed on" in said
    assert "By the marks of both (1 probe, 3 trials)" in said
