"""How often a week a skill is taught that is still being learned: asked, and with a good answer already."""

from __future__ import annotations

import pytest

from genplan.start.case_text import case_text
from genplan.start.screens import group_of
from tests.fixtures.start_answers import answered


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ({"state": "teaching"}, "teaching_per_week: 3"),
        ({"state": "teaching", "teachings": "2"}, "teaching_per_week: 2"),
        ({"teachings": "2"}, ""),
        ({}, ""),
    ],
)
def test_how_often_it_is_taught_stands_in_the_case(said: dict[str, str], written: str) -> None:
    answers = answered(skills=[{"name": "Ties", "correct": "A bow", **said}])
    text = case_text(answers, "abcdefghjkmn")
    assert ("teaching_per_week" in text) is bool(written)
    assert written in text
    question = group_of("skills").question("teachings")
    assert question.can_wait(answers)
    assert question.otherwise(answers) == "3"
