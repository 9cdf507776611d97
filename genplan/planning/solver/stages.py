"""The lexicographic search: objectives in blocks, each block one solve from the whole answer of the one before."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from ortools.sat.python import cp_model

from genplan.plan import Objective, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress_channel import Say, no_progress
from genplan.planning.solver.counting_bounds import with_counted_bounds
from genplan.planning.solver.covering import link_coverage
from genplan.planning.solver.not_reached import not_reached
from genplan.planning.solver.objectives import BLOCK_EFFORTS, MOST, OBJECTIVES, Block, Goal, goals_for
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.search import Found, hint_all, nothing_chosen, search, whole_bound
from genplan.planning.solver.seating import begin_with, read_seats, with_probes_as_found
from genplan.planning.solver.variables import Variables, build_variables
from genplan.planning.solver.weighted import Term, bounds, digits, fitting, minimise, offset_of, term_of
from genplan.rules.placed_sittings import PlacedSitting

Terms = dict[ObjectiveName, Term]


def solve(
    problem: Problem,
    goals: Sequence[ObjectiveName],
    start: Sequence[PlacedSitting] = (),
    effort: float = 1.0,
    say: Say = no_progress,
    budget: Budget = ENDLESS,
) -> Outcome:
    """The best plan for the learners of the problem, by these objectives one after the other.

    `start` are seats to begin the search from. Once the budget is over the best seats so far are the answer. Raises
    SolverError where the solver says something that a sound model cannot say: the empty week always holds; ValueError
    for an objective that the problem has nothing for."""
    wanted = goals_for(problem, goals)
    if budget.is_over:
        return Outcome(
            seats=tuple(start), objectives=not_reached(problem, start, wanted), seconds={}, repeatable=False
        )
    v = build_variables(problem)
    link_coverage(v)
    for rule in RULES:
        rule(v)
    outcome = _search(v, start, wanted, effort, say, budget)
    return with_counted_bounds(problem, outcome) if v.cut else outcome


def _search(
    v: Variables,
    start: Sequence[PlacedSitting],
    goals: Sequence[Goal],
    effort: float,
    say: Say,
    budget: Budget,
) -> Outcome:
    work = effort * v.problem.case.policy.solver.work_per_stage
    terms = {
        g.name: term_of(v.model, expression, most=g.sense == MOST)
        for g in goals
        if (expression := g.expression(v)) is not None
    }
    if start:
        # the empty week as a start was measured to cost two thirds of the work for the new tuples
        begin_with(v, start)
        for index in sorted(_further_probes(terms)):
            v.model.add_hint(v.model.get_bool_var_from_proto_index(index), True)
    settled: list[Objective] = []
    seconds: dict[str, float] = {}
    left = [g for g in goals if g.name in terms]
    found: Found | None = None
    while left and not budget.is_over:
        block, began = _first_block(left, terms), time.perf_counter()
        found, objectives = _solve_block(v, block, terms, work, found, budget, say)
        settled += objectives
        left = left[len(objectives) :]
        name = block[0].searched_in
        seconds[name] = seconds.get(name, 0.0) + time.perf_counter() - began
    seats = read_seats(v, found) if found else tuple(start)
    values = found.values if found else ()
    counted = {o.name: _counted(o, terms[o.name], OBJECTIVES[o.name].scale, values) for o in settled}
    missing = {o.name: o for o in not_reached(v.problem, seats, left)}
    sizes = v.model.proto
    return Outcome(
        seats=seats,
        objectives=tuple(counted.get(g.name) or missing.get(g.name) or _nothing_to_count(g) for g in goals),
        seconds=seconds,
        variables=len(sizes.variables),
        constraints=len(sizes.constraints),
        repeatable=not left and all(o.status is not StageStatus.STOPPED for o in settled),
    )


def _first_block(goals: Sequence[Goal], terms: Terms) -> list[Goal]:
    """The first goals that are searched for together; one without a block of its own joins the one before."""
    same = list(takewhile(lambda g: g.block in (None, goals[0].searched_in), goals))
    return same[: fitting([terms[g.name] for g in same])]


def _solve_block(
    v: Variables,
    block: Sequence[Goal],
    terms: Terms,
    work: float,
    before: Found | None,
    budget: Budget,
    say: Say,
) -> tuple[Found, list[Objective]]:
    """The objectives of a block, or of its beginning, settled: with the answer that has their values. One that is not
    proven, and worth more work than all had together, is searched for once more by itself, and those after it later.
    """
    share = BLOCK_EFFORTS[block[0].searched_in]
    found, objectives = _solve_together(v, block, terms, share * work, before, budget, say)
    first = next((i for i, o in enumerate(objectives) if o.status is not StageStatus.OPTIMAL), None)
    if first is None or len(block) == 1 or block[first].effort <= share or budget.is_over:
        _settle(v, block, terms, found)
        return found, objectives
    _settle(v, block[:first], terms, found)
    alone = block[first : first + 1]
    found, more = _solve_together(v, alone, terms, alone[0].effort * work, found, budget, say)
    _settle(v, alone, terms, found)
    return found, objectives[:first] + more


def _solve_together(
    v: Variables,
    goals: Sequence[Goal],
    terms: Terms,
    work: float,
    before: Found | None,
    budget: Budget,
    say: Say,
) -> tuple[Found, list[Objective]]:
    """One search for all these goals as a weighted sum, and what it proves of each."""
    own = [terms[g.name] for g in goals]
    minimise(v.model, own)
    say(goals[0].name)

    def hear(value: float, bound: float) -> None:
        say(_line(goals, own, value, bound))

    if before and goals[0].searched_in is Block.COMFORT:
        hint_all(v.model, search(with_probes_as_found(v, before), work, budget))
    found = search(v.model, work, budget, hear, lambda model: _empty_week(model, terms))
    hint_all(v.model, found)
    steps = [t.steps(t.value_in(found.values)) for t in own]
    least = bounds(own, steps, whole_bound(found.bound, most=False) + offset_of(own))
    return found, [
        Objective(
            name=g.name,
            sense=g.sense,
            value=t.value(n) / g.scale,
            bound=t.value(fewest) / g.scale,
            status=StageStatus.OPTIMAL if n == fewest else found.unproven,
        )
        for g, t, n, fewest in zip(goals, own, steps, least, strict=True)
    ]


def _settle(v: Variables, goals: Sequence[Goal], terms: Terms, found: Found) -> None:
    """From now on no answer is worse in these than this one."""
    for goal in goals:
        term = terms[goal.name]
        value, expression = term.value_in(found.values), term.expression(v.model)
        v.model.add(expression >= value if term.most else expression <= value)


def _line(goals: Sequence[Goal], terms: Sequence[Term], value: float, bound: float) -> str:
    """`new tuples: 24, at most 26`, of the first that is not proven."""
    steps = digits(terms, round(value) + offset_of(terms))
    least = bounds(terms, steps, whole_bound(bound, most=False) + offset_of(terms))
    each = list(zip(goals, terms, steps, least, strict=True))
    goal, term, n, fewest = next((x for x in each if x[2] != x[3]), each[-1])
    known, at = term.value(n) / goal.scale, term.value(fewest) / goal.scale
    return f"{goal.name}: {known + 0.0:g}, at {goal.sense.replace('fewest', 'least')} {at:g}"


def _counted(objective: Objective, term: Term, scale: int, last: Sequence[int]) -> Objective:
    """The objective with its value in the last answer: where a search was not proven, a later one can better it."""
    value = term.value_in(last) / scale
    if value == objective.value:
        return objective
    status = StageStatus.OPTIMAL if value == objective.bound else objective.status
    return replace(objective, value=value, status=status)


def _nothing_to_count(goal: Goal) -> Objective:
    return Objective(name=goal.name, sense=goal.sense, value=0, bound=0, status=StageStatus.OPTIMAL)


def _empty_week(model: cp_model.CpModel, terms: Terms) -> None:
    """Hints the week without sittings, in which every later probe is still to be run: it always holds."""
    nothing_chosen(model, but=_further_probes(terms))


def _further_probes(terms: Terms) -> set[int]:
    """The variables of the probes of later weeks."""
    further = terms.get(ObjectiveName.FURTHER_PROBES)
    return {index for index, _ in further.coefficients} if further else set()
