"""A sheet that is older than the case takes no allergy and no other caution of it away unless that is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.cli import main
from tests.fixtures.casefile_cases import write
from tests.fixtures.given_tables import Sheets, csv_of
from tests.fixtures.random_cases import NOW

CASE = """\
format: 1
timezone: Europe/Dublin
learners:
  ada: {name: Ada, allergens: [egg, wheat], free: {mon: "15:00-17:00"}}
adults:
  rosa: {name: Rosa, learners: all, free: {daily: "09:00-17:00"}}
locations: {room-1: {name: Room 1}}
material_sets: {dough: {name: Dough, allergens: [wheat]}}
targets:
  pours-ada: {learner: ada, name: Pours, correct_when: No spill}
"""
OLD: Sheets = {
    "children": [["name", "allergens", "sittings_per_day"], ["Ada", "egg", "2"]],
    "things": [["name", "contains"], ["Dough", "none"]],
}
GONE = "Ada: must keep away from wheat", "Dough: holds wheat"
Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "case", case=CASE)


def test_what_an_old_sheet_would_take_is_named_and_not_written(folder: Path, capsys: Capture) -> None:
    file = csv_of(folder.parent / "t", OLD)
    read = ["tables", "read", str(file), str(folder), "--now", "2026-11-29T12:00"]
    before = (folder / "case.yaml").read_bytes()
    assert main(read) == 0
    shown = capsys.readouterr().out
    assert all(caution in shown for caution in GONE)
    assert "--write refuses that without --cautions-too" in shown
    assert main([*read, "--write"]) == 2
    told = capsys.readouterr().err
    assert all(caution in told for caution in GONE)
    assert "If the caution is to go, add --cautions-too." in told
    assert "wheat (children.csv, line 2, column B); Dough: holds wheat (things.csv, line 2, column B)" in told
    assert (folder / "case.yaml").read_bytes() == before
    assert main([*read, "--write", "--cautions-too"]) == 0
    gone = capsys.readouterr().err
    assert "cautions that went: Ada: must keep away from wheat (children.csv, line 2, column B)" in gone
    case = load(folder).case
    assert case is not None
    assert case.learners["ada"].allergens == {"egg"}
    assert not case.material_sets["dough"].holds


def test_a_caution_more_is_written_as_anything_else(folder: Path) -> None:
    sheets: Sheets = {"children": [["name", "allergens"], ["Ada", "egg, wheat, milk"]]}
    done = workflow.read_tables(folder, [csv_of(folder.parent / "t", sheets)], NOW, write=True)
    assert (done.written, done.cautions) == (True, ())


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([["name", "allergens"], ["Ada", ""]], True),
        ([["name", "sittings_per_day"], ["Ada", "2"]], True),
        ([["name", "allergens"], ["Ada", "egg, wheat"]], False),
    ],
)
def test_an_allergy_of_which_the_tables_say_nothing_is_said_to_stay(
    folder: Path, rows: list[list[str]], said: bool
) -> None:
    done = workflow.read_tables(folder, [csv_of(folder.parent / "t", {"children": rows})], NOW, write=False)
    assert (
        "The tables say nothing of these allergies, which stay as the case has them: Ada (egg and wheat)."
        in done.said
    ) is said
