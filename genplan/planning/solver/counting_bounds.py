"""Bounds that hold of every week, whichever possibilities the search looked at: by counting alone.

Where a search leaves possibilities out, what it proves is proven of the rest only. Its outcome then has these bounds,
and a value is proven the best only where it reaches one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import comb

from genplan.case import Target
from genplan.case.people import NEEDS_SCALE
from genplan.plan import Objective, ProbeKind, StageStatus
from genplan.planning.figures import owed_values
from genplan.planning.needs import TargetNeed
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem


def with_counted_bounds(
    problem: Problem, outcome: Outcome, proven: Mapping[str, float] | None = None
) -> Outcome:
    """The outcome with `proven` bounds where there are some, and counted ones elsewhere; 0 for what is counted down."""
    bounds = {**counted_bounds(problem), **(proven or {})}
    return replace(
        outcome, objectives=tuple(_bounded(o, bounds.get(o.name, 0.0)) for o in outcome.objectives)
    )


def counted_bounds(problem: Problem) -> dict[str, float]:
    """What is owed, and less where the limit of the week is: of each target at most `probes_per_target_per_week` probes
    are run, each of which shows one tuple of each set of t dimensions; so many later weeks are spared at the most. Own
    derivation."""
    week_most = problem.case.policy.probes_per_target_per_week
    shown = sum(
        problem.case.learners[n.target.learner].weight
        * min(len(n.open), week_most * shown_by_a_probe(n.target))
        for n in problem.needs
    )
    return owed_values(problem) | {
        "due": float(sum(map(_due, problem.needs))),
        "new tuples": shown / NEEDS_SCALE,
        "worth": shown / NEEDS_SCALE,
        "further probes": float(sum(max(0, f - week_most) for f in problem.fewest.values())),
    }


def shown_by_a_probe(target: Target) -> int:
    """The tuples that one probe shows."""
    return comb(len(target.dimensions), target.strength)


def _due(need: TargetNeed) -> int:
    """An overdue maintenance probe counts twice."""
    return len(need.of_kind(ProbeKind.RETEST)) + 2 * bool(need.of_kind(ProbeKind.MAINTENANCE))


def _bounded(objective: Objective, bound: float) -> Objective:
    proven = abs(objective.value - bound) < 1e-6
    status = StageStatus.OPTIMAL if proven else StageStatus.BEST_SO_FAR
    if not proven and objective.status is StageStatus.STOPPED:
        status = StageStatus.STOPPED
    return replace(objective, bound=bound, status=status)
