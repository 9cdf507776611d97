"""What is told as proven of a caseload that is searched by operators, against every week of tiny cases."""

from __future__ import annotations

from collections import Counter
from math import isfinite

import pytest

from genplan.audit import audit
from tests.fixtures.planning_cases import plan_one
from tests.fixtures.search_settings import search_with
from tests.fixtures.tiny_weeks import tiny_week
from tests.fixtures.week_scores import MOST, Scores

TOLERANCE = 1e-6


@pytest.mark.parametrize("sort", ["shared", "shared and due", "shared and told", "shared and begun"])
def test_no_week_as_good_before_passes_a_bound(
    sort: str, monkeypatch: pytest.MonkeyPatch, nightly: bool
) -> None:
    """Of the weeks that are as good as the plan in all objectives before, none is better than the bound; and the sums
    of what is proven of each alone are told, not only what is counted."""
    search_with(monkeypatch, "caseload", joint_variables=0)
    told: Counter[str] = Counter()
    for seed in range(60 if nightly else 5):
        given, weeks = tiny_week(sort, seed)
        plan = plan_one(given.case, given.log, now=given.now, kept=given.kept)
        assert audit(given.case, given.log, plan, {}, given.kept) == ()
        scores = Scores(given, weeks, plan.alone)
        if len(scores.learners) < 2:
            continue
        assert [o.name for o in plan.objectives] == [name for name, *_ in scores.order]
        left = list(weeks)
        for objective, (name, sense, score) in zip(plan.objectives, scores.order, strict=True):
            values = {id(w): score(w) for w in left}
            best = max(values.values()) if sense == MOST else min(values.values())
            which = f"{sort} {seed} {name}: {objective.value} of {objective.bound}, best of all {best}"
            if sense == MOST:
                assert objective.value - TOLERANCE <= best <= objective.bound + TOLERANCE, which
                left = [w for w in left if values[id(w)] >= objective.value - TOLERANCE]
            else:
                assert objective.bound - TOLERANCE <= best <= objective.value + TOLERANCE, which
                left = [w for w in left if values[id(w)] <= objective.value + TOLERANCE]
            told[name] += isfinite(objective.bound) and best > 0
    assert {"new tuples", "further probes", "sittings", "probes"} <= {n for n, times in told.items() if times}
