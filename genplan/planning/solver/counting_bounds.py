"""Bounds that hold of every week, whichever possibilities the search looked at: by counting alone.

Where a search leaves possibilities out, what it proves is proven of the rest only. Its outcome then has these bounds,
and a value is proven the best only where it reaches one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import comb

from genplan.case import Target
from genplan.plan import Objective, StageStatus
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.solver.objectives import MOST


def with_counted_bounds(
    problem: Problem, outcome: Outcome, proven: Mapping[str, float] | None = None
) -> Outcome:
    """The outcome with counted bounds, 0 where nothing can be counted, and `proven` ones where they are tighter."""
    counted, known = counted_bounds(problem), proven or {}

    def tightest(o: Objective) -> float:
        bound = counted.get(o.name, 0.0)
        tighter = min if o.sense == MOST else max
        return tighter(bound, known.get(o.name, bound))

    return replace(outcome, objectives=tuple(_bounded(o, tightest(o)) for o in outcome.objectives))


def shown_by_a_probe(target: Target) -> int:
    """The tuples that one probe shows: C(k, t), one for each choice of t of the target's k dimensions."""
    return comb(len(target.dimensions), target.strength)


def _bounded(objective: Objective, bound: float) -> Objective:
    proven = abs(objective.value - bound) < 1e-6
    status = StageStatus.OPTIMAL if proven else StageStatus.BEST_SO_FAR
    if not proven and objective.status is StageStatus.STOPPED:
        status = StageStatus.STOPPED
    return replace(objective, bound=bound, status=status)
