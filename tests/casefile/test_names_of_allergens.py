"""A thing whose name says what a child must not have, and that is not said to hold it, is asked about."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.casefile.allergen_words import named_in
from genplan.start.answers import Answers, Entry
from genplan.start.reading import problem_of
from genplan.start.screens import group_of
from tests.fixtures.places import EXAMPLES


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Egg sandwich, cut up", {"egg"}),
        ("Pancakes with eggs", {"egg"}),
        ("Milchreis", {"milk"}),
        ("Rühreier", {"egg"}),
        ("Peanut puffs", {"peanut"}),
        ("cheese and crackers", {"milk"}),
        ("Leggings", set()),
        ("Veggie sticks", set()),
        ("Dough of rice flour", set()),
        ("Coconut milk", set()),
        ("Red coat with zip", set()),
        ("Five-minute timer", set()),
    ],
)
def test_a_name_says_what_it_says(name: str, says: set[str]) -> None:
    assert set(named_in(name)) == says


@pytest.mark.parametrize(("holds", "refused"), [("", True), ("egg", False)])
def test_a_thing_that_is_called_an_egg_is_not_said_to_hold_none(holds: str, refused: bool) -> None:
    thing = Entry("m1", {"name": "Egg sandwich", "holds": holds})
    child = Entry("c1", {"name": "Ada", "allergies": "eggs"})
    answers = Answers().with_entries("children", [child]).with_entries("things", [thing])
    question = group_of("things").question("holds")
    sentence = problem_of(question, thing, answers, date(2026, 11, 28), "things")
    assert ("The name says egg" in sentence) is refused


def test_check_warns_of_it_in_a_written_case(tmp_path: Path) -> None:
    """The child of the example must have no egg; its soap is called an egg now."""
    case = Path(shutil.copytree(EXAMPLES / "family", tmp_path / "case"))
    known = load(case).case
    assert known is not None
    assert known.learners["ines"].allergens == {"egg"}
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(
        text.replace(known.material_sets["bar-soap"].name, "Soap like a boiled egg"), "utf-8"
    )
    (warning,) = load(case).findings
    assert warning.key == "material_sets.bar-soap"
    assert "'Soap like a boiled egg'" in warning.found
