"""A case as tables and back: the same case, the same results, and nothing to write where nothing changed."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from genplan import workflow
from genplan.case import Case
from genplan.casefile import load
from genplan.casefile.keys import CASE, SECTIONS
from genplan.casefile.patch import same
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.log import Log
from genplan.evidence.results import read_results
from genplan.tables.cells import Form, cell_of, node_of
from genplan.tables.sheets import BY_SECTION, CHANGES, IN_CASE
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import ROOT, WHOLE_CASE
from tests.fixtures.random_cases import CASELOAD, FAMILY, NOW, random_case, random_log, write_case

EXAMPLES = ("family", "school-transfer", "caseload")


def case_of(folder: Path) -> Case:
    case = load(folder).case
    assert case is not None
    return case


def results_of(folder: Path, case: Case) -> list[object]:
    log: Log = read_results(folder, case)[0]
    return [replace(row, line=0) for row in log.results]


def made_of(folder: Path, tables: Path) -> Path:
    """A case of its own out of tables; calendars lie there already."""
    fresh = tables.parent / "fresh"
    if (folder / "busy").is_dir():
        shutil.copytree(folder / "busy", fresh / "busy")
    done = workflow.read_tables(fresh, [tables], NOW, write=True)
    assert done.is_new
    return fresh


def copy_of(example: str, tmp_path: Path) -> Path:
    return shutil.copytree(ROOT / "examples" / example, tmp_path / "case")


def assert_comes_back(folder: Path, tables: Path) -> None:
    workflow.write_tables(folder, tables)
    nothing = workflow.read_tables(folder, [tables], NOW, write=True)
    assert (nothing.differences, nothing.rows, nothing.untouched) == ((), 0, 0)
    fresh, before = made_of(folder, tables), case_of(folder)
    after = case_of(fresh)
    assert replace(after, case_id="") == replace(before, case_id="")
    assert results_of(fresh, after) == results_of(folder, before)


@pytest.mark.parametrize("name", by_day_the_first(EXAMPLES))
def test_the_examples_come_back_from_files_of_csv(name: str, tmp_path: Path) -> None:
    assert_comes_back(copy_of(name, tmp_path), tmp_path / "tables")


def test_an_example_comes_back_from_a_workbook(tmp_path: Path) -> None:
    pytest.importorskip("python_calamine")
    pytest.importorskip("openpyxl")
    assert_comes_back(copy_of("school-transfer", tmp_path), tmp_path / "tables.xlsx")


def test_every_key_there_is_comes_back(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    (folder / "busy").mkdir(parents=True)
    (folder / "busy" / "grandad.ics").write_text("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    shutil.copy(WHOLE_CASE, folder / "case.yaml")
    assert_comes_back(folder, tmp_path / "tables")


@pytest.mark.parametrize("seed", by_day_the_first((1, 0)))
def test_random_cases_come_back(seed: int, tmp_path: Path) -> None:
    size = {**CASELOAD, "learners": 3} if seed % 2 else FAMILY
    case = random_case(seed, **{**size, "oddity": 0.6})
    assert_comes_back(write_case(case, tmp_path / "case", random_log(case, seed)), tmp_path / "tables")


def test_every_key_of_a_case_has_its_place() -> None:
    for section, kind in BY_SECTION.items():
        there = {c.path[0] for c in kind.columns}
        assert there == {"id", *(SECTIONS[section].keys or {})}
    elsewhere = {*SECTIONS, "format", "skills", "travel_minutes", "changes"}
    assert set(CASE) == {*IN_CASE, *elsewhere}
    assert CHANGES.columns


def test_files_keep_their_remarks_where_nothing_changed(tmp_path: Path) -> None:
    folder, tables = copy_of("school-transfer", tmp_path), tmp_path / "tables"
    workflow.write_tables(folder, tables)
    before = {p.name: p.read_text("utf-8") for p in folder.glob("*.yaml")}
    adults = (tables / "adults.csv").read_text("utf-8")
    role = "class teacher"
    assert adults.count(role) == 1
    (tables / "adults.csv").write_text(adults.replace(role, "head teacher"), "utf-8")
    workflow.read_tables(folder, [tables], NOW, write=True)
    after = {p.name: p.read_text("utf-8") for p in folder.glob("*.yaml")}
    assert after == {name: text.replace(role, "head teacher") for name, text in before.items()}
    assert "#" in before["people.yaml"]


TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cf", "Co", "Cn")), max_size=12
)
LINES = TEXTS.map(lambda t: " ".join(t.split())).filter(bool)
LEAVES = st.builds(Leaf, LINES, st.just(False))
LISTS = st.lists(LEAVES, max_size=3)
GROUPS = st.dictionaries(LINES, LEAVES, max_size=3)
NODES = {
    Form.TEXT: LEAVES,
    Form.VALUE: st.one_of(LEAVES, LISTS, GROUPS),
    Form.IDS: st.one_of(LISTS, st.just(Leaf("all", True))),
    Form.ITEMS: LISTS,
    Form.WORDS: LISTS,
    Form.GROUP: GROUPS,
    Form.GROUPS: st.lists(GROUPS, max_size=3),
}


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(list(Form)).flatmap(lambda f: st.tuples(st.just(f), NODES[f])))
def test_no_value_is_lost_in_a_cell(drawn: tuple[Form, Node]) -> None:
    form, node = drawn
    cell = cell_of(form, node)
    assert cell.strip() not in ("", "-")
    back = node_of(form, cell)
    assert same(back, node) or same(back, [node])
