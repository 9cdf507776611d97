"""What a child is allergic to, as it is typed: a known name, or one of the case's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.case.safety import ALLERGENS
from genplan.casefile import load
from genplan.casefile.allergen_words import WORDS
from genplan.casefile.diagnostics import InvalidValue
from genplan.start.allergies import read_allergies
from genplan.start.case_text import case_text
from genplan.start.reading import problems
from genplan.start.screens import SCREENS
from tests.fixtures.start_answers import HOURS, TODAY, answered


@pytest.mark.parametrize(
    "typed", ["strawberry", "Strawberries, egg", "kiwi and 12", "null", "è", "yes; other"]
)
def test_an_allergy_that_is_not_known_is_one_of_the_cases_own(tmp_path: Path, typed: str) -> None:
    answers = answered(children=[{"name": "Wren", "hours": HOURS, "allergies": typed}])
    assert [p for s in SCREENS for p in problems(s, answers, TODAY)] == []
    text = case_text(answers, "abcdefghjkmn")
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    loaded = load(tmp_path)
    assert loaded.case is not None, [f.sentence() for f in loaded.findings]
    names = loaded.case.learners["wren"].allergens
    assert names == set(read_allergies(typed))
    assert names - ALLERGENS
    assert f"other_allergens: [{', '.join(n for n in read_allergies(typed) if n not in ALLERGENS)}]" in text


@pytest.mark.parametrize(
    ("typed", "known"), [("almond", "nuts"), ("Walnuts", "nuts"), ("prawn", "crustaceans")]
)
def test_one_or_many_of_a_known_kind_are_that_kind(typed: str, known: str) -> None:
    assert read_allergies(typed) == (known,)


@pytest.mark.parametrize(
    ("typed", "known"),
    [
        ("Erdnüsse, Ei", ("peanut", "egg")),
        ("Milch und Nüsse", ("milk", "nuts")),
        ("keine", ()),
        ("Weizen", ("wheat",)),
    ],
)
def test_a_known_allergy_is_known_in_every_language(typed: str, known: tuple[str, ...]) -> None:
    """An egg is an egg whatever it is called: a thing that holds one is never planned for a child that must not."""
    assert read_allergies(typed) == known


def test_the_words_for_allergies_are_of_those_that_are_known() -> None:
    assert WORDS.keys() == ALLERGENS


def test_a_word_of_two_allergies_is_asked_about() -> None:
    with pytest.raises(InvalidValue) as asked:
        read_allergies("Schalentiere")
    assert "crustaceans" in asked.value.hint
    assert "molluscs" in asked.value.hint
