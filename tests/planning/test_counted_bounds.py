"""Bounds by counting alone: each by hand, and never passed by any week of tiny cases."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Case, Wish
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ObjectiveName
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.problem import Problem
from genplan.planning.solver.daily_capacity import daily_capacities
from genplan.planning.solver.design_guided import design_of
from genplan.planning.solver.objectives import OBJECTIVES
from genplan.planning.solver.variables import build_variables
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import NOW, WEEK, product_case
from tests.fixtures.tiny_weeks import SORTS, tiny_week
from tests.fixtures.week_scores import MOST, Scores


def problem_of(case: Case, rows: Iterable[Result] = ()) -> Problem:
    load = week_context_of(case, Log(tuple(rows)), WEEK, NOW, {}, ()).caseload
    return load.problem(load.learners, (), {})


@pytest.mark.parametrize(("a_week", "new"), [(1, 3), (2, 6), (4, 12), (9, 12)])
def test_a_probe_shows_one_pair_of_each_two_dimensions(a_week: int, new: int) -> None:
    """Three dimensions of two values have three sets of two, of four pairs each."""
    bounds = counted_bounds(problem_of(product_case((2, 2, 2), a_week=a_week)))
    assert (bounds["new tuples"], bounds["worth"]) == (new, new)


def test_what_is_left_of_a_small_set_bounds_it() -> None:
    """Pairs of 4, 1 and 1 values: of the set of two single values there is one, of the two others four each. Three
    probes show 1 + 3 + 3."""
    assert counted_bounds(problem_of(product_case((4, 1, 1), a_week=3)))["new tuples"] == 7


@pytest.mark.parametrize(("a_week", "wished"), [(1, 2), (2, 4), (3, 4)])
def test_a_wish_is_bounded_by_the_probes_of_the_week(a_week: int, wished: int) -> None:
    """An adult is in two pairs with a place and in two with a set; a probe shows one of each."""
    case = product_case((2, 2, 2), first=(Wish({"adult": "a0-0"}, date(2026, 12, 6)),), a_week=a_week)
    assert counted_bounds(problem_of(case))["wished"] == wished


@pytest.mark.parametrize(("stay", "new"), [(1, 6), (2, 3), (4, 0)])
def test_seats_that_stay_take_of_the_limit(stay: int, new: int) -> None:
    """Of three probes a week."""
    probe = PlacedProbe("skill", ("a0-0", "l1-0", "m2-0"), "new")
    held = tuple(
        PlacedSitting("wren", "a0-0", "l1-0", day * 1440, day * 1440 + 10, (probe,)) for day in range(stay)
    )
    problem = replace(problem_of(product_case((2, 2, 2), a_week=3)), taken=held)
    assert counted_bounds(problem)["new tuples"] == new


@pytest.mark.parametrize(("a_day", "new"), [((1, 1), 5), ((2, 1), 7), ((3, 3), 9)])
def test_days_that_hold_little_bound_the_new_tuples(a_day: tuple[int, int], new: int) -> None:
    """Pairs of 4, 1 and 1 values: the first probe shows three, each after it two. Four a week are as many as there are;
    a day that nobody looked at is no bound."""
    problem = problem_of(product_case((4, 1, 1), a_week=4))
    days = sorted({o.day for o in problem.openings})
    few = dict.fromkeys(days, 0) | dict(zip(days, a_day, strict=False))
    most = {("wren", day): n for day, n in few.items()}
    assert counted_bounds(replace(problem, day_most=most))["new tuples"] == new
    del most["wren", days[0]]
    assert counted_bounds(replace(problem, day_most=most))["new tuples"] == 9


def row(day: int, bits: str, correct: int | None) -> Result:
    """Of five trials, on a day of November; None of them: teaching."""
    return Result(
        line=day,
        date=date(2026, 11, day),
        time=None,
        target="skill",
        kind=ResultKind.PROBE if correct is not None else ResultKind.TEACHING,
        combination=tuple(f"{name}-{bit}" for name, bit in zip(("a0", "l1", "m2"), bits, strict=True)),
        trials=correct and 5,
        correct=correct,
    )


@pytest.mark.parametrize(("a_week", "due"), [(1, 2), (2, 3), (5, 4)])
def test_of_what_is_due_the_weightiest_are_counted(a_week: int, due: int) -> None:
    """Two retests, and a maintenance probe that was due before the week and counts 2."""
    case = product_case((2, 2, 2), a_week=a_week, mastered_on=date(2026, 11, 1), maintenance_days=(10,))
    retested = [row(day, bits, correct) for bits in ("011", "110") for day, correct in ((2, 1), (3, None))]
    rows = [*retested, row(2, "000", 5)]
    assert counted_bounds(problem_of(case, rows))["due"] == due


@pytest.mark.parametrize("sort", SORTS)
def test_no_week_passes_a_counted_bound(sort: str, nightly: bool) -> None:
    """All weeks of tiny cases: the best value of each objective by itself, whatever comes before it. The bounds are not
    idle: some of them are reached."""
    reached = 0
    for seed in seeds(6, nightly):
        given, weeks = tiny_week(sort, seed)
        context = week_context_of(given.case, given.log, WEEK, given.now, {}, given.kept)
        load = context.caseload
        fewest = {n.id: design_of(n, 1.0).at_least for n in load.needs}
        problem = load.problem(load.learners, (), {})
        bounds = counted_bounds(replace(problem, fewest=fewest, day_most=daily_capacities(problem)))
        for name, sense, score in Scores(given, weeks).order:
            if name in bounds and name != "shares":
                values = [score(week) for week in weeks]
                best, bound = (max if sense == MOST else min)(values), bounds[name]
                assert best <= bound + 1e-6 if sense == MOST else best >= bound, f"{sort} {seed}: {name}"
                reached += best == pytest.approx(bound)
    assert reached


@pytest.mark.parametrize("sort", SORTS)
def test_no_week_passes_the_range_of_an_objective(sort: str, nightly: bool) -> None:
    """What the days hold bounds the probes, sittings and journeys of every week of tiny cases."""
    looked_at = 0
    for seed in seeds(6, nightly):
        given, weeks = tiny_week(sort, seed)
        load = week_context_of(given.case, given.log, WEEK, given.now, {}, given.kept).caseload
        problem = load.problem(load.learners, (), {})
        v = build_variables(replace(problem, day_most=daily_capacities(problem)))
        for name, _, score in Scores(given, weeks).order:
            known = OBJECTIVES[ObjectiveName(name)].at_most(v)
            if known is not None:
                assert max(score(week) for week in weeks) <= known, f"{sort} {seed}: {name}"
                looked_at += 1
    assert looked_at
