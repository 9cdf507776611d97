"""The ids in the examples of help pages are those of the first example case."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CASE = Path(__file__).parents[2] / "examples" / "family"
COMMANDS = Path(__file__).parents[2] / "genplan" / "cli"
OPTIONS = {
    "--target": "targets",
    "--adult": "adults",
    "--away": "adults",
    "--extra-hour": "adults",
    "--location": "locations",
    "--closed": "locations",
    "--material-set": "material_sets",
    "--missing-set": "material_sets",
    "--learner": "learners",
}


@pytest.mark.parametrize("option", OPTIONS)
def test_ids_are_those_of_the_example(option: str) -> None:
    pages = "".join(p.read_text("utf-8") for p in sorted(COMMANDS.glob("*.py")))
    text = "".join(re.findall(r"^examples:\n((?:  .*\n)+)", pages, re.M))
    case = (CASE / "case.yaml").read_text("utf-8")
    named = set(re.findall(rf"{option} ([a-z][a-z-]*)", text))
    assert named, option
    assert [n for n in named if not re.search(rf"^  {n}:", case, re.M)] == []
