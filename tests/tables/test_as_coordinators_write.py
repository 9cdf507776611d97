"""Staff, rooms and children as a coordinator has them: what can only mean one thing is read, the rest told at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.case import Birth, Case
from genplan.case.safety import avoided_allergens
from genplan.casefile import load
from genplan.errors import CaseError
from genplan.evidence import workbook as reader
from genplan.evidence.workbook import sheets_for
from genplan.start.hours_text import read_hours
from genplan.workflow.tabling import Tabled
from tests.fixtures.given_tables import SHEETS, Sheets, book_of, csv_of
from tests.fixtures.random_cases import NOW

STAFF: Sheets = {
    "Staff": [
        ["Team", "Staff member", "Contract (hrs/wk)", "Mon", "Fri", "Key children"],
        ["Blue", "Rosa Diaz", "30", "8.30-3.30", "–", "everyone"],
        ["", "Tom Ade", "20h", "9 till 12", "x", "Ada & Ben"],
        ["", "Total", "50", "", "", ""],
    ]
}
ROOMS: Sheets = {
    "rooms": [
        ["Room", "Open", "Max. children", "Floor"],
        ["Hall", "9-12 Mon-Fri", "2 children", "0"],
        ["Garden", "always", "", "0"],
        ["Total", "", "7", ""],
    ],
    "Legend": [["x", "not in"]],
}
CHILDREN: Sheets = {
    "Children": [
        ["First name", "Surname", "D.O.B.", "Allergies / diet", "Here (times)", "Key worker", "Puts things in mouth?"],
        ["Ada", "Lind", "April 2020", "nuts", "9-12 every day", "Rosa", "n"],
        ["Ben", "Oko", "8 June 2019", "Ei, kiwi", "Mon-Fri 9-12", "Tom", "yes"],
        ["Cy", "Mar", "2.11.2019", "–", "Mon-Fri 9-12", "", ""],
    ],
    "things": [["Item", "How many?", "Where kept", "Small pieces?"], ["jug", "2x", "Hall", "n"], ["cup", "3", "", "y"]],
    "Goals": [
        ["Child", "Goal", "When is it right?", "Learned with", "Learned where", "Learned using", "Pass"],
        ["Ada", "Pours", "No spill", "Rosa", "Hall", "jug", "3 of 4"],
        ["Ben", "Waves", "Waves back", "Tom", "Hall", "nothing", "4/5"],
    ],
}  # fmt: skip


def read(tmp_path: Path, *books: Sheets) -> Tabled:
    folders = [csv_of(tmp_path / f"t{i}", sheets) for i, sheets in enumerate(books)]
    return workflow.read_tables(tmp_path / "case", folders, NOW, write=True, timezone="Europe/Dublin")


def case_of(tmp_path: Path) -> Case:
    case = load(tmp_path / "case").case
    assert case is not None
    return case


def test_they_make_a_case_in_one_round(tmp_path: Path) -> None:
    done = read(tmp_path, STAFF, ROOMS, CHILDREN)
    case = case_of(tmp_path)
    assert set(case.adults) == {"rosa-diaz", "tom-ade"}
    assert case.adults["rosa-diaz"].learners is None
    assert case.adults["tom-ade"].learners == {"ada-lind", "ben-oko"}
    assert [bool(day) for day in case.adults["tom-ade"].free.days[:5]] == [True, False, False, False, False]
    assert set(case.locations) == {"hall", "garden"}
    assert case.locations["hall"].capacity == 2
    assert all(day == case.locations["garden"].open.days[0] for day in case.locations["garden"].open.days)
    assert [c.born for c in case.learners.values()] == [Birth(2020, 4), Birth(2019, 6, 8), Birth(2019, 11, 2)]
    assert [c.mouths for c in case.learners.values()] == [False, True, False]
    assert [sorted(c.allergens) for c in case.learners.values()] == [["nuts"], ["egg", "kiwi"], []]
    assert (case.material_sets["jug"].copies, case.material_sets["jug"].small_parts) == (2, False)
    assert case.material_sets["cup"].small_parts is True
    assert str(case.targets["pours"].pass_mark) == "3/4"
    assert case.targets["pours"].dimensions[2].values == ("jug", "cup")
    assert case.targets["waves"].dimensions[2].values == ("nothing",)
    assert case.material_sets["nothing"].bring is False
    told = [f.sentence() for f in done.findings]
    for column in ("Team", "Contract (hrs/wk)", "Floor", "Key worker"):
        assert sum(f"the column '{column}', which is not read" in s for s in told) == 1
    assert sum("a row of sums, which is not read" in s for s in told) == 2
    assert sum("the sheet 'Legend', which is not read" in s for s in told) == 1
    assert sum("'2.11.2019', read as 2019-11-02" in s for s in told) == 1
    assert sum("which may mean peanuts" in s for s in told) == 1
    assert sum("(1) are tried with each of the 2" in line for line in done.assumed) == 1


@pytest.mark.parametrize(
    ("heading", "sentence"),
    [
        ("Name (allergies)", "the unknown heading 'Name (allergies)'"),
        ("Allergies/DOB", "the unknown heading 'Allergies/DOB'"),
        ("Notes (allergies)", "the unknown heading 'Notes (allergies)'"),
        ("Phone", ""),
    ],
)
def test_a_heading_of_which_two_parts_are_known_is_not_guessed(
    tmp_path: Path, heading: str, sentence: str
) -> None:
    """Nor is a column of remarks passed over that says in brackets to be of something else."""
    children = [[*CHILDREN["Children"][0], heading], *([*row, "x"] for row in CHILDREN["Children"][1:])]
    books = (STAFF, ROOMS, {**CHILDREN, "Children": children})
    if not sentence:
        read(tmp_path, *books)
        return
    with pytest.raises(CaseError) as error:
        read(tmp_path, *books)
    assert any(sentence in f.sentence() or "holds already" in f.sentence() for f in error.value.findings)


def test_two_cells_with_one_fault_are_both_told(tmp_path: Path) -> None:
    """Of which the second would else be told in the next round."""
    children = [["name", "born"], ["Ada", "some day"], ["Ben", "some day"]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "children": children})
    assert [f.line for f in error.value.findings if "some day" in f.found] == [2, 3]


@pytest.mark.parametrize("cell", ["12 sums", "3 children"])
def test_a_number_of_people_is_no_person(tmp_path: Path, cell: str) -> None:
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "children": [*SHEETS["children"], [cell, ""]]})
    assert "reads like a remark" in error.value.findings[0].sentence()


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("9-12 every day", "daily 9-12"),
        ("9-12 and 1-3 Mon-Thu", "Mon-Thu 9-12 and 1-3"),
        ("9-12, Mon, Wed", "Mon, Wed 9-12"),
    ],
)
def test_hours_may_stand_before_all_their_days(text: str, same: str) -> None:
    assert read_hours(text) == read_hours(same)


def test_cells_that_are_merged_in_a_column_of_names_or_one_that_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("python_calamine")
    monkeypatch.setattr(reader, "_ask", lambda path, data: sheets_for(data))
    skills: list[list[Any]] = [
        ["Team", "Child", "Skill", "Correct if"],
        ["Blue", "Ada", "Pours", "No spill"],
        [None, None, "Waves", "Waves back"],
    ]

    def merge(book: Any) -> None:
        book["skills"].merge_cells("A2:A3")
        book["skills"].merge_cells("B2:B3")

    path = book_of(tmp_path / "t.xlsx", {**SHEETS, "skills": skills}, merge)
    workflow.read_tables(tmp_path / "case", [path], NOW, write=True)
    assert {t.name: t.learner for t in case_of(tmp_path).targets.values()} == {"Pours": "ada", "Waves": "ada"}


@pytest.mark.parametrize("allergy", ["Zöliakie", "coeliac disease", "Coeliac", "celiac (severe)"])
def test_an_illness_is_what_must_not_be_met(tmp_path: Path, allergy: str) -> None:
    children = [["name", "allergens"], ["Ada", allergy], ["Ben", ""]]
    read(tmp_path, {**SHEETS, "children": children})
    case = case_of(tmp_path)
    assert case.learners["ada"].allergens == {"gluten"}
    assert "wheat" in avoided_allergens(case.learners["ada"].allergens)


@pytest.mark.parametrize(
    "allergy",
    ["unknown", "unbekannt", "siehe Akte", "bitte Eltern fragen", "vegan", "not known", "egg, tbc", "k. A."],
)
def test_what_says_of_no_allergen_whether_it_is_meant_is_asked_about(tmp_path: Path, allergy: str) -> None:
    children = [["name", "allergens"], ["Ada", allergy], ["Ben", ""]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "children": children})
    assert any("Nobody has said yet which" in f.sentence() for f in error.value.findings)


@pytest.mark.parametrize(
    "held", ["n/a", "nil", "no", "nein", "?", "no egg", "kein Ei", "entfällt", "unbekannt"]
)
def test_only_who_writes_none_has_looked(tmp_path: Path, held: str) -> None:
    things = [["name", "allergens"], ["Cups", held]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "things": things})
    assert [f.key for f in error.value.findings] == ["column B"]


@pytest.mark.parametrize(("held", "looked"), [("none", True), ("keine", True), ("", False)])
def test_that_somebody_looked_is_said_by_none_alone(tmp_path: Path, held: str, looked: bool) -> None:
    read(tmp_path, {**SHEETS, "things": [["name", "allergens"], ["Cups", held]]})
    assert ("allergens: []" in (tmp_path / "case" / "case.yaml").read_text("utf-8")) is looked
