"""The random cases are what they claim, and two independent counts agree on them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from genplan.audit.history import past_of
from genplan.audit.possible import months_old
from genplan.case import Case
from genplan.casefile import load
from genplan.coverage.tally import tally
from genplan.coverage.tuples import Tuple
from genplan.evidence.log import Log
from genplan.evidence.results import read_results
from genplan.findings import Severity
from tests.fixtures.random_cases import CASELOAD, FAMILY, NOW, document, random_case, random_log, write_case

SIZES = {
    "tiny": {},
    "family": FAMILY,
    "mouths": {**FAMILY, "oddity": 0.8, "mouths": 0.7},
    "caseload": {**CASELOAD, "learners": 3},
}


def a_case(seed: int, size: str) -> tuple[Case, Log]:
    case = random_case(seed, **SIZES[size])
    return case, random_log(case, seed)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", range(6))
def test_a_written_folder_loads_as_the_case_that_was_written(tmp_path: Path, seed: int, size: str) -> None:
    case, log = a_case(seed, size)
    loaded = load(write_case(case, tmp_path / "case", log))
    assert [f.sentence() for f in loaded.findings if f.severity is Severity.ERROR] == []
    assert loaded.case == case
    read, findings = read_results(tmp_path / "case", case, NOW)
    assert read == log
    assert {f.severity for f in findings} <= {Severity.WARNING}


def test_the_same_seed_gives_the_same_case() -> None:
    assert random_case(3, **FAMILY) == random_case(3, **FAMILY)
    assert random_case(3, **FAMILY) != random_case(4, **FAMILY)
    assert random_log(random_case(3), 5) == random_log(random_case(3), 5)


def test_sizes() -> None:
    case = random_case(1, **{**CASELOAD, "learners": 12})
    assert len(case.learners) == 12
    assert len(case.targets) == 12 * 5
    assert [len(d.values) for d in case.targets["skill-007-1"].dimensions[:3]] == [6, 4, 3]
    assert sum(a.learners is None for a in case.adults.values()) == 2
    tiny = random_case(1)
    assert [len(d.values) for d in tiny.targets["skill-001-1"].dimensions[:3]] == [2, 2, 2]


def test_odd_things_turn_up() -> None:
    text = str([document(random_case(seed, **FAMILY)) for seed in range(40)])
    for word in (
        "small-ball",
        "magnet",
        "wheat",
        "egg",
        "'wording'",
        "triples",
        "paused",
        "min_age_months': 36",
    ):
        assert word in text
    mouths = [random_case(seed, **SIZES["mouths"]) for seed in range(10)]
    small = [s for case in mouths for s in case.material_sets.values() if s.may_be_small_part]
    assert small
    assert {x.mouths for case in mouths for x in case.learners.values()} == {True, False}
    kinds = {r.kind.value for seed in range(10) for r in random_log(random_case(seed), seed).results}
    assert kinds == {"probe", "maintenance", "teaching", "not run"}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", range(10))
def test_the_auditor_and_the_tally_agree(seed: int, size: str) -> None:
    """They share no code: what is possible, every standing, and each set of tuples."""
    case, log = a_case(seed, size)
    today = NOW.date()
    for target in case.targets.values():
        count = tally(case, target, log, today)
        past = past_of(case, target, log.of_target(target.id), today)

        def numbered(
            tuples: frozenset[Tuple], names: tuple[str, ...] = target.dimension_names
        ) -> set[object]:
            return {tuple((names.index(n), v) for n, v in t) for t in tuples}

        assert past.possible_combinations == frozenset(count.possible_combinations)
        for name in ("possible", "tested", "taught", "met"):
            assert getattr(past, name) == numbered(getattr(count, name))
        for combination, known in past.known.items():
            said = count.standing(combination)
            assert (said.status.value, said.tested, said.retest_due) == (
                known.status,
                known.tested,
                known.retest_due,
            )
            assert (said.last_date, said.correct, said.trials) == (
                known.last_date,
                known.correct,
                known.trials,
            )


def test_ages_are_counted_alike() -> None:
    for seed in range(30):
        for learner in random_case(seed).learners.values():
            assert learner.born
            for born in (learner.born, replace(learner.born, day=31)):
                for month in range(1, 13):
                    for day in (1, 14, 15, 28):
                        on = NOW.date().replace(month=month, day=day)
                        assert months_old(born, on) == born.age_months(on)
