"""Objectives that a search had no time for: counted on the seats that there are, with a bound that needs no search."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, nan

from genplan.plan import Objective, StageStatus
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.figures import values_in
from genplan.planning.problem import Problem
from genplan.planning.solver.objectives import MOST, Goal
from genplan.rules.placed_sittings import PlacedSitting


def not_reached(
    problem: Problem, seats: Sequence[PlacedSitting], goals: Sequence[Goal]
) -> tuple[Objective, ...]:
    """What is known of these goals without a search: `STOPPED` where the seats can be counted, else `NOT_REACHED`."""
    if not goals:
        return ()
    values = values_in(problem, seats) | {"asked": 0.0}
    bounds = counted_bounds(problem)
    found = []
    for goal in goals:
        bound = bounds.get(goal.name, inf if goal.sense == MOST else 0.0)
        value = values.get(goal.name, nan)
        status = StageStatus.STOPPED if goal.name in values else StageStatus.NOT_REACHED
        if value == bound:
            status = StageStatus.OPTIMAL
        found.append(Objective(name=goal.name, sense=goal.sense, value=value, bound=bound, status=status))
    return tuple(found)
