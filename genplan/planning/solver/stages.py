"""The lexicographic search: objectives in blocks, each block one solve from the whole answer of the one before."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from math import isclose

from genplan.plan import Objective, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.figures import values_in
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Say, StageProgress, WeekSoFar, no_progress
from genplan.planning.solver.counting_bounds import with_counted_bounds
from genplan.planning.solver.covering import link_coverage
from genplan.planning.solver.not_reached import not_reached
from genplan.planning.solver.objectives import (
    BLOCK_EFFORTS,
    MOST,
    OBJECTIVES,
    Block,
    Goal,
    block_at,
    goals_for,
)
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.search import Found, hint_all, nothing_chosen, whole_bound
from genplan.planning.solver.search import search as solve_model
from genplan.planning.solver.seating import begin_with, hint_shown, holds, read_seats, with_probes_as_found
from genplan.planning.solver.variables import Variables, build_variables
from genplan.planning.solver.weighted import Term, bounds, digits, fitting, minimise, offset_of, term_of
from genplan.rules.placed_sittings import PlacedSitting


def solve(
    problem: Problem,
    goals: Sequence[ObjectiveName],
    start: Sequence[PlacedSitting] = (),
    effort: float = 1.0,
    say: Say = no_progress,
    budget: Budget = ENDLESS,
    *,
    probes_stay: bool = False,
) -> Outcome:
    """The best plan for the learners of the problem, by these objectives one after the other.

    `start` are seats to begin the search from. `probes_stay`: comfort is looked for with the probes as they are. Once
    the budget is over the best seats so far are the answer. Raises SolverError where the solver says something that a
    sound model cannot say: the empty week always holds; ValueError for an objective that the problem has nothing
    for."""
    wanted = goals_for(problem, goals)
    if budget.is_over:
        return Outcome(seats=tuple(start), objectives=not_reached(problem, start, wanted), repeatable=False)
    v = _model_of(problem)
    outcome = _search(v, start, wanted, effort, say, budget, probes_stay=probes_stay)
    return with_counted_bounds(problem, outcome) if v.cut else outcome


def size_of_model(problem: Problem, goals: Sequence[ObjectiveName]) -> int:
    """How many variables there are to search with."""
    v = _model_of(problem)
    for goal in goals_for(problem, goals):
        goal.expression(v)
    return len(v.model.proto.variables)


def _model_of(problem: Problem) -> Variables:
    v = build_variables(problem)
    link_coverage(v)
    for rule in RULES:
        rule(v)
    return v


@dataclass(frozen=True)
class _Search:
    """What all solves of a search share.

    - `v`: the model
    - `terms`: of the objectives that have something to count
    - `work`: a stage's, of the solver's deterministic kind
    - `budget`, `say`: when it is over, and who is told how far it is
    - `probes_stay`: comfort is looked for with the probes as they are"""

    v: Variables
    terms: Mapping[ObjectiveName, Term]
    work: float
    budget: Budget
    say: Say
    probes_stay: bool


@dataclass(frozen=True)
class _Solved:
    """The whole answer of a solve, and what is known of each of its objectives."""

    found: Found
    objectives: tuple[Objective, ...]
    work: float


def _search(
    v: Variables,
    start: Sequence[PlacedSitting],
    goals: Sequence[Goal],
    effort: float,
    say: Say,
    budget: Budget,
    *,
    probes_stay: bool,
) -> Outcome:
    terms = {
        g.name: term_of(v.model, expression, most=g.sense == MOST, at_most=g.at_most(v))
        for g in goals
        if (expression := g.expression(v)) is not None
    }
    if start:
        # the empty week is no start: as one it was measured to cost the new tuples half as much work again
        begin_with(v, start)
        hint_shown(v, start, sorted(_further_probes(terms)))
    search = _Search(v, terms, effort * v.problem.case.policy.solver.work_per_stage, budget, say, probes_stay)
    settled = [_as_proven(search, g) for g in _met_by(v, start, goals) if g.name in terms]
    left = [g for g in goals if g.name in terms][len(settled) :]
    seconds: dict[str, float] = {}
    work: dict[str, float] = {}
    found: Found | None = None
    while left and not budget.is_over:
        block, began = _first_block(left, terms), time.perf_counter()
        before = goals[: goals.index(block[0])]
        solved = _solve_block(search, block, found, at_best=_are_at_best(v, before, settled))
        found, settled, left = solved.found, [*settled, *solved.objectives], left[len(solved.objectives) :]
        if say is not no_progress:
            say(WeekSoFar(read_seats(v, found)))
        # a plain text: a name of the solver's would load the solver in whoever is given the outcome
        name = str(block[0].searched_in)
        seconds[name] = seconds.get(name, 0.0) + time.perf_counter() - began
        work[name] = work.get(name, 0.0) + solved.work
    seats = read_seats(v, found) if found else tuple(start)
    known = {o.name: o for o in settled}
    if found:  # else the start has what is proven, and nothing was searched for
        known = {i: _counted(o, terms[i], OBJECTIVES[i].scale, found.values) for i, o in known.items()}
    known |= {o.name: o for o in not_reached(v.problem, seats, left)}
    return Outcome(
        seats=seats,
        objectives=tuple(known.get(g.name) or _nothing_to_count(g) for g in goals),
        seconds=seconds,
        work=work,
        variables=len(v.model.proto.variables),
        constraints=len(v.model.proto.constraints),
        repeatable=not left and all(o.status is not StageStatus.STOPPED for o in settled),
    )


def _first_block(goals: Sequence[Goal], terms: Mapping[ObjectiveName, Term]) -> list[Goal]:
    """The first goals that are searched for together, as far as one sum has room for them."""
    same = block_at(goals)
    return same[: fitting([terms[g.name] for g in same])]


def _are_at_best(v: Variables, before: Sequence[Goal], settled: Sequence[Objective]) -> bool:
    """Whether all goals so far have what is proven to be their best, so that what is proven of the next holds. One that
    the model has nothing for reaches 0."""
    values, proven = {o.name: o.value for o in settled}, v.problem.proven

    def is_at_best(goal: Goal) -> bool:
        if goal.name not in values:
            return proven.get(goal.name, 0.0) == 0.0
        return goal.name in proven and isclose(values[goal.name], proven[goal.name], abs_tol=1e-6)

    return all(is_at_best(g) for g in before)


def _met_by(v: Variables, start: Sequence[PlacedSitting], goals: Sequence[Goal]) -> list[Goal]:
    """The first objectives in which the start has what is proven to be the most: they need no search. None where the
    variables do not hold all of the start."""
    if not v.problem.proven or not holds(v, start):
        return []
    values = values_in(v.problem, start)

    def is_met(goal: Goal) -> bool:
        proven = v.problem.proven.get(goal.name)
        return goal.sense == MOST and proven is not None and isclose(values[goal.name], proven, abs_tol=1e-6)

    return list(takewhile(is_met, goals))


def _proven_steps(v: Variables, goals: Sequence[Goal], terms: Sequence[Term]) -> list[int]:
    """The fewest steps that are proven of the first goals."""
    known = takewhile(lambda g: g[0].name in v.problem.proven, zip(goals, terms, strict=True))
    return [max(0, t.steps(round(v.problem.proven[g.name] * g.scale))) for g, t in known]


def _settle(search: _Search, goals: Sequence[Goal], found: Found) -> None:
    """From now on no answer is worse in these than this one."""
    for goal in goals:
        term = search.terms[goal.name]
        term.no_worse(search.v.model, term.value_in(found.values))


def _as_proven(search: _Search, goal: Goal) -> Objective:
    """A goal that the start has reached, settled without a search."""
    value = search.v.problem.proven[goal.name]
    search.terms[goal.name].no_worse(search.v.model, round(value * goal.scale))
    return Objective(name=goal.name, sense=goal.sense, value=value, bound=value, status=StageStatus.OPTIMAL)


def _solve_block(search: _Search, block: Sequence[Goal], before: Found | None, *, at_best: bool) -> _Solved:
    """The objectives of a block, or of its beginning, settled. One that is not proven, and worth more work than all had
    together, is searched for once more by itself, and those after it later."""
    share = max(BLOCK_EFFORTS[block[0].searched_in], min(g.effort for g in block))
    solved = _solve(search, block, share, before, at_best=at_best)
    first = next((i for i, o in enumerate(solved.objectives) if o.status is not StageStatus.OPTIMAL), None)
    if first is None or len(block) == 1 or block[first].effort <= share or search.budget.is_over:
        _settle(search, block, solved.found)
        return solved
    _settle(search, block[:first], solved.found)
    alone = block[first]
    again = _solve(search, [alone], alone.effort, solved.found, at_best=at_best and not first)
    _settle(search, [alone], again.found)
    return _Solved(again.found, solved.objectives[:first] + again.objectives, solved.work + again.work)


def _solve(
    search: _Search, goals: Sequence[Goal], effort: float, before: Found | None, *, at_best: bool
) -> _Solved:
    """One solve for all these goals as a weighted sum, and what it proves of each."""
    v, own, work = search.v, [search.terms[g.name] for g in goals], effort * search.work
    proven = _proven_steps(v, goals, own) if at_best else []
    if proven:
        own[0].no_better(v.model, own[0].value(proven[0]))
    if before and ObjectiveName.FURTHER_PROBES in {g.name for g in goals}:
        # a search for something else leaves them as they come
        hint_shown(v, read_seats(v, before), sorted(_further_probes(search.terms)))
    minimise(v.model, own)
    search.say(StageProgress(goals[0].name, own[0].most))
    first, spent = None, 0.0
    comfort = goals[0].searched_in is Block.COMFORT
    # measured: cuts say little of comfort, and took a quarter of the CPU of its search; not of what is left to others
    cuts = not comfort or goals[0].name is ObjectiveName.LEFT_TO_OTHERS
    if before and comfort:
        first = solve_model(with_probes_as_found(v, before), work, search.budget, cuts=cuts)
        hint_all(v.model, first)
        spent = first.work

    def hear(value: float, bound: float) -> None:
        search.say(_so_far(goals, own, value, bound))

    if first and search.probes_stay:
        # what is proven of it holds of these probes only
        found, least, spent = first, 0, 0.0
    else:
        found = solve_model(
            v.model,
            work,
            search.budget,
            hear,
            lambda m: nothing_chosen(m, but=_further_probes(search.terms)),
            cuts=cuts,
        )
        hint_all(v.model, found)
        least = whole_bound(found.bound, most=False) + offset_of(own)
    steps = [t.steps(t.value_in(found.values)) for t in own]
    fewest = bounds(own, steps, least, proven)
    return _Solved(
        found,
        tuple(
            Objective(
                name=g.name,
                sense=g.sense,
                value=t.value(n) / g.scale,
                bound=t.value(least) / g.scale,
                status=StageStatus.OPTIMAL if n == least else found.unproven,
            )
            for g, t, n, least in zip(goals, own, steps, fewest, strict=True)
        ),
        spent + found.work,
    )


def _so_far(goals: Sequence[Goal], terms: Sequence[Term], value: float, bound: float) -> StageProgress:
    """How far it is with the first objective that is not proven."""
    steps = digits(terms, round(value) + offset_of(terms))
    least = bounds(terms, steps, whole_bound(bound, most=False) + offset_of(terms))
    each = list(zip(goals, terms, steps, least, strict=True))
    goal, term, n, fewest = next((x for x in each if x[2] != x[3]), each[-1])
    return StageProgress(
        goal.name, term.most, term.value(n) / goal.scale + 0.0, term.value(fewest) / goal.scale
    )


def _counted(objective: Objective, term: Term, scale: int, last: Sequence[int]) -> Objective:
    """The objective with its value in the last answer: where a search was not proven, a later one can better it."""
    value = term.value_in(last) / scale
    if value == objective.value:
        return objective
    status = StageStatus.OPTIMAL if value == objective.bound else objective.status
    return replace(objective, value=value, status=status)


def _nothing_to_count(goal: Goal) -> Objective:
    return Objective(name=goal.name, sense=goal.sense, value=0, bound=0, status=StageStatus.OPTIMAL)


def _further_probes(terms: Mapping[ObjectiveName, Term]) -> set[int]:
    """The variables of the probes of later weeks."""
    further = terms.get(ObjectiveName.FURTHER_PROBES)
    return {index for index, _ in further.coefficients} if further else set()
