"""The simulation of the order: fair to both, its weeks within its rules, its figures by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import pytest

from genplan.plan import ProbeKind
from tests.benchmarks.teaching_order import (
    DESIGN,
    FIRST_TAUGHT,
    MINUTES,
    PAIRS,
    PROBE_MINUTES,
    SHOWS,
    SKILLS,
    TEACHING_MINUTES,
    WAYS,
    Cell,
    Child,
    Course,
    Planned,
    Records,
    Sittings,
    course,
)


def lived(
    seed: int, way: str, teaching_first: bool, sittings: int = 4
) -> list[tuple[Sittings, Sequence[Planned]]]:
    """All weeks of one course."""
    weeks: list[tuple[Sittings, Sequence[Planned]]] = []

    def watched(records: Records, of_week: Sittings, first: bool) -> Sequence[Planned]:
        planned = WAYS[way](records, of_week, first)
        weeks.append((of_week, planned))
        return planned

    course(Child(seed, 0.5, 0.0), sittings, teaching_first, watched)
    return weeks


def test_the_design_shows_every_pair_in_the_fewest_probes() -> None:
    # 4 adults x 3 places have to be seen together, and a probe shows one such pair
    assert len(DESIGN) == 12
    assert FIRST_TAUGHT in DESIGN
    assert frozenset().union(*(SHOWS[c] for c in DESIGN)) >= PAIRS


@pytest.mark.parametrize("seed", range(3))
def test_with_a_design_both_orders_run_the_same_probes(seed: int) -> None:
    counts = [
        Counter((p.skill, p.combination, p.kind) for _, week in lived(seed, "design", first) for p in week)
        for first in (True, False)
    ]
    assert counts[0] == counts[1]
    assert sum(n for (_, _, kind), n in counts[0].items() if kind is ProbeKind.NEW) == 11 * len(SKILLS)


@pytest.mark.parametrize("way", sorted(WAYS))
@pytest.mark.parametrize("teaching_first", [True, False])
def test_every_week_keeps_its_rules(way: str, teaching_first: bool) -> None:
    for sittings, week in lived(1, way, teaching_first, sittings=8):
        for index, (_, adult) in enumerate(sittings):
            there = [p for p in week if p.sitting == index]
            minutes = sum(PROBE_MINUTES if p.kind.is_probe else TEACHING_MINUTES for p in there)
            assert minutes <= MINUTES
            assert {p.combination[0] for p in there} <= {adult}
            assert len({p.combination[1] for p in there}) <= 1
        days = Counter((p.skill, sittings[p.sitting][0]) for p in week)
        assert max(days.values(), default=0) <= 1


def test_a_sure_child_is_through_when_all_is_shown() -> None:
    # 33 probes, three in a sitting, each in another skill: 11 sittings, of which the adults' turns allow 4 a week
    found = course(Child(1, 0.9999, 0.0), 4, True, WAYS["design"])
    assert found.through == found.shown == 3


def test_the_figures_of_a_cell() -> None:
    # by hand: gains 2 and 4, mean 3, standard deviation 1.414, half width 1.96 * 1.414 / 1.414
    courses = [tuple(Course(n, n, n) for n in weeks) for weeks in ((3, 5), (5, 9))]
    assert "| +3.0 (+1.0 to +5.0) |" in Cell(2, 0.5, *courses).line()
