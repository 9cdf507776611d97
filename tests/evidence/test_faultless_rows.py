"""Rows that say what others said: read once, and as if each stood alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import pytest

from genplan.evidence import delimited_text, results
from genplan.evidence.log import Result
from genplan.evidence.results import parse_results
from genplan.findings import Finding
from tests.fixtures.evidence_case import CASE, HEADER

ROWS = (
    "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,ann,4,cheerful",
    "2026-11-20,16:30,zips,teaching,mum,home,coats,,,,,,",
    "2026-11-20,later,zips,probe,mum,home,coats,5,4,,,,",
    "20/11/2026,,zips,not run,mum,home,coats,,,,,,ill",
    "3/4/2026,16:30,zips,probe,mum,home,coats,5,4,,,,",
    "2026-11-20,16:30,zips,probe,mum,nowhere,coats,5,4,,,,",
    "2026-11-20,16:30,zip,probe,mum,home,coats,5,4,,,,",
    "2026-11-21,16:30,zips,prob,mum,home,coats,5,4,,,,",
    "2026-11-21,16:30,zips,not run,mum,home,coats,5,4,,,,",
    "2026-11-21,16:30,zips,probe,mum,home,coats,5,6,,,,",
)


def read(rows: Sequence[str]) -> tuple[tuple[Result, ...], list[tuple[int, str]]]:
    _, log, found = parse_results("\n".join((HEADER, *rows, "")).encode(), CASE)
    return log.results, [(f.line, f.words) for f in found if not about_others(f)]


def about_others(finding: Finding) -> bool:
    """What is said of a row because of another one, or of the column."""
    return finding.key == "time" or any(w in finding.words for w in ("the same as", "year first"))


@pytest.mark.parametrize(("first", "second"), list(product(ROWS, ROWS)))
def test_a_row_is_read_behind_another_as_by_itself(first: str, second: str) -> None:
    one, of_one = read([first])
    two, of_two = read([second])
    both, of_both = read([first, second])
    assert {r.line: r for r in both} == {r.line: r for r in (*one, *(replace(r, line=3) for r in two))}
    assert of_both == [*of_one, *((3, words) for _, words in of_two)]


def test_only_rows_with_a_fault_are_read_by_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    alone = results._RowReader.result
    read_alone = []
    monkeypatch.setattr(
        results._RowReader, "result", lambda self, row: read_alone.append(row.line) or alone(self, row)
    )
    places = (
        "mum,home,coats",
        "dad,park,jackets",
        "dad,nowhere,coats",
        "mum,park,jackets",
    )
    found, wrong = read([f"2026-11-20,16:30,zips,probe,{place},5,4,,,," for place in places])
    assert [",".join(row.combination) for row in found] == [places[0], places[1], places[3]]
    assert (read_alone, [line for line, _ in wrong]) == ([4], [4])


def test_rows_block_by_block_are_the_rows_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cells of several lines, empty lines and rows of separators alone, at the end of a block and elsewhere."""
    cells = "zips,probe,mum,home,coats,5,4,1,ann,4"
    odd = [f'2026-11-20,16:30,{cells},"two\nlines"', "", "," * 12, "  "]
    plain = [f"2026-11-{day},16:30,{cells},note {day}" for day in range(10, 29)]
    text = "\n".join((HEADER, *odd, *plain, *odd[::-1], *plain, *odd)) + "\n"
    told = {}
    for block in (1, 2, 3, 7, 2048):
        monkeypatch.setattr(delimited_text, "BLOCK", block)
        sheet, found = delimited_text.read_sheet("x.csv", text.encode(), HEADER.split(","), ("date",))
        told[block] = sheet, found
    monkeypatch.setattr(delimited_text, "_faultless", lambda *_: None)
    sheet, found = delimited_text.read_sheet("x.csv", text.encode(), HEADER.split(","), ("date",))
    assert all(one == (sheet, found) for one in told.values())
    assert len(sheet.lines) == 41
    assert sheet.lines[:2] == [2, 7]  # the first row has two lines
    assert sheet.column("note")[:2] == ["two\nlines", "note 10"]


def test_a_cell_that_was_right_beside_another_target_is_looked_at_again() -> None:
    told = (
        "asks,probe,mum,home,coats,Zip it up",
        "zips,probe,mum,home,coats,",
        "zips,probe,mum,home,coats,Zip it up",
    )
    rows = [f"2026-11-20,{row},5,4" for row in told]
    header = "date,target,kind,adult,location,material_set,wording,trials,correct"
    _, log, found = parse_results("\n".join((header, *rows, "")).encode(), CASE)
    assert [r.line for r in log.results] == [2, 3]
    assert [(f.line, f.key) for f in found] == [(4, "wording")]
