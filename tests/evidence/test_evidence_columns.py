"""Each column of results.csv reaches the log: another cell is another result."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.evidence.log import Result
from genplan.evidence.results import columns_of, parse_results
from tests.fixtures.evidence_case import CASE

ROW = {
    "date": "2026-11-24", "time": "16:10", "target": "asks", "kind": "probe", "adult": "mum", "location": "home",
    "material_set": "coats", "trials": "5", "correct": "3", "prompted": "1", "observer": "aunt",
    "observer_correct": "3", "note": "one", "wording": "Zip it up", "marks": "", "observer_marks": "", "steps_kept": "",
}  # fmt: skip
OTHER = {
    "date": "2026-11-25", "time": "16:20", "target": "zips", "kind": "maintenance", "adult": "dad",
    "location": "park", "material_set": "jackets", "trials": "6", "correct": "4", "prompted": "2",
    "observer": "grandad", "observer_correct": "2", "note": "two", "wording": "Do up your coat",
    "marks": "++p+-", "observer_marks": "+++--", "steps_kept": "7/8",
}  # fmt: skip


def read(row: dict[str, str]) -> Result:
    text = f"{','.join(row)}\n{','.join(row.values())}\n"
    steps = tuple(f"step {number}" for number in range(1, 9))
    case = replace(CASE, targets={id_: replace(t, steps=steps) for id_, t in CASE.targets.items()})
    _, log, findings = parse_results(text.encode(), case)
    assert findings == ()
    return log.results[0]


def test_the_columns_are_these() -> None:
    assert set(ROW) == set(OTHER) == set(columns_of(CASE))


@pytest.mark.parametrize("column", OTHER)
def test_another_cell_is_another_result(column: str) -> None:
    row, other = dict(ROW), ROW | {column: OTHER[column]}
    if column == "target":  # the other target has no extra dimension
        other["wording"] = ""
    assert read(other) != read(row)
