"""Each learner once more with all objectives, the others as they are: what the week is like to live with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from genplan.plan import COMFORT, COVERAGE
from genplan.planning.jobs import SolveJob
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS


def everybody(best: BestSoFar) -> Sequence[str]:
    return best.load.learners


def settle_comfort(best: BestSoFar, learner: str) -> Move:
    load, group = best.load, (learner,)
    problem = load.problem(group, best.others(group), {learner: best.most[learner]})
    job = SolveJob(
        problem=replace(problem, proven=best.proven_of(group)),
        goals=load.objectives(*COVERAGE, *COMFORT),
        start=best.seats[learner],
        effort=SETTINGS.finish_effort,
        # where something is settled, all of its probes have to be there
        as_part=load.settled is None,
        probes_stay=True,
    )
    return Move(subject=learner, group=group, free=load.free, solves=(job,))
