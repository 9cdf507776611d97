"""Two hundred small random weeks with all sorts of rules: every objective is as the exact lexicographic model has it.

The model is the tests' own (`exact_week.py`): HiGHS over every whole sitting, with what is owed, what is possible and
what a week is worth counted in plain loops; no line of the planner is in it. `EXACT_WEEKS=500` tries so many by night;
`python -m tests.properties.test_exact_weeks 0 200` says of each week what was found, and how long both took, and with
`parts` behind it of the search for caseloads, made to search where one model would do.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from dataclasses import dataclass

import pytest

from genplan.audit import audit
from genplan.case.dated_facts import in_week
from genplan.plan import COVERAGE, Plan, StageStatus
from tests.fixtures.every_week import ahead
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import WEEK, plan_one
from tests.fixtures.search_settings import search_with
from tests.fixtures.week_scores import Scores
from tests.fixtures.wild_weeks import wild_week

pytest.importorskip("highspy")

WEEKS = int(os.environ.get("EXACT_WEEKS", "200"))
BATCH = 20
BATCHES = by_day_the_first([range(n, min(n + BATCH, WEEKS)) for n in range(0, WEEKS, BATCH)])


@pytest.mark.parametrize("seeds", BATCHES, ids=str)
def test_every_objective_is_the_best_there_is(seeds: range) -> None:
    found: Counter[str] = Counter()
    for seed in seeds:
        held = held_against_all(wild_week(seed), str(seed))
        found.update(held.matter)
        found["not proven"] += held.unproven is not None
    # these weeks are small: what cannot be proven of one in ten is a fault of its own
    assert found["not proven"] <= len(seeds) // 10
    assert found["new tuples"] + found["due"] >= len(seeds) // 2


@pytest.mark.parametrize("seeds", BATCHES, ids=str)
def test_a_caseload_searched_in_parts_tells_what_is_true(
    monkeypatch: pytest.MonkeyPatch, seeds: range
) -> None:
    """Learners who are planned one beside the other: what is called proven is the best, no bound is passed, and most
    weeks show as much as there is."""
    search_with(monkeypatch, "caseload", joint_variables=0)
    found: Counter[str] = Counter()
    for seed in seeds:
        given = wild_week(seed)
        if len(given.case.learners) > 1:
            held = held_against_all(given, f"{seed} in parts", in_parts=True)
            found.update(tried=1, shown=held.short is None or held.short not in set(COVERAGE))
    assert found["tried"] >= len(seeds) // 3
    assert found["shown"] >= found["tried"] * 2 // 3


@pytest.mark.xfail(
    strict=True, reason="what people were told is searched for in parts, and not told in the plan"
)
def test_a_caseload_that_was_told_of_says_what_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two learners whose people were told of the week: the same objectives as in one model, `told` among them."""
    given = wild_week(3)
    assert given.kept
    search_with(monkeypatch, "caseload", joint_variables=0)
    plan = plan_one(given.case, given.log, now=given.now, kept=given.kept, busy=given.busy)
    assert "told" in {o.name for o in plan.objectives}


@dataclass(frozen=True)
class Held:
    """A planned week beside the exact one: how many sittings could be held, the first objective that the planner does
    not call proven, the first that could be better, those whose best is not nought, and the seconds of both on the
    processor."""

    plan: Plan
    sittings: int
    unproven: str | None
    short: str | None
    matter: frozenset[str]
    seconds: tuple[float, float]


def held_against_all(given: Given, which: str, *, in_parts: bool = False) -> Held:
    """`in_parts`: of a caseload, which leaves an objective untold (see the test that is expected to fail)."""
    from tests.fixtures.exact_week import ExactWeek, held_against

    begun = time.process_time()
    plan = plan_one(given.case, given.log, now=given.now, kept=given.kept, busy=given.busy)
    planned = time.process_time()
    case = in_week(given.case, WEEK)
    assert audit(case, given.log, plan, given.busy, given.kept) == (), which
    _counted_alike(given, plan, which)
    exact = ExactWeek(given)
    told = {o.name for o in plan.objectives}
    best = [b for b in exact.best() if b.name in told or not in_parts]
    unproven = held_against(plan, best, which)
    seconds = (planned - begun, time.process_time() - planned)
    short = next(
        (b.name for o, b in zip(plan.objectives, best, strict=True) if abs(o.value - b.value) > 1e-6), None
    )
    matter = frozenset(b.name for b in best if b.value)
    return Held(plan, len(exact.sittings), unproven, short, matter, seconds)


def _counted_alike(given: Given, plan: Plan, which: str) -> None:
    """What is told of the sittings is what the tests' own loops count in them; but for shares, since it takes a search
    to know of what."""
    scores = {name: score for name, _, score in Scores(given, ()).order if name != "shares"}
    for told in plan.objectives:
        if told.name in scores and (told.name != "further probes" or told.status is StageStatus.OPTIMAL):
            assert scores[told.name](ahead(plan)) == pytest.approx(told.value), f"{which}: {told.name}"


def main(first: int, last: int, in_parts: bool) -> None:
    unproven: Counter[str] = Counter()
    short: Counter[str] = Counter()
    total = [0.0, 0.0]
    for seed in range(first, last):
        given = wild_week(seed)
        if in_parts and len(given.case.learners) < 2:
            continue
        try:
            held = held_against_all(given, str(seed), in_parts=in_parts)
        except AssertionError as fault:
            print(f"{seed:4d} FAULT {str(fault).splitlines()[0]}")
            unproven["fault"] += 1
            continue
        total = [a + b for a, b in zip(total, held.seconds, strict=True)]
        unproven[held.unproven or "all proven"] += 1
        short[held.short or "none better"] += 1
        planner, other = held.seconds
        print(
            f"{seed:4d} {len(given.case.learners)} learners, {held.sittings:3d} sittings, "
            f"{len(ahead(held.plan))} planned, {planner:.2f} s and {other:.2f} s, {held.unproven or 'all proven'}, "
            f"{held.short or 'none better'}",
            flush=True,
        )
    print(f"planner {total[0]:.1f} s, exact {total[1]:.1f} s")
    print(f"first not proven: {dict(unproven)}; first that could be better: {dict(short)}")


if __name__ == "__main__":
    with pytest.MonkeyPatch.context() as patch:
        if sys.argv[3:] == ["parts"]:
            search_with(patch, "caseload", joint_variables=0)
        main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:] == ["parts"])
