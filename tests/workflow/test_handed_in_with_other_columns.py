"""Results that are handed in again with a column of times, or without it, are the same results."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from tests.fixtures.small_case import WEDNESDAY, small_case

HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,note"
NOW = ["--now", "2026-12-02T12:00"]
Capture = pytest.CaptureFixture[str]


def sheet(folder: Path, *rows: str) -> Path:
    """Each row is a time, who, how many of five, and a note."""
    file = folder / "filled.csv"
    lines = []
    for row in rows:
        time, who, correct, note = row.split(",")
        lines.append(f"2026-12-01,{time},puts-on,probe,{who},home,boots,5,{correct},{note}")
    file.write_text("\n".join((HEAD, *lines, "")), "utf-8")
    return file


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_case(tmp_path / "case")


def lines(case: Path) -> list[str]:
    return (case / "results.csv").read_text("utf-8").splitlines()[1:]


@pytest.mark.parametrize(("first", "then"), [("", "16:30"), ("16:30", "")])
def test_with_the_times_and_without_them(folder: Path, first: str, then: str) -> None:
    workflow.record_sheet(folder, sheet(folder, f"{first},mum,4,", f"{first},gran,5,"), WEDNESDAY)
    added = workflow.record_sheet(folder, sheet(folder, f"{then},mum,4,", f"{then},gran,5,"), WEDNESDAY)
    assert (added.results, len(lines(folder))) == ((), 2)
    (said,) = added.skipped
    assert said.startswith("2 rows are in results.csv already, as far as can be known")
    assert "line 2 (there line 2) and line 3 (there line 3)" in said
    assert said.endswith("give each of the two its time.")


def test_what_they_say_otherwise_is_another_row(folder: Path) -> None:
    """Another count, another note, another time; what only one of them says is none."""
    rows = "16:30,mum,4,tired", "17:00,mum,4,awake", "16:30,gran,5,"
    workflow.record_sheet(folder, sheet(folder, *rows), WEDNESDAY)
    again = ",mum,4,hungry", ",mum,3,", ",gran,5,quick", "17:30,gran,5,"
    added = workflow.record_sheet(folder, sheet(folder, *again), WEDNESDAY)
    assert [(r.combination[0], r.correct, r.note) for r in added.results] == [
        ("mum", 4, "hungry"),
        ("mum", 3, ""),
        ("gran", 5, ""),
    ]


def test_no_row_stands_for_two(folder: Path) -> None:
    workflow.record_sheet(folder, sheet(folder, "16:30,mum,4,"), WEDNESDAY)
    added = workflow.record_sheet(folder, sheet(folder, "16:30,mum,4,", ",mum,4,"), WEDNESDAY)
    assert len(added.results) == 1
    (found,) = added.findings
    assert found.found == "the same as line 2, but only one of the two has a time"


def test_a_row_that_was_taken_back_does_not_come_again_without_its_time(folder: Path) -> None:
    workflow.record_sheet(folder, sheet(folder, "16:30,mum,4,"), WEDNESDAY)
    file = folder / "results.csv"
    file.write_text(file.read_text("utf-8").replace(",probe,", ",taken back: probe,"), "utf-8")
    added = workflow.record_sheet(folder, sheet(folder, ",mum,4,"), WEDNESDAY)
    assert added.results == ()
    assert "taken back before" in added.skipped[0]


def test_tables_read_says_it_too(folder: Path, capsys: Capture) -> None:
    workflow.record_sheet(folder, sheet(folder, "16:30,mum,4,"), WEDNESDAY)
    file = sheet(folder, ",mum,4,").rename(folder.parent / "results.csv")
    assert main(["tables", "read", str(file), str(folder), "--write", *NOW]) == 0
    said = capsys.readouterr().out
    assert "Results: 0 new, 1 there already." in said
    assert "1 row is in results.csv already, as far as can be known" in said
    assert len(lines(folder)) == 1


def test_one_that_is_typed_is_asked_about_and_told(
    folder: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    workflow.record_sheet(folder, sheet(folder, "16:30,mum,4,"), WEDNESDAY)
    entry = workflow.RecordRequest(
        "puts-on", "mum", "home", "boots", date=WEDNESDAY.date().replace(day=1), correct=4
    )
    with pytest.raises(workflow.NotAdded) as refused:
        workflow.record(folder, entry, WEDNESDAY, lambda doubts: False)
    assert "Line 2 may be the same, for only one of the two has a time" in "".join(refused.value.doubts)
    typed = ["--target", "puts-on", "--adult", "mum", "--location", "home", "--material-set", "boots"]
    assert main(["record", str(folder), *typed, "--date", "2026-12-01", "--correct", "4", *NOW]) == 0
    assert "the same as line 2, but only one of the two has a time" in capsys.readouterr().err
