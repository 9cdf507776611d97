"""The three CSV files, read back with the csv module, not with the library that wrote them."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import genplan
from genplan.case.targets import TargetState
from genplan.evidence.formula_cells import escape_formula
from genplan.plan import Plan, Probe, ProbeKind
from genplan.report.frames import as_frame
from genplan.report.tables import (
    Table,
    coverage_table,
    csv_bytes,
    extra_dimensions,
    matrix_table,
    plan_table,
)
from tests.fixtures.planning_cases import plan_one, product_case
from tests.fixtures.tiny import GREETS, WEEK, ZIPS, sitting, tiny_case, tiny_plan, zips

HELP = Path(genplan.__file__).parent / "help"


def rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))


def test_the_plan_has_a_row_for_each_probe_and_the_columns_of_the_contract() -> None:
    head, first, second = rows(csv_bytes(plan_table(tiny_case(), tiny_plan())))
    assert ",".join(head) == (
        "week,sitting,learner,target,kind,adult,location,material_set,room,wording,start,end,trials"
    )
    assert first == [
        *(str(WEEK), "2026-w49-1", "wren-q", "zips", "new", "grandad", "park", "jackets"),
        *("", "Do up your coat", "2026-12-01T15:30:00+00:00", "2026-12-01T15:50:00+00:00", "5"),
    ]
    assert second[4:11] == [
        "maintenance",
        *("mum", "home", "cards", "hall", ""),
        "2026-12-05T09:30:00+00:00",
    ]


def test_a_sitting_of_two_probes_gives_two_rows_with_the_times_of_the_sitting() -> None:
    probes = (
        Probe(target="zips", combination=ZIPS, kind=ProbeKind.NEW, trials=5, new_tuples=6),
        Probe(target="greets", combination=GREETS, kind=ProbeKind.RETEST, trials=3, new_tuples=0),
    )
    table = as_frame(plan_table(tiny_case(), tiny_plan(sitting(probes=probes))))
    assert list(table["kind"]) == ["new", "retest"]
    assert table["start"].nunique() == table["sitting"].nunique() == 1


def test_the_matrix_says_what_is_planned_and_why_not() -> None:
    plan = tiny_plan()
    head, planned, met, barred = rows(csv_bytes(matrix_table(tiny_case(), plan.matrix, plan.planned())))
    assert ",".join(head) == (
        "learner,target,adult,location,material_set,room,wording,status,last_date,correct,trials,planned,why"
    )
    assert planned[7:] == ["untested", "", "", "", "2026-w49-1", ""]
    assert met[7:] == ["met", "2026-11-20", "5", "5", "", ""]
    assert barred[5:] == ["'=1+1", "", "not possible", "", "", "", "", "the case says never: =1+1"]


def test_the_coverage_has_a_row_a_target() -> None:
    head, row = rows(csv_bytes(coverage_table(tiny_case(), tiny_plan())))
    assert ",".join(head) == (
        "learner,target,possible,shown_before,tested_before,met_before,new,open,fewest_further,fewest_proven"
        ",met_untaught_before"
    )
    assert row == ["wren-q", "zips", "13", "3", "3", "2", "6", "4", "2", "1", "1"]


def test_an_empty_plan_gives_tables_with_columns_and_no_rows() -> None:
    plan = Plan.of_sittings(WEEK, tiny_plan().now, ())
    tables = (
        plan_table(tiny_case(), plan),
        matrix_table(tiny_case(), (), {}),
        coverage_table(tiny_case(), plan),
    )
    assert [len(rows(csv_bytes(t))) for t in tables] == [1, 1, 1]


def test_extra_columns_are_those_of_all_targets_and_none_without_any() -> None:
    assert extra_dimensions(tiny_case()) == ("room", "wording")
    plain = zips(dimensions=zips().dimensions[:3])
    assert extra_dimensions(tiny_case(zips=plain)) == ()


def test_lines_end_in_lf_in_utf_8_without_a_mark() -> None:
    data = csv_bytes(Table.of(["why"], [["Zoë 🦊"], ["a, b"]]))
    assert data == 'why\nZoë 🦊\n"a, b"\n'.encode()


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "'=1"])
def test_what_a_spreadsheet_would_run_is_defused_in_cells_and_headings(text: str) -> None:
    head, body = rows(csv_bytes(Table.of([text], [[text]])))
    assert head == body == ["'" + text.replace("\r", " ")]


@pytest.mark.parametrize("text", ["1+1", "a=b", "'tis", " 4/5", "zip-it"])
def test_other_texts_are_left_alone(text: str) -> None:
    assert rows(csv_bytes(Table.of([text], [[text]]))) == [[text], [text]]


def test_numbers_are_never_defused() -> None:
    assert csv_bytes(Table.of(["a"], [[-1]])) == b"a\n-1\n"


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_every_text_comes_back_whole_but_for_a_carriage_return(text: str) -> None:
    expected = escape_formula(text).replace("\r", " ")
    assert rows(csv_bytes(Table.of(["a", "b"], [[text, "end"]])))[1] == [expected, "end"]


@given(st.lists(st.tuples(st.text(st.characters(exclude_categories=["Cs"])), st.none() | st.integers(0, 9))))
def test_a_frame_of_a_table_is_written_with_the_same_bytes(cells: list[tuple[str, int | None]]) -> None:
    plain = [(escape_formula(text).replace("\r", " "), number) for text, number in cells]
    by_pandas = as_frame(Table.of(["text", "number"], plain, ["number"])).to_csv(
        index=False, lineterminator="\n"
    )
    assert csv_bytes(Table.of(["text", "number"], cells, ["number"])) == by_pandas.encode()


def test_what_is_still_being_taught_has_rows_in_the_plan_alone() -> None:
    """As the reference says of the three files."""
    case = product_case((1, 1, 2))
    (target,) = case.targets.values()
    names, values = target.dimension_names, target.combinations()[0]
    pattern = dict(zip(names, values, strict=True))
    taught = replace(target, id="zeal", state=TargetState.TEACHING, teaching_per_week=2, taught=(pattern,))
    case = replace(
        case,
        targets={"skill": target, "zeal": taught},
        policy=replace(case.policy, plan_teaching=True),
    )
    plan = plan_one(case)
    planned, matrix, coverage = (
        as_frame(t)
        for t in (
            plan_table(case, plan),
            matrix_table(case, plan.matrix, plan.planned()),
            coverage_table(case, plan),
        )
    )
    assert set(planned["target"]) == {"skill", "zeal"}
    assert set(matrix["target"]) == set(coverage["target"]) == {"skill"}
    said = (HELP / "outputs.md").read_text("utf-8")
    assert "A row for each combination of each target in `state: mastered`" in said
    assert "A row for each target in `state: mastered`" in said
