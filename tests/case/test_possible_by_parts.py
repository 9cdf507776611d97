"""What is possible is found from two values at a time, and is what all rules say of the whole combination."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Case
from genplan.case.possible import Rule, is_any_possible, obstacle, possible_combinations
from tests.fixtures.random_cases import CASELOAD, random_case
from tests.fixtures.wild_weeks import wild_week

ON = date(2026, 11, 30)
SEEDS = range(12)


def barred(seed: int) -> Case:
    """A case in which each rule stands against something."""
    case = random_case(seed, **{**CASELOAD, "learners": 4, "targets": 3, "mouths": 0.5})
    oddities: list[dict[str, object]] = [{"allergens": frozenset({"egg"})}, {"min_age_months": 1000}, {}, {}]
    return replace(
        case,
        learners={i: replace(x, allergens=frozenset({"egg"})) for i, x in case.learners.items()},
        adults={
            i: replace(adult, learners=frozenset(list(case.learners)[n % 2 :]))
            for n, (i, adult) in enumerate(case.adults.items())
        },
        locations={
            i: replace(place, learners=frozenset(list(case.learners)[n % 2 :]))
            for n, (i, place) in enumerate(case.locations.items())
        },
        material_sets={
            i: replace(thing, **oddities[n % 4]) for n, (i, thing) in enumerate(case.material_sets.items())
        },
    )


def cases(seed: int) -> Iterator[Case]:
    yield wild_week(seed).case
    yield barred(seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_two_values_at_a_time_say_the_same_as_the_whole(seed: int) -> None:
    for case in cases(seed):
        for target in case.targets.values():
            possible = [c for c in target.combinations() if obstacle(case, target, c, ON) is None]
            assert [*possible_combinations(case, target, ON)] == possible
            assert is_any_possible(case, target, ON) is bool(possible)


def test_each_rule_strikes_somewhere_in_these_cases() -> None:
    """So that none which the quick answers forget goes unnoticed above."""
    struck = {
        one.rule
        for case in map(barred, SEEDS[:6])
        for target in case.targets.values()
        for combination in target.combinations()
        if (one := obstacle(case, target, combination, ON))
    }
    assert struck == set(Rule) - {Rule.NOT_VARIED}
