"""What was taught without an extra dimension is no combination that maintenance could repeat, and that is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.evidence.results import COLUMNS
from genplan.findings import Severity
from tests.fixtures.small_case import SUNDAY, small_case

VARIED = "            also_vary: {company: [alone, a friend]},"
PLACE = "            taught: [{adult: mum, location: home, material_set: boots"


def case_of(folder: Path, company: str = "", more: str = "maintenance_days: [7]") -> Path:
    case = small_case(folder)
    text = (case / "case.yaml").read_text(encoding="utf-8")
    assert PLACE in text
    text = text.replace(PLACE, f"{VARIED} {more},\n{PLACE}{company}")
    (case / "case.yaml").write_text(text, encoding="utf-8")
    return case


def told(case: Path) -> list[str]:
    found = workflow.check(case, SUNDAY)
    assert all(f.severity is Severity.WARNING for f in found)
    assert set(workflow.open_case(case, SUNDAY).findings) == set(found)
    return [f.sentence() for f in found]


def test_it_is_said_with_file_line_and_what_to_do(tmp_path: Path) -> None:
    case = case_of(tmp_path / "case")
    lines = (case / "case.yaml").read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(lines, 1) if text.startswith(PLACE))
    assert told(case) == [
        f"case.yaml:{line}: targets.puts-on.taught.1: no 'company', so until a probe is met there is nothing to repeat"
        " for maintenance. Add what was used in teaching, such as 'company: alone'."
    ]


@pytest.mark.parametrize(
    ("company", "more"), [(", company: alone", "maintenance_days: [7]"), ("", "maintenance_days: []")]
)
def test_where_something_can_be_repeated_or_nothing_falls_due_it_is_not(
    tmp_path: Path, company: str, more: str
) -> None:
    assert told(case_of(tmp_path / "case", company, more)) == []


@pytest.mark.parametrize(
    ("kind", "counts", "said"), [("probe", "5,5", 0), ("probe", "5,1", 1), ("teaching", ",", 1)]
)
def test_a_probe_that_was_met_is_enough_and_a_lesson_is_not(
    tmp_path: Path, kind: str, counts: str, said: int
) -> None:
    case = case_of(tmp_path / "case")
    row = f"2026-11-20,,puts-on,{kind},mum,home,boots,{counts},,,,,a friend"
    (case / "results.csv").write_text(f"{','.join(COLUMNS)},company\n{row}\n", encoding="utf-8")
    assert sum("nothing to repeat" in sentence for sentence in told(case)) == said
