"""How many probes a day of a learner can hold at the most: a cut, found by solving each day by itself.

Limits, rests, ways and the sittings' own minutes keep a day from holding what its hours seem to have room for, and the
linear relaxation sees little of it. A day by itself is solved in a blink. With 30 minutes of rest and two probes a
sitting, a learner's bound on new tuples came from 55 to 42, which is what the plan shows, and the proof from out of
reach to a second; sixty learners take a third less work.

Why it is valid (own derivation): all rules are upper limits or ask for gaps between sittings, so a week that keeps them
still does if all but one day of it is left out. What that day holds by itself at the most, or the proven bound of that
search where its work ran out, is therefore no less than the probes of the day in any week.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.problem import Problem
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.search import search, whole_bound
from genplan.planning.solver.variables import build_variables


def daily_capacities(problem: Problem, budget: Budget = ENDLESS) -> Mapping[tuple[str, int], int]:
    """For each learner and day with openings a proven bound on the probes that it can hold, whatever others do. A day
    of which not all is looked at has none, nor have those that the budget does not reach."""
    days = sorted({(o.learner, o.day) for o in problem.openings})
    found = {key: _most(problem, *key, budget) for key in days if not budget.is_over}
    return {key: most for key, most in found.items() if most is not None}


def _most(problem: Problem, learner: str, day: int, budget: Budget) -> int | None:
    alone = replace(
        problem,
        learners=(learner,),
        needs=problem.needs_of(learner),
        openings=tuple(o for o in problem.openings if (o.learner, o.day) == (learner, day)),
    )
    v = build_variables(alone)
    if v.cut:
        return None
    for rule in RULES:
        rule(v)
    probes = [p for s in v.slots for p in s.probes.values()]
    if not probes:
        return 0
    v.model.maximize(sum(probes))
    return whole_bound(search(v.model, SETTINGS.day_work, budget).bound, most=True)
