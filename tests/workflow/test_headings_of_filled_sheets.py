"""A filled sheet may have the headings that a sheet of results has."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from genplan import workflow
from tests.fixtures.places import ROOT
from tests.fixtures.small_case import SUNDAY


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
