"""What stands in a sheet and is not seen, and whose sheet it is: rows filtered out, two of one name in a rota."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import CaseError
from tests.fixtures.casefile_cases import write
from tests.fixtures.given_tables import Sheets, csv_of
from tests.fixtures.random_cases import NOW

CASE = """\
format: 1
timezone: Europe/Dublin
learners:
  ada: {name: Ada, free: {mon: "15:00-17:00"}}
adults:
  rosa: {name: Rosa, learners: all, free: {daily: "09:00-17:00"}}
locations: {room-1: {name: Room 1}}
material_sets: {cups: {name: Cups}}
targets:
  pours-ada: {learner: ada, name: Pours, correct_when: No spill}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "case", case=CASE)


def read(folder: Path, sheets: Sheets) -> workflow.Tabled:
    return workflow.read_tables(folder, [csv_of(folder.parent / "t", sheets)], NOW, write=False)


def test_rows_and_columns_that_are_hidden_are_read_and_named(folder: Path, tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "children"
    for row in (
        ["name", "alias", "allergens"],
        ["Ada", "A.", "egg"],
        ["Ben", "B.", "milk"],
        ["Cy", "C.", ""],
    ):
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    sheet.row_dimensions[9].hidden = True  # with nothing in it
    sheet.column_dimensions["C"].hidden = True
    book.save(tmp_path / "t.xlsx")
    done = workflow.read_tables(folder, [tmp_path / "t.xlsx"], NOW, write=False)
    told = [f.found for f in done.findings if "hidden" in f.found]
    assert told == ["1 hidden row, which is read as well: 3", "1 hidden column, which is read as well: C"]


def test_two_of_one_name_in_a_rota_are_told_as_two(folder: Path) -> None:
    head = ["Name", "Role", "Mon", "Max hours a week"]
    rota: Sheets = {"rota": [head, ["Nour", "aide", "9-12", "10"], ["Nour", "teacher", "9-12", "10"]]}
    with pytest.raises(CaseError) as told:
        read(folder, rota)
    said = [f.sentence() for f in told.value.findings]
    assert any("a name that more than one have" in sentence for sentence in said), said
    assert not any("unknown heading" in sentence or "whom no row speaks of" in sentence for sentence in said)


@pytest.mark.parametrize("heading", ["Sittings a day", "Max sittings per day", "max Termine am Tag"])
def test_sittings_a_day_as_people_head_them(folder: Path, heading: str) -> None:
    done = read(folder, {"children": [["name", heading, "Gruppe"], ["Ada", "2", "Foxes"]]})
    assert [".".join(d.path) for d in done.differences] == ["learners.ada.limits.sittings_per_day"]


def test_a_row_of_results_in_which_nothing_is_filled_in_is_named(folder: Path) -> None:
    head = ["date", "target", "adult", "location", "material_set", "trials", "correct"]
    what = ["Pours", "Rosa", "Room 1", "Cups", "5"]
    results: Sheets = {"results": [head, ["2026-10-01", *what, "4"], ["2026-10-02", *what, ""]]}
    done = read(folder, results)
    assert done.rows == 1
    assert "Nothing is filled in on row 3 of the results: left out." in done.said


@pytest.mark.parametrize(("cell", "told"), [("", 1), ("-", 0), ("4", 0)])
def test_an_empty_cell_between_two_places_is_told(folder: Path, cell: str, told: int) -> None:
    places = [["name"], ["Hall"], ["Yard"]]
    ways = [
        ["", "Room 1", "Hall", "Yard"],
        ["Room 1", "", "5", "6"],
        ["Hall", "", "", cell],
        ["Yard", "", "", ""],
    ]
    done = read(folder, {"places": places, "ways": ways})
    found = [f.found for f in done.findings if "empty cell" in f.found]
    assert found == ["an empty cell between 'Hall' and 'Yard'"] * told


def test_all_children_in_german_and_the_sheet_by_its_own_name(folder: Path) -> None:
    head = ["Kind", "Name", "Richtig wenn"]
    sheets: Sheets = {
        "Kinder": [["Name", "Schulzeiten"], ["Ben", "Mo 15-17"], ["Cy", "Mo 15-17"]],
        "Ziele": [head, ["alle", "Hebt", "Er steht"]],
    }
    tabled = read(folder, sheets)
    assert not [f for f in tabled.findings if "alle" in f.found or "Schulzeiten" in f.found]
    with pytest.raises(CaseError) as refused:
        read(folder, {**sheets, "Ziele": [head, ["Otto", "Hebt", "Er steht"]]})
    assert "to the sheet of Kinder" in str(refused.value)


def test_what_speaks_of_an_allergy_is_told_beside_the_first_errors(folder: Path) -> None:
    sheets: Sheets = {
        "children": [["name", "notes"], ["Ben", "carries an EpiPen"]],
        "changes": [["away", "from"], ["Nobody Known", "2026-12-01"]],
    }
    with pytest.raises(CaseError) as refused:
        read(folder, sheets)
    assert all("EpiPen" not in f.found for f in refused.value.findings)
    first, *__, last = str(refused.value).splitlines()
    assert last.startswith("Warning: ")
    assert "it speaks of an allergy" in last
    assert "Nobody Known" in first
