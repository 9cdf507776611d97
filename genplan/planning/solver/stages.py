"""The lexicographic search: one solve for each objective, each starting from the whole answer of the one before."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isclose

from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import COMFORT, Beside, Objective, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.figures import values_in
from genplan.planning.needs import Choice
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress_channel import Say, no_progress
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
    comfort: float = 1.0,
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
    outcome = _search(v, start, wanted, effort, say, budget, comfort)
    return with_counted_bounds(problem, outcome) if v.cut else outcome


def _search(
    v: Variables,
    start: Sequence[PlacedSitting],
    goals: Sequence[Goal],
    effort: float,
    say: Say,
    budget: Budget,
    comfort: float,
) -> Outcome:
    limits = v.problem.case.policy.solver
    objectives: list[Objective] = []
    expressions: dict[ObjectiveName, Linear] = {}
    seconds: dict[str, float] = {}
    worked: dict[str, float] = {}
    found: Found | None = None
    settled = _settled(v, start, goals)
    at_best = True
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
        if goal.name in settled:
            value = settled[goal.name]
            _keep(v, goal, expression, round(value * goal.scale))
            objectives.append(
                Objective(
                    name=goal.name, sense=goal.sense, value=value, bound=value, status=StageStatus.OPTIMAL
                )
            )
            continue
        part = effort * (comfort if goal.name in COMFORT else 1.0)
        work = part * goal.effort * limits.work_per_stage
        proven = v.problem.proven.get(goal.name) if at_best else None
        if proven is not None:
            _cut(v, goal, expression, round(proven * goal.scale))
        found, objective = _stage(v, goal, expression, work, budget, say)
        at_best = proven is not None and isclose(objective.value, proven, abs_tol=1e-6)
        seconds[goal.name], worked[goal.name] = time.perf_counter() - began, found.work
        expressions[goal.name] = expression
        objectives.append(objective)
    reached = goals[: len(objectives)]
    counted = [_counted(g, o, expressions, found) for g, o in zip(reached, objectives, strict=True)]
    seats = read_seats(v, found) if found else tuple(start)
    sizes = v.model.proto
    return Outcome(
        seats=seats,
        objectives=(*counted, *not_reached(v.problem, seats, goals[len(reached) :])),
        seconds=seconds,
        work=worked,
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
    say(goal.name)
    found = search(v.model, work, budget, lambda value, bound: say(_line(goal, value, bound)))
    value, bound = found.solver.value(expression), whole_bound(found.bound, most=most)
    _keep(v, goal, expression, value)
    hint_all(v.model, found)
    objective = Objective(
        name=goal.name,
        sense=goal.sense,
        value=value / goal.scale,
        bound=bound / goal.scale,
        status=found.status,
    )
    return found, objective


def _keep(v: Variables, goal: Goal, expression: Linear, value: int) -> None:
    v.model.add(expression >= value if goal.sense == MOST else expression <= value)


def _cut(v: Variables, goal: Goal, expression: Linear, proven: int) -> None:
    """What is proven, told to the search: it ends with the first answer that is as good."""
    v.model.add(expression <= proven if goal.sense == MOST else expression >= proven)


def _settled(
    v: Variables, start: Sequence[PlacedSitting], goals: Sequence[Goal]
) -> Mapping[ObjectiveName, float]:
    """The first objectives, up to one that may still be bettered, in which the start has what is proven to be the most:
    they need no search. None where the variables do not hold all of the start."""
    values, settled = values_in(v.problem, start), {}
    for goal in goals if v.problem.proven and _all_seated(v, start) else ():
        proven = v.problem.proven.get(goal.name)
        if goal.sense != MOST or proven is None or not isclose(values[goal.name], proven, abs_tol=1e-6):
            break
        settled[goal.name] = proven
    return settled


def _all_seated(v: Variables, start: Sequence[PlacedSitting]) -> bool:
    seated = _slots_of(v, start)
    held = {
        (seat, PlacedProbe(choice.target, choice.combination, choice.kind))
        for slot in v.slots
        if (seat := seated.get(id(slot)))
        for choice in slot.probes
    }
    return all((s, p) in held for s in start for p in s.probes)


def _line(goal: Goal, value: float, bound: float) -> str:
    """`new tuples: 24, at most 26`."""
    scaled = whole_bound(bound, most=goal.sense == MOST) / goal.scale
    return f"{goal.name}: {value / goal.scale + 0.0:g}, at {goal.sense.replace('fewest', 'least')} {scaled:g}"


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
