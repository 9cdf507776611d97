"""The fewest people told, then the fewest sittings otherwise, against every week of tiny caseloads."""

from __future__ import annotations

from collections import Counter

import pytest

from genplan.audit import audit
from genplan.plan import Plan, StageStatus
from tests.fixtures.every_week import ahead
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import plan_one
from tests.fixtures.search_settings import search_with
from tests.fixtures.tiny_weeks import tiny_week
from tests.fixtures.week_scores import Scores, best_of

SORTS = ("shared and begun", "shared, due and begun", "shared and told")
FIRST = ("due", "dated", "people told", "otherwise")
OF_WHAT_IS_AHEAD = ("people told", "otherwise")
"""Objectives only where a sitting that people were told of has not begun yet."""


def replanned(given: Given) -> Plan:
    """As `replan` does it, whether the week has begun or not."""
    plan = plan_one(given.case, given.log, now=given.now, kept=given.kept, fewest_told=True)
    assert audit(given.case, given.log, plan, {}, given.kept) == ()
    return plan


@pytest.mark.parametrize("sort", SORTS)
def test_nobody_else_has_to_be_told_in_any_week_with_as_much_that_is_due(sort: str, nightly: bool) -> None:
    for seed in seeds(64, nightly):
        given, weeks = tiny_week(sort, seed)
        plan = replanned(given)
        scores = Scores(given, weeks, plan.alone, fewest_told=True)
        names = FIRST if scores.told else tuple(n for n in FIRST if n not in OF_WHAT_IS_AHEAD)
        stages, _ = best_of(weeks, [o for o in scores.order if o[0] in FIRST])
        found, which = {o.name: o for o in plan.objectives}, f"{sort} {seed}"
        assert [(s.name, s.value) for s in stages] == [(n, found[n].value) for n in names], which
        assert {found[n].status for n in names} == {StageStatus.OPTIMAL}, which
        if scores.told:
            assert plan.people_told is not None, which
            assert len(plan.people_told) == scores.people_told(ahead(plan)) == found["people told"].value


def test_what_a_caseload_in_parts_calls_proven_is_the_fewest(
    monkeypatch: pytest.MonkeyPatch, nightly: bool
) -> None:
    """Where what is due is opened up learner by learner: no week passes a bound, and nearly all have the fewest."""
    search_with(monkeypatch, "caseload", joint_variables=0)
    search_with(monkeypatch, "replanning", joint_variables=0)
    counts: Counter[str] = Counter()
    for sort in SORTS:
        for seed in range(40 if nightly else 8):
            given, weeks = tiny_week(sort, seed)
            plan = replanned(given)
            left = weeks
            for objective, (name, sense, score) in zip(
                plan.objectives, Scores(given, weeks, plan.alone, fewest_told=True).order, strict=False
            ):
                values = [score(w) for w in left]
                best = max(values) if sense == "most" else min(values)
                better = best - objective.value if sense == "most" else objective.value - best
                beyond = best - objective.bound if sense == "most" else objective.bound - best
                which = f"{sort} {seed} {name}: {objective.value} of {objective.bound}, best of all {best}"
                assert (objective.name, beyond > 1e-6) == (name, False), which
                left = [w for w, v in zip(left, values, strict=True) if abs(v - objective.value) < 1e-6]
                if name in FIRST:
                    counts.update({"short": better > 1e-6, "tried": 1})
                    counts["proven"] += objective.status is StageStatus.OPTIMAL
    assert counts["short"] <= counts["tried"] // 50
    assert counts["proven"] >= counts["tried"] * 9 // 10
