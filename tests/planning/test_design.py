"""Small designs and the most a day can hold, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case import Case, WeeklyHours, Window
from genplan.evidence.log import Log
from genplan.plan import COMFORT, COVERAGE, Beside, ObjectiveName, ProbeKind, StageStatus
from genplan.planning.jobs import SolveJob, run_solve
from genplan.planning.needs import Columns, need_of
from genplan.planning.openings import hours
from genplan.planning.problem import Problem, problem_for
from genplan.planning.solver.daily_capacity import daily_capacities
from genplan.planning.solver.design import Design, greedy_design, smallest_design
from genplan.planning.solver.design_guided import solve_design_guided
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, limited, monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK, product_case

LONG = monday(180)


def columns(*shown: str) -> Columns:
    """Each column shows tuples of one set of dimensions for each letter: `a1 b1` those with value 1 of a and of b."""
    return tuple(
        ((f"c{i}",), tuple(((letter, value),) for letter, value in words.split()))
        for i, words in enumerate(shown)
    )


def test_a_greedy_design_takes_what_shows_most_and_of_equals_the_first() -> None:
    assert greedy_design(columns("a1", "a1 b1", "b1 c1", "c1")) == {1, 2}
    assert greedy_design(columns("a1 b1", "a2 c1", "a1 c1", "a2 b1")) == {0, 1}
    assert greedy_design(()) == frozenset()


def test_the_smallest_design_is_smaller_than_the_greedy_one() -> None:
    """The greedy one begins with four and takes three; two show all."""
    shown = columns("a1 b1 c1 d1", "a1 b1 e1", "c1 d1 f1")
    assert greedy_design(shown) == {0, 1, 2}
    assert smallest_design(shown, 1.0) == Design((("c1",), ("c2",)), 2)


def test_a_design_needs_as_many_as_the_fullest_set_has() -> None:
    assert smallest_design(columns("a1 b1", "a2 b1", "a3 b2"), 1.0).at_least == 3
    assert smallest_design((), 1.0) == Design((), 0)
    # without work the start is the answer, and only what is counted is proven
    without = smallest_design(columns("a1 b1 c1 d1", "a1 b1 e1", "c1 d1 f1"), 0.0)
    assert without == Design((("c0",), ("c1",), ("c2",)), 1)


def problem(case: Case) -> Problem:
    needs = tuple(need_of(case, t, Log(), WEEK, NOW.date()) for t in case.mastered)
    return problem_for(case, WEEK, hours(case, WEEK, NOW, {}), tuple(case.learners), needs, ())


def two_skills(minutes: int) -> Case:
    """With Ann and with Ben: 10 minutes, a rest of 5, 10 minutes."""
    skills = skill("a", "wren", "ann"), skill("b", "wren", "ben")
    return monday_case({"wren": monday(minutes)}, {"ann": LONG, "ben": LONG}, *skills)


@pytest.mark.parametrize(("minutes", "most"), [(9, None), (10, 1), (24, 1), (25, 2), (180, 2)])
def test_what_a_day_holds(minutes: int, most: int | None) -> None:
    """A day that is too short for any sitting holds none; it has openings all the same."""
    assert daily_capacities(problem(two_skills(minutes))) == {("wren", 0): most or 0}


def test_each_day_and_learner_by_itself() -> None:
    """Wren on Monday and Tuesday, with one probe a day; Robin on Monday. Both need Ann's ten minutes: each alone has
    them."""
    tuesday = WeeklyHours((monday(10).days[0], (Window(NINE, NINE + 10),), *[()] * 5))
    case = monday_case(
        {"robin": monday(10), "wren": tuesday},
        {"ann": tuesday},
        skill("a", "wren", sets="x y"),
        skill("b", "robin"),
    )
    assert daily_capacities(problem(case)) == {("robin", 0): 1, ("wren", 0): 1, ("wren", 1): 1}
    limits = limited(two_skills(180), "wren", probes_per_day=1)
    assert daily_capacities(problem(limits)) == {("wren", 0): 1}


def test_a_job_by_days_says_what_they_hold() -> None:
    asked = problem(two_skills(24))
    outcome = run_solve(SolveJob(problem=asked, goals=(ObjectiveName.NEW_TUPLES,), by_days=True))
    assert outcome.day_most == {("wren", 0): 1}
    assert [o.name for o in outcome.objectives] == ["new tuples"]
    plain = run_solve(SolveJob(problem=asked, goals=(ObjectiveName.NEW_TUPLES,)))
    assert (plain.day_most, plain.seats) == ({}, outcome.seats)


def test_bounds_of_a_need_that_was_thinned_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two probes a week show six pairs at most, and the four that show all twelve leave two for later."""
    monkeypatch.setattr("genplan.planning.candidate_pruning.PRUNE_ABOVE", 3)
    monkeypatch.setattr("genplan.planning.candidate_pruning.KEPT_A_MEETING", 1)
    case = product_case((2, 2, 2), a_week=2)
    outcome = solve_design_guided(problem(case), (*COVERAGE, *COMFORT), ())
    found = {o.name: (o.value, o.bound, o.status) for o in outcome.objectives}
    assert found["new tuples"] == (6, 6, StageStatus.OPTIMAL)
    assert found["further probes"] == (2, 2, StageStatus.OPTIMAL)
    assert found["due"] == (0, 0, StageStatus.OPTIMAL)
    # of the later stages nothing is proven
    assert found["sittings"] == (2, 0, StageStatus.BEST_SO_FAR)


@pytest.mark.parametrize(("companion", "value"), [(False, 5), (True, 6)])
def test_what_was_told_is_bounded_by_counting_where_choices_are_left_out(
    companion: bool, value: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The time 2, the probe 1, nothing otherwise 2; and Ben, who sits beside Ann since she is new to Wren, 1."""
    monkeypatch.setattr("genplan.planning.candidate_pruning.PRUNE_ABOVE", 1)
    monkeypatch.setattr("genplan.planning.candidate_pruning.KEPT_A_MEETING", 1)
    case = monday_case({"wren": monday(60)}, {"ann": LONG, "ben": LONG}, skill("a", "wren", sets="x y"))
    case = replace(case, policy=replace(case.policy, accompany_new_adults=companion))
    combination = ("ann", "home", "y")
    told = PlacedSitting(
        "wren", "ann", "home", NINE, NINE + 10, (PlacedProbe("a", combination, ProbeKind.NEW),)
    )
    if companion:
        told = replace(told, beside="ben", beside_as=Beside.COMPANION)
    free = hours(case, WEEK, NOW, {}, {"wren": frozenset(["ben"])})
    needs = tuple(need_of(case, t, Log(), WEEK, NOW.date()) for t in case.mastered)
    asked = replace(problem_for(case, WEEK, free, ("wren",), needs, ()), told=(told,))
    found = solve_design_guided(asked, (ObjectiveName.TOLD,), (told,)).objective(ObjectiveName.TOLD)
    assert found is not None
    assert (found.value, found.bound, found.status) == (value, value, StageStatus.OPTIMAL)
