"""Ways drawn as people draw them: places down the side and across the top, minutes in the cells."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.errors import CaseError
from genplan.evidence import workbook
from genplan.evidence.workbook import sheets_for
from tests.fixtures.given_tables import SHEETS, Sheets, book_of, csv_of, ods_of
from tests.fixtures.random_cases import NOW

PLACES = [["Room"], ["Hall"], ["Garden"], ["Room 3"]]
WHOLE = [
    ["", "Hall", "Garden", "Room 3"],
    ["Hall", "", "5", "2"],
    ["Garden", "5", "", "4"],
    ["Room 3", "2", "4", ""],
]
MINUTES = {("hall", "garden"): 5, ("hall", "room-3"): 2, ("garden", "room-3"): 4}
FORMS = (".xlsx", ".ods", "")


def file_of(folder: Path, sheets: Sheets, form: str) -> Path:
    """Numbers are numbers in a workbook, as people have them."""
    path = folder / f"t{form}"
    typed = {
        name: [[int(cell) if cell.isdecimal() and form else cell for cell in row] for row in rows]
        for name, rows in sheets.items()
    }
    return {".xlsx": book_of, ".ods": ods_of, "": csv_of}[form](path, typed)


@pytest.fixture(autouse=True)
def _in_this_process(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("python_calamine")
    monkeypatch.setattr(workbook, "_ask", lambda path, data: sheets_for(data))


def minutes(
    tmp_path: Path, ways: list[list[str]], form: str = "", sheet: str = "ways"
) -> dict[tuple[str, str], int]:
    sheets = {**SHEETS, "places": PLACES, sheet: ways}
    workflow.read_tables(tmp_path / "case", [file_of(tmp_path, sheets, form)], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    travel = case.travel
    return {ends: travel.minutes(*ends) for ends in MINUTES}


def told(tmp_path: Path, ways: list[list[str]], form: str = "") -> list[str]:
    sheets = {**SHEETS, "places": PLACES, "ways": ways}
    with pytest.raises(CaseError) as raised:
        workflow.read_tables(tmp_path / "case", [file_of(tmp_path, sheets, form)], NOW, write=True)
    assert not (tmp_path / "case").exists()
    return [f.sentence() for f in raised.value.findings]


@pytest.mark.parametrize("form", FORMS)
def test_a_whole_table_is_read(tmp_path: Path, form: str) -> None:
    assert minutes(tmp_path, WHOLE, form) == MINUTES


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    "ways",
    [
        [WHOLE[0], ["Hall", "", "5", "2"], ["Garden", "", "", "4"], ["Room 3", "", "", ""]],
        [["", "Garden", "Room 3"], ["Hall", "5", "2"], ["Garden", "", "4"]],
        [["minutes", "Hall", "Garden", "Room 3"], ["Hall", "0", "5 min", "2 min."], ["Garden", "", "x", "4'"]],
        [["Walking times 2026"], [], WHOLE[0], ["hall", "-", "5", "2"], ["GARDEN", "5", "-", "4 minutes"]],
        [["", *WHOLE[0]], *(["", *row] for row in WHOLE[1:])],
        [[*WHOLE[0], "#checked"], *([*row, "by Ann"] for row in WHOLE[1:])],
    ],
    ids=["upper half", "without the empty row and column", "units", "title", "indented", "remark"],
)  # fmt: skip
def test_so_is_what_people_leave_out_and_add(tmp_path: Path, ways: list[list[str]], form: str) -> None:
    assert minutes(tmp_path, ways, form) == MINUTES


@pytest.mark.parametrize("sheet", ["Sheet1", "Distances", "Walking times"])
def test_it_is_known_by_what_it_looks_like(tmp_path: Path, sheet: str) -> None:
    assert minutes(tmp_path, WHOLE, ".xlsx", sheet) == MINUTES


@pytest.mark.parametrize("nothing", ["", "-", "\u2013"])
def test_where_there_is_no_way_the_minutes_for_all_others_hold(tmp_path: Path, nothing: str) -> None:
    ways = [["", "Hall", "Garden", "Room 3"], ["Hall", "", "5", nothing], ["Garden", "", "", "4"]]
    assert minutes(tmp_path, ways) == {**MINUTES, ("hall", "room-3"): 0}


def test_a_list_and_a_table_are_put_together(tmp_path: Path) -> None:
    sheets: Sheets = {**SHEETS, "places": PLACES, "ways": [["from", "to", "minutes"], ["otherwise", "", "9"]]}
    more = csv_of(tmp_path / "more", {"ways": [row[:3] for row in WHOLE[:3]]})
    workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets), more], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    assert [case.travel.minutes(*ends) for ends in MINUTES] == [5, 9, 9]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(
    ("row", "column", "text", "sentence"),
    [
        (1, 2, "soon", "'soon'"),
        (0, 2, "Gardn", "the unknown location 'Gardn'"),
        (2, 0, "Gardn", "the unknown location 'Gardn'"),
        (2, 0, "", "no place under 'from'"),
        (0, 2, "", "a cell in a column without a heading"),
        (0, 2, "Hall", "'Hall', which column B holds already"),
        (2, 1, "7", "'7' minutes, and '5' for the same way"),
        (2, 2, "3", "locations"),
    ],
)
def test_what_is_wrong_is_told_once_by_its_cell(
    tmp_path: Path, row: int, column: int, text: str, sentence: str, form: str
) -> None:
    ways = [list(cells) for cells in WHOLE]
    ways[row][column] = text
    (only,) = told(tmp_path, ways, form)
    assert sentence in only
    cell = "BCD"[column - 1] if column else "A"
    line = {"a cell in a column without a heading": 2}.get(sentence, row + 1)
    place = f"ways.csv:{line}: column {cell}: " if not form else f"t{form}: ways!{cell}{line}: "
    assert only.startswith(place)
