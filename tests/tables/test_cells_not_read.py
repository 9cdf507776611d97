"""What stands above the headings, and in columns that are not read."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.case import Birth, Case
from genplan.casefile import load
from genplan.errors import CaseError
from genplan.workflow import read_tables
from genplan.workflow.tabling import Tabled
from tests.fixtures.given_tables import SHEETS, Sheets, csv_of
from tests.fixtures.random_cases import NOW


def read(tmp_path: Path, sheets: Sheets) -> Tabled:
    return read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)


def case_of(tmp_path: Path) -> Case:
    case = load(tmp_path / "case").case
    assert case is not None
    return case


@pytest.mark.parametrize(
    ("remark", "says"),
    [
        ("peanut allergy! ask the office", "it names an allergen"),
        ("carries an EpiPen", "it speaks of an allergy"),
        ("Allergie, siehe Akte", "it speaks of an allergy"),
        ("loves the fridge magnets", "it names a hazard"),
        ("ill until Friday", "it may say that somebody is away"),
        ("Urlaub", "it may say that somebody is away"),
        ("starts at nine, still hungry", ""),
    ],
)
def test_what_a_remark_says_that_the_case_has_to_know_is_said_by_its_cell(
    tmp_path: Path, remark: str, says: str
) -> None:
    children = [["name", "Remarks"], ["Ada", ""], ["Ben", remark]]
    done = read(tmp_path, {**SHEETS, "children": children})
    told = [f for f in done.findings if "in a column that is not read" in f.found]
    assert [(f.file, f.line, f.key) for f in told] == [("children.csv", 3, "column B")] * bool(says)
    assert all(says in f.found for f in told)


@pytest.mark.parametrize(
    "above",
    [["CHILDREN (confidential)"], ["Children"], ["# Children", "as of May"], ["#", "name", "born"], ["name"]],
)
def test_a_title_of_known_words_is_no_row_of_headings(tmp_path: Path, above: list[str]) -> None:
    row = [*above, "", "", ""][:3]
    children = [row, ["name", "born", "allergies"], ["Ada", "2020-05", "egg"], ["Ben", "", ""]]
    read(tmp_path, {**SHEETS, "children": children})
    assert case_of(tmp_path).learners["ada"].allergens == {"egg"}
    assert len(case_of(tmp_path).learners) == 2


def test_a_column_of_numbers_before_the_names_is_no_remark(tmp_path: Path) -> None:
    children = [["#", "name", "born"], ["1", "Ada", "2020-05"], ["2", "Ben", ""]]
    read(tmp_path, {**SHEETS, "children": children})
    assert set(case_of(tmp_path).learners) == {"ada", "ben"}


def test_a_first_name_of_two_is_told_with_the_names_to_write(tmp_path: Path) -> None:
    adults = [["name", "role", "learners"], ["Sam Reid", "aide", "all"], ["Sam Okafor", "aide", "all"]]
    hours = [["who", "mon"], ["Ada", "3-5pm"], ["Sam", "9-5"]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "adults": adults, "hours": hours})
    told = [f for f in error.value.findings if f.file == "hours.csv"]
    assert [(f.line, f.hint) for f in told] == [(3, "write Sam Reid or Sam Okafor")]


def test_a_column_of_sums_is_passed_over(tmp_path: Path) -> None:
    adults = [["name", "role", "learners", "Hours total"], ["Rosa", "aide", "all", "37"]]
    done = read(tmp_path, {**SHEETS, "adults": adults})
    assert ["'Hours total', which is not read" in f.found for f in done.findings if "total" in f.found] == [
        True
    ]
    assert case_of(tmp_path).adults["rosa"].limits.minutes_per_week is None


def test_a_list_is_told_as_it_is_written_in_a_cell(tmp_path: Path) -> None:
    children = [["name", "allergies"], ["Ada", "unknown"], ["Ben", ""]]
    with pytest.raises(CaseError) as error:
        read(tmp_path, {**SHEETS, "children": children})
    assert [f.expected for f in error.value.findings] == ["names, such as egg, milk"]


def test_a_birthday_is_read_as_it_is_spoken(tmp_path: Path) -> None:
    children = [["name", "born"], ["Ada", "3rd of May 2020"], ["Ben", "22nd June 2020"]]
    read(tmp_path, {**SHEETS, "children": children})
    assert [c.born for c in case_of(tmp_path).learners.values()] == [Birth(2020, 5, 3), Birth(2020, 6, 22)]


def test_a_name_that_begins_with_whose_somebody_is_has_not_that_first_name(tmp_path: Path) -> None:
    adults = [["name", "role", "learners"], ["Sam's mum", "parent", "all"], ["Sam Okafor", "aide", "all"]]
    hours = [["who", "mon"], ["Ada", "3-5pm"], ["Sam", "9-5"], ["Sam's mum", "15:00-17:00"]]
    read(tmp_path, {**SHEETS, "adults": adults, "hours": hours})
    assert case_of(tmp_path).adults["sam-okafor"].free is not None
