"""Of each thing of a child with an allergy it has to be said what is in it; of what is no food in one answer."""

from __future__ import annotations

import pytest

from genplan.start.answers import Answers
from genplan.start.problems import problem_of
from genplan.start.screens import group_of
from genplan.start.what_is_eaten import looks_like_food, said_at_once, with_nothing_to_eat
from tests.fixtures.start_answers import HOURS, TODAY, answered


def _two_children(of_wren: str, of_ben: str = "Jacket", **said_of: str) -> Answers:
    """Wren must not have peanuts, Ben may have all."""
    names = (*of_wren.split(", "), *of_ben.split(", "))
    return answered(
        children=[
            {"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "peanut"},
            {"name": "Ben", "born": "2020-04", "hours": HOURS},
        ],
        things=[{"name": n, "cautions": "none", "holds": said_of.get(n, "")} for n in names],
        skills=[
            {"child": "c1", "name": "Asks for more", "correct": "Says more", "things": of_wren},
            {"child": "c2", "name": "Zips up", "correct": "Closed", "things": of_ben},
        ],
    )


def _asked(answers: Answers) -> list[str]:
    question = group_of("things").question("holds")
    things = answers.entries("things")
    return [t.get("name") for t in things if problem_of(question, t, answers, TODAY, "things")]


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ({}, ["Snickers", "Cup"]),
        ({"Snickers": "-looked:peanut"}, ["Cup"]),
        ({"Snickers": "peanut", "Cup": "-looked:peanut"}, []),
        ({"Snickers": "-looked:egg", "Cup": "-looked:peanut"}, ["Snickers"]),
    ],
)
def test_a_thing_of_a_child_with_an_allergy_is_not_left_open(said: dict[str, str], asked: list[str]) -> None:
    """Whatever it is called: nobody knows all brands. Of another child's things nothing has to be said."""
    assert _asked(_two_children("Snickers, Cup", **said)) == asked


@pytest.mark.parametrize(
    ("things", "at_once"),
    [
        ("Cup, Drum", ["Cup", "Drum"]),
        ("Cup, Banana", []),  # what stands beside food most likely is food
        ("Snickers, Banane", []),
        ("Hanuta, Apfelschnitze", []),
        ("Cup, Pancakes", []),
    ],
)
def test_one_answer_for_many_names_them_and_none_that_looks_like_food(
    things: str, at_once: list[str]
) -> None:
    answers = _two_children(things)
    assert [t.get("name") for t in said_at_once(answers)] == at_once
    every = [t.key for t in answers.entries("things")]
    assert _asked(with_nothing_to_eat(answers, every)) == ([] if at_once else things.split(", "))


def test_what_was_not_named_in_the_answer_stays_open() -> None:
    """A thing that came meanwhile from elsewhere."""
    answers = with_nothing_to_eat(_two_children("Cup, Drum"), ["m1"])
    assert [t.get("holds") for t in answers.entries("things")] == ["-looked:peanut", "", ""]
    assert _asked(answers) == ["Drum"]


@pytest.mark.parametrize(
    ("text", "is_food"),
    [
        ("Isst mit dem Löffel", True),
        ("bittet um etwas zu essen", True),
        ("Apfelschnitze", True),
        ("Eats with a spoon", True),
        ("rote Jacke", False),
        ("Turnschuhe", False),
        ("Wäscheklammern", False),
        ("Zips up a jacket", False),
    ],
)
def test_food_is_known_by_a_word_in_either_language(text: str, is_food: bool) -> None:
    assert looks_like_food(text) is is_food
