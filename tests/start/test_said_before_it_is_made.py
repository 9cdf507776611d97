"""What is said of answers before a case is made of them: which field lacks a choice, who has no skill."""

from __future__ import annotations

from genplan.start.first_week import remarks
from genplan.start.reading import problems
from genplan.start.screens import SCREENS
from tests.fixtures.start_answers import HOURS, TODAY, answered


def test_a_field_without_a_choice_is_named() -> None:
    answers = answered(places=[{"name": "Home", "helpers": "-"}, {"name": "Park"}])
    (problem,) = [p for s in SCREENS for p in problems(s, answers, TODAY)]
    assert problem.sentence == "'Who goes there?' has no tick; expected one of them at least."


def test_a_child_without_a_skill_is_told() -> None:
    children = [{"name": "Ada", "hours": HOURS}, {"name": "Max", "hours": HOURS}]
    assert "Max has no skill yet, so nothing is planned for Max." in remarks(
        answered(children=children), TODAY
    )
    assert not [s for s in remarks(answered(), TODAY) if "no skill" in s]
