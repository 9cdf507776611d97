"""Two learners who want the same adult or place: their sittings are given up and planned again together.

One has fewer new tuples than it could, and the other's sittings lie most in its way.
"""

from __future__ import annotations

from dataclasses import replace

from genplan.plan import COVERAGE, ObjectiveName
from genplan.planning.jobs import SolveJob
from genplan.planning.rivals import rivals
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS

Pair = tuple[str, str]


def pairs(best: BestSoFar) -> list[Pair]:
    """One for each learner who has less than it could and has a rival, who has least first. None twice."""
    found = ((i, next(iter(rivals(best.load, i, best.seats)), None)) for i in best.short_of_new)
    return list(dict.fromkeys((min(i, other), max(i, other)) for i, other in found if other))


def plan_together(best: BestSoFar, group: Pair) -> Move:
    """The share of the learner worst off can rise only where all who have so little are in the group; else it is no
    objective. Who has nothing at all of what it could have is worth a longer search."""
    load, least = best.load, min(map(best.share, best.load.learners))
    worst_off = {i for i in best.short if best.share(i) == least < 1}
    goals = tuple(n for n in COVERAGE if n is not ObjectiveName.SHARES or worst_off.issubset(group))
    problem = load.problem(group, best.others(group), {i: best.most[i] for i in group})
    job = SolveJob(
        problem=replace(problem, proven=best.proven_of(group)),
        goals=load.objectives(*goals),
        start=tuple(s for i in group for s in best.seats[i]),
        effort=SETTINGS.pair_effort if all(map(best.share, group)) else SETTINGS.turn_effort,
    )
    return Move(subject=group, group=group, free=load.free, solves=(job,))
