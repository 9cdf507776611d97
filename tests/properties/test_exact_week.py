"""What is told as proven best is best: of random weeks that are too many to try, another solver finds none better.

The other solver's model has none of the places where the planner looks at fewer possibilities; they are listed in
DEVELOPERS.md.
"""

from __future__ import annotations

from collections import Counter

import pytest

from genplan.audit import audit
from tests.fixtures.day_cases import SHAPES, day_case
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import plan_one
from tests.fixtures.search_settings import search_with

pytest.importorskip("highspy")

SEEDS = 9


@pytest.mark.parametrize("name", SHAPES)
def test_what_is_proven_is_best(name: str, nightly: bool) -> None:
    found: Counter[str] = Counter()
    for seed in seeds(SEEDS, nightly):
        found += compared(name, seed)
    assert found["compared"] >= len(seeds(SEEDS, nightly)) // 2
    assert found["planned"] >= found["compared"] // 2


FEWER: dict[str, tuple[str, dict[str, int], str]] = {
    "sittings of an opening": ("solver.meetings", {"most_probes": 1}, "a long day"),
    "sittings of each of two": ("solver.meetings", {"most_probes": 12}, "two children"),
    "choices": ("candidate_pruning", {"prune_above": 1, "kept_a_meeting": 1}, "windows"),
    "choices, with dates": ("candidate_pruning", {"prune_above": 1, "kept_a_meeting": 1}, "wishes"),
    "choices for two": ("candidate_pruning", {"prune_above": 1, "kept_a_meeting": 1}, "two children"),
    "weeks of both together": ("caseload", {"joint_variables": 0}, "two children"),
    "weeks of both, with dates": ("caseload", {"joint_variables": 0}, "two children, much"),
}


@pytest.mark.parametrize("what", FEWER)
def test_what_is_proven_of_fewer_is_true_of_all(
    monkeypatch: pytest.MonkeyPatch, what: str, nightly: bool
) -> None:
    """Where the planner looks at fewer possibilities than there are, its bounds hold all the same, and what it calls
    proven is. In some case it has to say that it does not know."""
    module, settings, name = FEWER[what]
    search_with(monkeypatch, module, **settings)
    found: Counter[str] = Counter()
    for seed in seeds(SEEDS, nightly):
        found += compared(name, seed)
    assert found["compared"] >= len(seeds(SEEDS, nightly)) // 2
    assert found["unproven"] or not nightly


def compared(name: str, seed: int) -> Counter[str]:
    """Holds each stage of the planner's against the other solver's."""
    from tests.fixtures.exact_week import MANY, ExactWeek, held_against

    given = day_case(name, seed)
    exact = ExactWeek(given)
    if len(exact.sittings) > MANY:
        return Counter()
    plan = plan_one(given.case, given.log, now=given.now)
    assert audit(given.case, given.log, plan, {}) == ()
    unproven = held_against(plan, exact, f"{name} {seed}").unproven
    return Counter(compared=1, planned=bool(plan.sittings), unproven=unproven is not None)
