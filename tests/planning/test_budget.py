"""A run that the clock ends, at any moment: a whole plan with something for everybody, true bounds and true reasons.

The clock here is a made-up one that moves with each look at it, so every run is the same.
"""

from __future__ import annotations

import pickle
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest

from genplan import workflow
from genplan.audit import audit
from genplan.case import Case, SolverLimits
from genplan.evidence.log import Log
from genplan.plan import COVERAGE, Objective, Plan, Sitting, StageStatus
from genplan.planning import budget as budgets
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.explanation import why
from genplan.planning.jobs import Workers
from genplan.planning.planner import plan_week
from genplan.planning.reasons import if_nothing_stands
from genplan.planning.search_settings import SETTINGS
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedSitting
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES
from tests.fixtures.planning_cases import NOW, WEEK, Inline, hours, product_case, with_learner
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with

STEP = 1000.0


class Ticking:
    """A thousand seconds pass with each look, so a solver that is let begin is never cut by the real clock."""

    def __init__(self) -> None:
        self.looks = 0

    def __call__(self) -> float:
        self.looks += 1
        return STEP * self.looks


def planned(
    case: Case, log: Log, looks: float | None, now: Any = NOW, told: tuple[Sitting, ...] = ()
) -> Plan:
    """The plan with a clock that is up after so many looks; None: never."""
    within = ENDLESS if looks is None else Budget(STEP * looks, Ticking())
    return plan_week(case, log, WEEK, now, {}, told, Inline(), lambda _: None, within).plan


def three_learners(seed: int = 5, work: float = 0.5) -> tuple[Case, Log, Any]:
    case = random_case(seed, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    case = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=work)))
    return case, random_log(case, seed), now_of(case)


LOOKS = (0, 1, 8, 20, 40, 80)
BY_DAY = (0, 8, 40)


@pytest.fixture(scope="module")
def looks_tried(nightly: bool) -> tuple[int, ...]:
    return LOOKS if nightly else BY_DAY


@pytest.mark.parametrize("joint", by_day_the_first([4000, 0]))
def test_a_plan_for_everybody_comes_out_whenever_the_clock_strikes(
    joint: int, looks_tried: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=joint)
    case, log, now = three_learners()
    best = planned(case, log, None, now)
    assert {s.learner for s in best.sittings} == set(case.learners)
    struck = 0
    for looks in looks_tried:
        plan = planned(case, log, looks, now)
        assert audit(case, log, plan, {}, ()) == ()
        assert {s.learner for s in plan.sittings} == set(case.learners)
        assert "less urgent" not in {item.rule for item in plan.left_out}
        first, proven = plan.objectives[0], best.objectives[0]
        assert first.value <= proven.bound <= first.bound
        struck += not plan.repeatable
    assert struck >= len(looks_tried) * 2 // 3


@pytest.mark.parametrize(
    ("joint", "observed"), by_day_the_first([(0, 0.5), (4000, 0.0), (0, 0.0), (4000, 0.5)])
)
def test_a_week_that_people_were_told_of_never_gets_worse_by_a_search_that_is_ended(
    joint: int, observed: float, looks_tried: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=joint)
    case, log, now = three_learners()
    case = replace(case, policy=replace(case.policy, observed_share=observed))
    told = planned(case, log, None, now)
    for looks in looks_tried:
        plan = planned(case, log, looks, now, told.sittings)
        assert audit(case, log, plan, {}, told.sittings) == ()
        assert _worth(plan) >= _worth(told), looks
    at_once = planned(case, log, 0, now, told.sittings)
    assert _people(told) <= _people(at_once)
    assert not _people(told) <= _people(planned(case, log, 0, now))


def _people(plan: Plan) -> set[Any]:
    """Who meets when, observers too."""
    return {(s.learner, s.adults, s.location, s.start) for s in plan.sittings}


def _worth(plan: Plan) -> list[float]:
    """What it shows; a share is one of what each could have alone, which is not known at once."""
    return [o.value for o in plan.objectives if o.name in COVERAGE and o.name != "shares"]


def test_the_same_strike_gives_the_same_plan_and_none_the_usual_one() -> None:
    case, log, now = three_learners()
    assert planned(case, log, 20, now) == planned(case, log, 20, now)
    usual = planned(case, log, None, now)
    assert planned(case, log, 1e9, now) == usual
    assert usual.repeatable


def test_once_the_time_is_over_no_solver_is_started(monkeypatch: pytest.MonkeyPatch) -> None:
    def solve(*_: Any) -> None:
        raise AssertionError("a solver was started")

    monkeypatch.setattr("ortools.sat.python.cp_model.CpSolver.solve", solve)
    case, log, now = three_learners()
    case = replace(case, policy=replace(case.policy, observed_share=0.5))
    plan = planned(case, log, 0, now)
    assert plan.sittings
    assert not plan.repeatable


def test_reasons_say_that_the_search_was_stopped() -> None:
    case, log, now = three_learners()
    told = {item.rule for item in planned(case, log, 0, now).left_out if item.tuples}
    assert "no time" in told


@pytest.mark.parametrize("seed", by_day_the_first(range(4), 2))
def test_a_search_that_runs_out_of_work_leaves_no_probe_that_fits(seed: int) -> None:
    case, log, now = three_learners(seed, work=0.01)
    plan = planned(case, log, None, now)
    assert audit(case, log, plan, {}, ()) == ()
    assert plan.repeatable
    assert not {"less urgent", "search stopped"} & {item.rule for item in plan.left_out}


