"""A stand-in that the real workflow has left behind is noticed: a test with it would prove nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.fixtures.fake_workflow import FakeWorkflow
from tests.fixtures.stand_in import answer, held_to_the_workflow


def test_a_verb_that_there_is_not_is_refused() -> None:
    with pytest.raises(AttributeError, match="plans"):

        @held_to_the_workflow
        class _Strange:
            def plans(self, *asked: Any) -> None:
                """The workflow has `plan`."""


def test_a_call_is_one_that_the_real_verb_takes() -> None:
    @held_to_the_workflow
    class Lenient:
        def plan(self, *asked: Any, **named: Any) -> int:
            return len(asked) + len(named)

    assert Lenient().plan(Path("c"), None, None, None, print) == 5
    assert Lenient().plan(Path("c"), None, None, out=None, progress=print) == 5
    for asked, named in (
        ((Path("c"), None, None, None), {}),
        ((Path("c"), None, None, None, print, None, 7), {}),
        ((Path("c"), None, None, None), {"progres": print}),
    ):
        with pytest.raises(TypeError):
            Lenient().plan(*asked, **named)


def test_the_workflow_of_the_command_line_tests_is_held_so() -> None:
    with pytest.raises(TypeError):
        FakeWorkflow().matrix(Path("c"))  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        FakeWorkflow().RecordRequest("zips", "mum", "home", "coats", trails=5)


def test_an_answer_has_no_field_of_its_own() -> None:
    assert answer("PlanOutcome", findings=()).findings == ()
    with pytest.raises(AttributeError, match="no PlanOutcome has finding"):
        answer("PlanOutcome", finding=())
