"""Every week of hundreds of tiny cases tried: none is better than the planner's in the first objective that differs."""

from __future__ import annotations

from collections import Counter

import pytest

from genplan.audit import audit
from genplan.plan import Plan, StageStatus
from tests.fixtures.every_week import ahead
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import plan_one
from tests.fixtures.tiny_weeks import SORTS, tiny_week
from tests.fixtures.week_scores import Scores, best_of

SEEDS = 25
FEWER = {
    "wished by a day": 10,
    "two windows": 10,
    "long day": 4,
    "odd needs": 10,
    "fell through": 12,
    "shared and fell through": 8,
    "caught up": 12,
    "shared and caught up": 8,
    "looked back": 8,
    "shared and looked back": 8,
}
"""Seeds of the sorts that take longer, or differ less."""

MATTER = {
    "plain": {"new tuples", "further probes", "sittings", "loads"},
    "one skill": {"due", "new tuples", "sittings", "loads", "spread", "waiting"},
    "due": {"due", "new tuples", "sittings", "loads", "waiting"},
    "few of many": {"new tuples", "changes", "loads", "spread"},
    "more than needed": {"new tuples", "sittings", "probes", "loads"},
    "wished": {"dated", "wished", "new tuples", "sittings"},
    "wished by a day": {"dated", "wished", "new tuples"},
    "two windows": {"new tuples"},
    "long day": {"new tuples"},
    "odd needs": {"shares", "new tuples"},
    "shared": {"shares", "new tuples", "further probes", "sittings", "loads"},
    "few a week": {"dated", "wished", "shares", "sittings"},
    "shared and due": {"due", "wished", "sittings", "loads", "spread", "waiting"},
    "told": {"due", "told"},
    "shared and told": {"shares", "new tuples", "told", "sittings"},
    "begun": {"due", "people told", "otherwise", "told"},
    "written down": {"due", "people told", "otherwise", "told"},
    "shared and begun": {"people told", "told", "new tuples"},
    "shared, due and begun": {"due", "people told", "otherwise", "told"},
    "fell through": {"due", "new tuples", "fell through", "waiting"},
    "shared and fell through": {"due"},
    "caught up": {"dated", "catch up"},
    "shared and caught up": {"dated"},
    "looked back": {"loads"},
    "shared and looked back": {"shares"},
    "taught": {"due", "teaching", "waited", "new tuples"},
    "shared and taught": {"teaching", "waited", "new tuples", "shares"},
    "taught and begun": {"due", "people told", "told", "teaching"},
}
"""For each sort of case the objectives that must, in some case, tell weeks apart that are equal in all before."""


def planned(given: Given) -> Plan:
    plan = plan_one(given.case, given.log, now=given.now, kept=given.kept, lately=given.lately)
    assert audit(given.case, given.log, plan, {}, given.kept, given.lately) == ()
    return plan


@pytest.mark.parametrize("sort", SORTS)
def test_no_week_is_better(sort: str, nightly: bool) -> None:
    matters: Counter[str] = Counter()
    for seed in seeds(FEWER.get(sort, SEEDS), nightly):
        given, weeks = tiny_week(sort, seed)
        plan = planned(given)
        scores = Scores(given, weeks, plan.alone)
        stages, best = best_of(weeks, scores.order)
        which = f"{sort} {seed}"
        # the value of each stage, its bound and its name in the order: all from every week
        assert [(o.name, o.value, o.bound) for o in plan.objectives] == [
            (s.name, pytest.approx(s.value), pytest.approx(s.value)) for s in stages
        ], which
        assert {o.status for o in plan.objectives} == {StageStatus.OPTIMAL}, which
        assert ahead(plan) in best, which
        matters.update(s.name for s in stages if s.bites)
    assert (MATTER[sort] | {"early"} if nightly else set()) <= matters.keys()
    assert matters


def test_every_objective_is_shown_to_matter() -> None:
    sorts = ("begun", "taught", "fell through", "caught up")
    names = {name for sort in sorts for seed in range(3) for name, *_ in Scores(*tiny_week(sort, seed)).order}
    assert set().union(*MATTER.values()) | {"early"} == names
