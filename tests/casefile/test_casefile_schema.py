"""The JSON Schema against an independent validator: no case that can be read is refused, and faults of shape are."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from genplan.casefile.schema import case_schema
from genplan.casefile.starter import TEXT
from genplan.cli import main
from tests.fixtures.editor import faults
from tests.fixtures.places import ROOT, WHOLE_CASE

CASES = [TEXT, WHOLE_CASE, *sorted((ROOT / "examples").glob("*/*.yaml"))]


def test_the_schema_is_one_and_the_command_prints_it(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    Draft202012Validator.check_schema(case_schema())
    assert main(["schema"]) == 0
    assert json.loads(capfdbinary.readouterr().out) == case_schema()


@pytest.mark.parametrize("file", CASES, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_every_case_that_there_is_agrees_with_it(file: Path) -> None:
    assert faults(file.read_bytes()) == []


def test_the_starter_points_to_the_schema_beside_it() -> None:
    assert TEXT.read_text("utf-8").splitlines()[0] == "# yaml-language-server: $schema=case.schema.json"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("    capacity: 2", "    capcity: 2"),
        ("    trials: 5", "    trials: five"),
        ("    trials: 5", "    trials: 0"),
        ("    trials: 5", '    trials: "5"'),
        ("    pass_mark: 4/5", "    pass_mark: 80%"),
        ("    cover: pairs", "    cover: twos"),
        ("    mastered_on: 2026-10-19", "    mastered_on: 19.10.2026"),
        ("    needs: 2", "    needs: 0"),
        ("    born: 2021-04", "    born: April 2021"),
        ("    learner: wren\n", ""),
        ("  wren:\n", "  Wren Smith:\n"),
        ("mon-fri: \"15:30-18:30\"", "mon-fri: \"15.30-18.30\""),
        ("mon-fri: \"15:30-18:30\"", "weekdays: \"15:30-18:30\""),
        ('"2026-12-24..2027-01-03"', '"2026-12-24 to 2027-01-03"'),
        ("small_parts: false", "small_parts: maybe"),
        ("dimensions_mm: [24, 24.5, 2]", "dimensions_mm: [24, 24.5]"),
        ("  start_every_minutes: 10", "  start_every_minutes: 7"),
        ("{missing: coats, from: 2026-12-01}", "{missing: coats}"),
        ("  observed_share: 0.2", "  observed_share: 20"),
        ("format: 1", "format: 2"),
    ],
)  # fmt: skip
def test_a_fault_of_shape_is_marked(old: str, new: str) -> None:
    text = WHOLE_CASE.read_text("utf-8")
    whole = re.sub(r"^  park: .*$", "  park:\n    capacity: 2", text, count=1, flags=re.MULTILINE)
    assert old in whole
    assert faults(whole.encode()) == []
    assert faults(whole.replace(old, new, 1).encode())
