"""What is possible is found from two values at a time, and is what all rules say of the whole combination."""

from __future__ import annotations

from datetime import date

import pytest

from genplan.case import possible
from genplan.case.possible import CHECKS, Possible, obstacle
from tests.fixtures.wild_weeks import wild_week

ON = date(2026, 11, 30)


@pytest.mark.parametrize("seed", range(12))
def test_two_values_at_a_time_say_the_same_as_the_whole(seed: int) -> None:
    case = wild_week(seed).case
    for target in case.targets.values():
        found = Possible(case, target, ON)
        for combination in target.combinations():
            assert found(combination) is (obstacle(case, target, combination, ON) is None)
        assert found.among(target.combinations()) == [
            c for c in target.combinations() if obstacle(case, target, c, ON) is None
        ]


def test_each_rule_is_asked_of_one_or_two_values_or_of_never() -> None:
    of_one = (*possible._OF_ADULT, *possible._OF_LOCATION, *possible.SAFETY)
    of_two = (*possible._OF_ADULT_AND_LOCATION, *possible._OF_LOCATION_AND_SET)
    parts = (*of_one, *of_two, possible._not_ruled_out)
    assert sorted(map(id, parts)) == sorted(map(id, CHECKS))
