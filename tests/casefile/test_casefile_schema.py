"""The JSON Schema against an independent validator: no case that can be read is refused, and faults of shape are."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from genplan.casefile.schema import case_schema
from genplan.casefile.starter import TEXT
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.cli import main

ROOT = Path(__file__).parents[2]
CASES = [TEXT, Path(__file__).with_name("whole.yaml"), *sorted((ROOT / "examples").glob("*/*.yaml"))]
VALIDATOR = Draft202012Validator(case_schema())


def as_an_editor_reads(node: Node) -> Any:
    """Plain values by the core schema of YAML 1.2."""
    if isinstance(node, dict):
        return {key: as_an_editor_reads(part) for key, part in node.items()}
    if isinstance(node, list):
        return [as_an_editor_reads(part) for part in node]
    return _single(node)


def _single(leaf: Leaf) -> Any:
    if not leaf.plain:
        return leaf.text
    if leaf.text in ("", "~", "null", "Null", "NULL"):
        return None
    if leaf.text.lower() in ("true", "false"):
        return leaf.text.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", leaf.text):
        return int(leaf.text)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", leaf.text):
        return float(leaf.text)
    return leaf.text


def faults(data: bytes) -> list[str]:
    tree = read_tree("case.yaml", data)
    assert not tree.findings
    return [error.message for error in VALIDATOR.iter_errors(as_an_editor_reads(tree.root))]


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
    text = Path(__file__).with_name("whole.yaml").read_text("utf-8")
    whole = re.sub(r"^  park: .*$", "  park:\n    capacity: 2", text, count=1, flags=re.MULTILINE)
    assert old in whole
    assert faults(whole.encode()) == []
    assert faults(whole.replace(old, new, 1).encode())
