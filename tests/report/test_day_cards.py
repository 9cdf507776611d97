"""What is to be minded of what is brought to a sitting."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case.people import Birth
from genplan.report.day_cards import mind_what_is_brought
from genplan.report.names_and_words import Names
from tests.fixtures import builders as b


@pytest.mark.parametrize(
    ("born", "small", "told"),
    [
        (Birth(2024, 2), None, True),
        (Birth(2023, 10), None, False),
        (None, None, False),
        (Birth(2024, 2), False, False),
    ],
)
def test_that_nobody_said_whether_it_is_small_is_told_of_a_child_under_three(
    born: Birth | None, small: bool | None, told: bool
) -> None:
    case = b.a_case()
    things = {i: replace(x, small_parts=small) for i, x in case.material_sets.items()}
    children = {i: replace(x, born=born) for i, x in case.learners.items()}
    names = Names(replace(case, material_sets=things, learners=children))
    for sitting in b.the_sittings():
        assert ("Not known whether" in mind_what_is_brought(names, sitting)) is told
