"""The fewest people told, then the fewest sittings otherwise, against every week of tiny caseloads."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from genplan.audit import audit
from genplan.case import Adult, WeeklyHours
from genplan.plan import Beside, Plan, StageStatus
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


def test_a_sitting_that_loses_its_observer_alone_stays_where_it_is(nightly: bool) -> None:
    """Cat, who runs nothing, was to watch one sitting, and has no hours any more. Any week tells something to her and
    to the two of that sitting; held without her it is no other sitting."""
    tried = 0
    for sort in SORTS:
        for seed in seeds(24, nightly):
            given, weeks = tiny_week(sort, seed)
            bare = next((s for s in given.kept if s.start >= given.now and not s.beside), None)
            if bare is None:
                continue
            cat = Adult(id="cat", name="Cat", free=WeeklyHours.never())
            watched = replace(bare, beside="cat", beside_as=Beside.OBSERVER)
            case = replace(given.case, adults=given.case.adults | {"cat": cat})
            kept = tuple(watched if s == bare else s for s in given.kept)
            plan = replanned(replace(given, case=case, kept=kept))
            scores = Scores(given, weeks, plan.alone, fewest_told=True)
            scores.told_anyway = frozenset(
                {("adult", "cat"), ("learner", bare.learner), ("adult", bare.adult)}
            )
            stages, _ = best_of(weeks, [o for o in scores.order if o[0] in FIRST])
            found = {o.name: o for o in plan.objectives}
            assert [(s.name, s.value) for s in stages] == [(n, found[n].value) for n in FIRST], (
                f"{sort} {seed}"
            )
            assert {found[n].status for n in FIRST} == {StageStatus.OPTIMAL}, f"{sort} {seed}"
            tried += 1
    assert tried > 5


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
