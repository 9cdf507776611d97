"""A filled sheet may have the headings that a sheet of results has."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import CaseError
from tests.fixtures.places import ROOT
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, small_case


@pytest.mark.parametrize("sign", [",", ";"])
def test_everyday_headings_are_those_of_columns(tmp_path: Path, sign: str) -> None:
    case = tmp_path / "case"
    shutil.copytree(ROOT / "examples" / "family", case)
    opened = workflow.open_case(case, SUNDAY)
    target = next(iter(opened.case.targets.values()))
    values = [dimension.values[0] for dimension in target.dimensions]
    extra = target.dimension_names[3:]
    head = ["Day", "Goal", "Type", "Who", "Where", "With", *extra, "Of", "Right", "Remark"]
    row = ["2026-11-28", target.id, "probe", *values, "5", "4", "was, tired" if sign == ";" else "tired"]
    file = tmp_path / "filled.csv"
    file.write_text(f"{sign.join(head)}\n{sign.join(row)}\n", "utf-8")
    (added,) = workflow.record_sheet(case, file, SUNDAY).results
    assert (added.target, added.correct, added.trials, added.note) == (target.id, 4, 5, row[-1])
    assert list(added.combination) == values


GERMAN = "Datum;Uhrzeit;Kind;Ziel;Wer;Wo;Womit;von;richtig;Bemerkung"


def handed_in(folder: Path, *lines: str) -> workflow.Added:
    file = folder.parent / "filled.csv"
    file.write_text("\n".join((*lines, "")), "utf-8")
    return workflow.record_sheet(folder, file, WEDNESDAY)


def test_a_german_sheet_without_a_kind_and_with_sums(tmp_path: Path) -> None:
    """`Kind` is the child here, and the English word for what was run elsewhere: its cells say which."""
    folder = small_case(tmp_path / "case")
    row = "30.11.2026;16:30;Lark Fernwhistle;Puts it on;Mum;Home;Two boots;5;4;"
    added = handed_in(folder, GERMAN, row, "Summe;;;;;;;5;4;")
    (result,) = added.results
    assert (result.kind.value, f"{result.time:%H:%M}", result.correct) == ("probe", "16:30", 4)
    told = [(f.line, f.found) for f in added.findings]
    assert (3, "a row of sums, which is not read") in told
    assert (1, "no column 'kind', so each row is read as a probe") in told


def test_a_heading_kind_above_kinds_is_the_kind(tmp_path: Path) -> None:
    folder = small_case(tmp_path / "case")
    row = "1.12.2026;;Lehreinheit;Puts it on;Mum;Home;Two boots;;;"
    (result,) = handed_in(folder, GERMAN, row).results
    assert result.kind.value == "teaching"


def test_a_row_of_results_may_have_the_word_for_sums_in_its_note(tmp_path: Path) -> None:
    folder = small_case(tmp_path / "case")
    row = "30.11.2026;;Lark Fernwhistle;Puts it on;Mum;Home;Two boots;5;4;total"
    assert len(handed_in(folder, GERMAN, row).results) == 1


def test_a_formula_that_was_never_worked_out_is_no_empty_cell(tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    folder = small_case(tmp_path / "case")
    book = openpyxl.Workbook()
    book.active.append(["date", "target", "kind", "adult", "location", "material_set", "trials", "correct"])
    book.active.append(["2026-12-01", "puts-on", "probe", "mum", "home", "boots", 5, "=2+3"])
    book.save(tmp_path / "filled.xlsx")
    with pytest.raises(CaseError) as told:
        workflow.record_sheet(folder, tmp_path / "filled.xlsx", WEDNESDAY)
    (found,) = told.value.findings
    assert (found.line, found.key, found.found) == (2, "column 8", "a formula that was never worked out")
