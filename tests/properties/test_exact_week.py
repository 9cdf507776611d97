"""What is told as proven best is best: of random weeks that are too many to try, another solver finds none better.

The other solver's model has none of the places where the planner looks at fewer possibilities; they are listed in
DEVELOPERS.md.
"""

from __future__ import annotations

from collections import Counter
from types import ModuleType

import pytest

from genplan.audit import audit
from genplan.plan import StageStatus
from genplan.planning import candidate_pruning, caseload
from genplan.planning.solver import variables
from tests.fixtures.day_cases import SHAPES, day_case
from tests.fixtures.planning_cases import plan_one

pytest.importorskip("highspy")

SEEDS = 6


@pytest.mark.parametrize("name", SHAPES)
def test_what_is_proven_is_best(name: str) -> None:
    found: Counter[str] = Counter()
    for seed in range(SEEDS):
        found += compared(name, seed)
    assert found["compared"] >= SEEDS // 2
    assert found["planned"] >= found["compared"] // 2


FEWER: dict[str, tuple[ModuleType, dict[str, int], str]] = {
    "sittings of an opening": (variables, {"MOST_PROBES": 1}, "a long day"),
    "sittings of each of two": (variables, {"MOST_PROBES": 12}, "two children"),
    "choices": (candidate_pruning, {"PRUNE_ABOVE": 1, "KEPT_A_MEETING": 1}, "windows"),
    "choices, with dates": (candidate_pruning, {"PRUNE_ABOVE": 1, "KEPT_A_MEETING": 1}, "wishes"),
    "choices for two": (candidate_pruning, {"PRUNE_ABOVE": 1, "KEPT_A_MEETING": 1}, "two children"),
    "weeks of both together": (caseload, {"JOINT_VARIABLES": 0}, "two children"),
    "weeks of both, with dates": (caseload, {"JOINT_VARIABLES": 0}, "two children, much"),
}


@pytest.mark.parametrize("what", FEWER)
def test_what_is_proven_of_fewer_is_true_of_all(monkeypatch: pytest.MonkeyPatch, what: str) -> None:
    """Where the planner looks at fewer possibilities than there are, its bounds hold all the same, and what it calls
    proven is. In some case it has to say that it does not know."""
    module, constants, name = FEWER[what]
    for constant, value in constants.items():
        monkeypatch.setattr(module, constant, value)
    found: Counter[str] = Counter()
    for seed in range(SEEDS):
        found += compared(name, seed)
    assert found["compared"] >= SEEDS // 2
    assert found["unproven"]


def compared(name: str, seed: int) -> Counter[str]:
    """Holds each stage of the planner's against the other solver's, in their order. From the first that the planner
    does not call proven the weeks that it looks at are more than the best ones: then it tells a bound of these."""
    from tests.fixtures.exact_week import MANY, ExactWeek

    given = day_case(name, seed)
    exact = ExactWeek(given)
    if len(exact.sittings) > MANY:
        return Counter()
    plan = plan_one(given.case, given.log, now=given.now)
    assert audit(given.case, given.log, plan, {}) == ()
    unproven = False
    for told, best in zip(plan.objectives, exact.best(), strict=True):
        which = f"{name} {seed}: {told.name}"
        assert told.name == best.name
        unproven = unproven or told.status is not StageStatus.OPTIMAL
        if unproven:
            beyond = best.value - told.bound if told.sense == "most" else told.bound - best.value
            assert beyond < 1e-6, which
        else:
            assert (told.value, told.bound) == (pytest.approx(best.value), pytest.approx(best.value)), which
    return Counter(compared=1, planned=bool(plan.sittings), unproven=unproven)