def test_figures_of_a_week_that_can_hold_nothing_take_little_work(monkeypatch: pytest.MonkeyPatch) -> None:
    from genplan.planning.solver import design

    seen: list[float] = []

    def watched(columns: Any, work: float, budget: Budget = ENDLESS) -> design.Design:
        seen.append(work)
        return design.smallest_design(columns, 0.0, budget)

    monkeypatch.setattr("genplan.planning.solver.design_guided.smallest_design", watched)
    case = product_case([2] * 8)
    never = with_learner(case, free=hours((9, 9)))
    planned(never, Log(), None)
    assert set(seen) == {SETTINGS.figure_work}
    assert SETTINGS.figure_work < SETTINGS.design_work
    seen.clear()
    planned(with_learner(product_case([2] * 4), free=hours((9, 10), None)), Log(), None)
    assert SETTINGS.design_work in seen


def test_a_budget_is_handed_to_other_processes_with_its_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    budget = Budget.of(100.0)
    assert pickle.loads(pickle.dumps(budget)) == budget
    assert pickle.loads(pickle.dumps(ENDLESS)) == ENDLESS
    sent = pickle.dumps(budget)
    monkeypatch.setattr(budgets, "node", lambda: "another machine")
    there = pickle.loads(sent)
    assert abs(there.deadline - budget.deadline) < 50  # found by the time of day


def test_parts_of_a_budget_end_before_it() -> None:
    clock = Ticking()
    budget = Budget(10 * STEP, clock)
    assert budget.part(0.5) == Budget(STEP + 4.5 * STEP, clock)  # the first look
    assert budget.keeping(0.25, 1e9) == Budget(10 * STEP - 2 * STEP, clock)  # the second: 8 steps are left
    assert budget.keeping(0.25, 60.0) == Budget(10 * STEP - 60, clock)
    assert ENDLESS.part(0.5) == ENDLESS
    hour = Budget(3600.0, lambda: 0.0)
    assert [hour.of_one_of(n).left for n in (12, 6, 2, 1)] == [900, 1800, 1800, 3600]
    assert ENDLESS.keeping(0.5, 60.0) == ENDLESS


def test_questions_that_there_is_no_time_for_are_told_as_not_asked() -> None:
    case, log, now = three_learners()
    ground = week_context_of(case, log, WEEK, now, {}, ())
    plan = planned(case, log, 8, now)
    over = Workers(Inline(), lambda _: None, Budget(0.0, Ticking()))
    found = why(ground, plan, over, tuple(case.learners))
    left = [item for item in found.left_out if item.tuples]
    assert left
    assert {item.rule for item in left} == {"no time"}
    assert found.unasked == len(left)
    assert found.gains.tried == 0
    assert found.gains.all_changes > 0


def test_of_many_learners_what_is_not_looked_at_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """A caseload of three, where two are many: the first changes are tried, and of the others it is said."""
    few = {"many_learners": 2, "brief_asked": 0, "brief_hopes": 0, "brief_tries": 1}
    for module in ("explanation", "what_if"):
        search_with(monkeypatch, module, **few)
    case, log, now = three_learners()
    ground = week_context_of(case, log, WEEK, now, {}, ())
    plan, workers = planned(case, log, 8, now), Workers(Inline(), lambda _: None)
    brief = why(ground, plan, workers, tuple(case.learners), at_length=False)
    assert brief.unasked > 0
    assert 0 <= brief.gains.tried < brief.gains.all_changes


def objectives(new: StageStatus) -> tuple[Objective, ...]:
    due = Objective(name="due", sense="most", value=1, bound=1, status=StageStatus.OPTIMAL)
    return due, Objective(name="new tuples", sense="most", value=1, bound=2, status=new)


@pytest.mark.parametrize(
    ("new", "repeatable", "rule"),
    [
        (StageStatus.STOPPED, False, "search stopped"),
        (StageStatus.BEST_SO_FAR, False, "search stopped"),
        (StageStatus.BEST_SO_FAR, True, "search ended"),
        (StageStatus.OPTIMAL, True, "less urgent"),
    ],
)
def test_what_is_told_of_a_probe_that_could_be_added(new: StageStatus, repeatable: bool, rule: str) -> None:
    case, log, now = three_learners()
    load = week_context_of(case, log, WEEK, now, {}, ()).caseload
    assert if_nothing_stands(objectives(new), load, repeatable, shortest_way=False).rule == rule
    assert if_nothing_stands(objectives(new), load, repeatable, shortest_way=True).rule == "fewer in all"
    told = replace(load, told=(PlacedSitting("wren", "", "", 0, 10, ()),))
    kept = if_nothing_stands(objectives(new), told, repeatable, shortest_way=False).rule
    assert kept == ("as told" if rule == "less urgent" else rule)


def test_a_run_takes_its_time_from_the_policy(tmp_path: Path) -> None:
    folder = tmp_path / "family"
    copytree(EXAMPLES / "family", folder)
    text = (folder / "case.yaml").read_text(encoding="utf-8")
    assert "policy: family" in text
    short = text.replace("policy: family", "policy: {like: none, solver: {seconds: 0.001}}")
    (folder / "case.yaml").write_text(short, encoding="utf-8")
    (first, second) = workflow.plan_weeks(folder, WEEK, 2, datetime(2026, 11, 29, 12), None, lambda _: None)
    for outcome in (first, second):
        assert outcome.plan.sittings
        assert not outcome.plan.repeatable
        assert not any(o.name == "early" and o.status is StageStatus.OPTIMAL for o in outcome.plan.objectives)
