"""Objectives of what may not take place: what fell through comes again, and what cannot come again comes early."""

from __future__ import annotations

from genplan.planning.solver.covering import shown_in_time
from genplan.planning.solver.slots import Linear
from genplan.planning.solver.variables import Variables, any_of


def not_again(v: Variables) -> Linear | None:
    """What fell through, could be run this week and is not in it."""
    terms: list[Linear] = []
    for need in v.problem.needs:
        for combination, day in need.fell_through:
            ways = [var for _, choice, var in v.by_target[need.id] if choice.combination == combination]
            terms.append(1 - any_of(v, f"{need.id} {' '.join(combination)} of {day} again", ways))
    return sum(terms) if terms else None


def too_late_to_catch_up(v: Variables) -> Linear | None:
    """What cannot be shown after this week and is not shown while a day of it is left."""
    terms = [1 - shown for n in v.problem.needs for shown in shown_in_time(v, n, dict(n.catch_up))]
    return sum(terms) if terms else None
