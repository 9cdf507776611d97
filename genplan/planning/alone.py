"""Each learner as if there were no other: what this reaches nobody can pass in company."""

from __future__ import annotations

from genplan.case.people import NEEDS_SCALE
from genplan.plan import ObjectiveName
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.outcome import Outcome


def plan_alone(load: Caseload, workers: Workers) -> dict[str, Outcome]:
    jobs = [
        SolveJob(problem=load.sparing((i,), (), {}), goals=load.sparing_objectives, by_days=True)
        for i in load.learners
    ]
    outcomes = {}
    for learner, outcome in zip(load.learners, workers.answers(run_solve, jobs), strict=True):
        outcomes[learner] = outcome
        workers.progress(f"alone {len(outcomes)} of {len(jobs)}")
    return outcomes


def most_tuples(load: Caseload, learner: str, alone: Outcome) -> int:
    """The most new tuples that were proven possible for a learner alone, counted once each: in whole numbers, since 17
    tuples at 1.2 each are 16.999 by division."""
    return round(NEEDS_SCALE * alone.bound(ObjectiveName.NEW_TUPLES)) // load.case.learners[learner].weight
