"""Last year's date in a sheet of this week, and a day without its year that is still ahead: neither is written down
unless somebody says that it is right."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.errors import CaseError, UsageError
from genplan.findings import Severity
from tests.fixtures.small_case import WEDNESDAY, small_case

HEAD = "date,target,kind,adult,location,material_set,trials,correct"
NOW = ["--now", "2026-12-02T12:00"]
HOME = ["--target", "puts-on", "--adult", "mum", "--location", "home", "--material-set", "boots"]
Capture = pytest.CaptureFixture[str]


def sheet(folder: Path, *days: str) -> Path:
    file = folder.parent / "results.csv"
    rows = (f"{day},puts-on,probe,mum,home,boots,5,4" for day in days)
    file.write_text("\n".join((HEAD, *rows, "")), "utf-8")
    return file


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_case(tmp_path / "case")


def days(case: Path) -> list[str]:
    file = case / "results.csv"
    return [line[:10] for line in file.read_text("utf-8").splitlines()[1:]] if file.exists() else []


def test_a_whole_sheet_with_the_year_before(folder: Path, capsys: Capture) -> None:
    file = sheet(folder, "2025-11-30", "2025-12-01")
    assert main(["record", str(folder), "--from", str(file), *NOW]) == 2
    told = capsys.readouterr().err
    assert "results.csv:2: 30 November 2025 is more than half a year ago" in told
    assert "with --long-ago it is added all the same" in told
    with pytest.raises(workflow.NotAdded):
        workflow.record_sheet(folder, file, WEDNESDAY)
    with pytest.raises(UsageError, match=r"Nothing was written\. If it is the right one"):
        workflow.read_tables(folder, [file], WEDNESDAY, write=True)
    assert days(folder) == []
    assert main(["record", str(folder), "--from", str(file), "--long-ago", *NOW]) == 0
    assert days(folder) == ["2025-11-30", "2025-12-01"]


def test_old_records_are_added_as_before(folder: Path) -> None:
    """Those of a whole year, and those of a time of which there are others."""
    workflow.record_sheet(folder, sheet(folder, "2025-11-20", "2026-03-02"), WEDNESDAY)
    workflow.record_sheet(folder, sheet(folder, "2025-11-21"), WEDNESDAY)
    assert days(folder) == ["2025-11-20", "2026-03-02", "2025-11-21"]


@pytest.mark.parametrize(
    ("typed", "read"), [("2.12.", "2026-12-02"), ("4.6.", "2026-06-04"), ("7 Jan", "2026-01-07")]
)
def test_a_day_without_its_year_is_the_last(folder: Path, typed: str, read: str) -> None:
    (added,) = workflow.record_sheet(folder, sheet(folder, typed), WEDNESDAY).results
    assert added.date.isoformat() == read


def test_a_day_without_its_year_is_of_the_year_before_where_that_is_near(folder: Path) -> None:
    (added,) = workflow.record_sheet(folder, sheet(folder, "20.12."), WEDNESDAY.replace(2027, 1, 8)).results
    assert added.date == date(2026, 12, 20)


def test_a_day_without_its_year_that_is_still_ahead_is_asked_for_it(folder: Path, capsys: Capture) -> None:
    file = sheet(folder, "1.12.", "3.12.")
    for read in (
        lambda: workflow.record_sheet(folder, file, WEDNESDAY),
        lambda: workflow.read_tables(folder, [file], WEDNESDAY, write=True),
    ):
        with pytest.raises(CaseError) as told:
            read()
        (found,) = (f for f in told.value.findings if f.severity is Severity.ERROR)
        assert found.found == "found '3.12.', which is still ahead this year"
        assert found.hint == "write the year, too: 2025-12-03 if it was that day"
    typed = ["record", str(folder), *HOME, "--correct", "4", *NOW]
    assert main([*typed, "--date", "3 December"]) == 2
    assert "'3 December' is still ahead this year. Type the year, too." in capsys.readouterr().err
    assert days(folder) == []
    assert main([*typed, "--date", "1 December"]) == 0
    assert days(folder) == ["2026-12-01"]
