"""The lexicographic search: one solve for each objective, each starting from the whole answer of the one before."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import replace

from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import Beside, Objective, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.needs import Choice
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Say, StageProgress, WeekSoFar, no_progress
from genplan.planning.solver.counting_bounds import with_counted_bounds
from genplan.planning.solver.covering import link_coverage
from genplan.planning.solver.not_reached import not_reached
from genplan.planning.solver.objectives import MOST, Goal, goals_for
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.search import Found, hint_all, search, whole_bound
from genplan.planning.solver.variables import Companion, Linear, Variables, build_variables, grouped
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


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
    _begin_with(v, start)
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
    limits = v.problem.case.policy.solver
    objectives: list[Objective] = []
    expressions: dict[ObjectiveName, Linear] = {}
    seconds: dict[str, float] = {}
    found: Found | None = None
    for goal in goals:
        if budget.is_over:
            break
        began = time.perf_counter()
        expression = goal.expression(v)
        if expression is None:
            objectives.append(
                Objective(
                    name=goal.name,
                    sense=goal.sense,
                    value=0,
                    bound=0,
                    status=StageStatus.OPTIMAL,
                )
            )
            continue
        work = effort * goal.effort * limits.work_per_stage
        found, objective = _stage(v, goal, expression, work, budget, say)
        seconds[goal.name] = time.perf_counter() - began
        expressions[goal.name] = expression
        objectives.append(objective)
        if say is not no_progress:
            say(WeekSoFar(read_seats(v, found)))
    reached = goals[: len(objectives)]
    counted = [_counted(g, o, expressions, found) for g, o in zip(reached, objectives, strict=True)]
    seats = read_seats(v, found) if found else tuple(start)
    sizes = v.model.proto
    return Outcome(
        seats=seats,
        objectives=(*counted, *not_reached(v.problem, seats, goals[len(reached) :])),
        seconds=seconds,
        variables=len(sizes.variables),
        constraints=len(sizes.constraints),
        repeatable=len(reached) == len(goals)
        and all(o.status is not StageStatus.STOPPED for o in objectives),
    )


def _stage(
    v: Variables, goal: Goal, expression: Linear, work: float, budget: Budget, say: Say
) -> tuple[Found, Objective]:
    most = goal.sense == MOST
    if most:
        v.model.maximize(expression)
    else:
        v.model.minimize(expression)
    say(StageProgress(goal.name, most))
    found = search(v.model, work, budget, lambda value, bound: say(_so_far(goal, value, bound)))
    value, bound = found.solver.value(expression), whole_bound(found.bound, most=most)
    v.model.add(expression >= value if most else expression <= value)
    hint_all(v.model, found)
    objective = Objective(
        name=goal.name,
        sense=goal.sense,
        value=value / goal.scale,
        bound=bound / goal.scale,
        status=found.status,
    )
    return found, objective


def _so_far(goal: Goal, value: float, bound: float) -> StageProgress:
    most = goal.sense == MOST
    return StageProgress(
        goal.name, most, value / goal.scale + 0.0, whole_bound(bound, most=most) / goal.scale
    )


def _counted(
    goal: Goal, objective: Objective, expressions: Mapping[ObjectiveName, Linear], last: Found | None
) -> Objective:
    """The objective with its value in the last answer: where a stage was not proven, a later one can better it."""
    if goal.name not in expressions or last is None:
        return objective
    value = last.solver.value(expressions[goal.name]) / goal.scale
    if value == objective.value:
        return objective
    status = StageStatus.OPTIMAL if value == objective.bound else objective.status
    return replace(objective, value=value, status=status)


def _begin_with(v: Variables, start: Sequence[PlacedSitting]) -> None:
    """Starts the first stage from known seats, or from the week without sittings: that one always holds, so there is
    an answer whenever a limit strikes."""
    seated = _slots_of(v, start)
    for slot in v.slots:
        seat = seated.get(id(slot))
        probes = {(p.target, p.combination) for p in seat.probes} if seat else set()
        v.model.add_hint(slot.present, seat is not None)
        for choice, var in slot.probes.items():
            v.model.add_hint(var, (choice.target, choice.combination) in probes)
        if seat:
            v.model.add_hint(
                slot.step, (seat.start % MINUTES_PER_DAY) // v.problem.case.policy.start_every_minutes
            )
            v.model.add_hint(slot.end, seat.end)
        for companion in slot.companions:
            sits = seat is not None and _sits(companion, seat)
            v.model.add_hint(companion.present, sits)
            v.model.add_hint(companion.minutes, seat.minutes if seat and sits else 0)
    shown = {
        (c.target, t) for s in v.slots for c in s.probes for t in c.shows if _is_seated(seated.get(id(s)), c)
    }
    for key, var in v.covered.items():
        v.model.add_hint(var, key in shown)


def _sits(companion: Companion, seat: PlacedSitting) -> bool:
    company = companion.company
    return company.adult == seat.beside and company.start <= seat.start and seat.end <= company.end


def _is_seated(seat: PlacedSitting | None, choice: Choice) -> bool:
    return seat is not None and any(
        (p.target, p.combination) == (choice.target, choice.combination) for p in seat.probes
    )


def _slots_of(v: Variables, start: Sequence[PlacedSitting]) -> dict[int, PlacedSitting]:
    """For each seat the first free slot of the same people and place whose opening holds it."""
    found: dict[int, PlacedSitting] = {}
    slots = grouped(v.slots, lambda s: (s.learner, s.adult, s.location))
    for seat in sorted(start):
        for slot in slots.get((seat.learner, seat.adult, seat.location), []):
            if id(slot) not in found and slot.opening.start <= seat.start and seat.end <= slot.opening.end:
                found[id(slot)] = seat
                break
    return found


def read_seats(v: Variables, found: Found) -> tuple[PlacedSitting, ...]:
    """The one place where the solver's values become plain ones."""
    solver, seats = found.solver, []
    for slot in v.slots:
        if solver.value(slot.present):
            probes = tuple(
                sorted(
                    PlacedProbe(c.target, c.combination, c.kind)
                    for c, p in slot.probes.items()
                    if solver.value(p)
                )
            )
            start, end = solver.value(slot.start), solver.value(slot.end)
            beside = [c.adult for c in slot.companions if solver.value(c.present)]
            company = (beside[0], Beside.COMPANION) if beside else ("", Beside.NOBODY)
            seats.append(PlacedSitting(slot.learner, slot.adult, slot.location, start, end, probes, *company))
    return tuple(sorted(seats))
