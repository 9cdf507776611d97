"""Each learner as if there were no other: what this reaches nobody can pass in company."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf

from genplan.case.people import NEEDS_SCALE
from genplan.plan import COVERAGE, ObjectiveName
from genplan.planning.candidate_pruning import pruned
from genplan.planning.caseload_problem import Caseload, Seats
from genplan.planning.jobs import SolveJob, Workers, run_size, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem, fitting
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS

ADDING_UP = (
    ObjectiveName.CHANGES,
    ObjectiveName.FURTHER_PROBES,
    ObjectiveName.FELL_THROUGH,
    ObjectiveName.SITTINGS,
    ObjectiveName.PROBES,
)
"""Comfort of which the whole has no less than its learners together; after the next one none can be told."""


def plan_alone(load: Caseload, workers: Workers, *, comfort: bool = True) -> dict[str, Outcome]:
    """In what the week shows, in the comfort that adds up over learners if that is asked for, and in what is left to
    others. Journeys of adults who see several learners are left out: two learners may share one."""
    jobs, outcomes = _jobs(load, (*(ADDING_UP if comfort else ()), *load.left_to_others)), {}
    for learner, outcome in zip(load.learners, workers.answers(run_solve, jobs), strict=True):
        outcomes[learner] = outcome
        workers.progress(PhaseProgress(Phase.ALONE, len(outcomes), len(jobs)))
    return outcomes


def size_alone(load: Caseload, workers: Workers, most: float = inf) -> int:
    """How many variables the models of all have at the least that `plan_alone` searches, without a search. No model is
    built where it can be counted that there are more than `most`."""
    jobs = _jobs(load, (*ADDING_UP, *load.left_to_others))
    least = sum(_least_size(job.problem) for job in jobs)
    return least if least > most else sum(workers.answers(run_size, jobs))


OF_A_SITTING = 5
"""Variables of each sitting that may be held, beside its probes: whether it is, its start, its end, how long it is, and
that with the rest behind it."""


def _least_size(problem: Problem) -> int:
    """How many variables its model has, if no opening is looked at for more than one sitting."""
    needs = tuple(pruned(n, ()) for n in problem.needs)
    problem = replace(problem, needs=needs)
    possible, size = set[str](), 0
    for opening in problem.openings:
        inside = [c.target for c in fitting(problem, opening) if c.first_day <= opening.day]
        size += OF_A_SITTING + len(inside) if inside else 0
        possible.update(inside)
    return size + sum(len(n.open) + len(n.new_sooner_or_later) for n in needs if n.id in possible)


def with_comfort(
    load: Caseload, workers: Workers, alone: Mapping[str, Outcome], seats: Seats
) -> dict[str, Outcome]:
    """What is proven of the comfort that adds up, too, of weeks that show as much as these, which show the most."""
    jobs = [
        replace(
            job,
            problem=replace(job.problem, day_most=alone[i].day_most, proven=proven_of([alone[i]], 1)),
            start=seats[i],
            by_days=False,
        )
        for i, job in zip(load.learners, _jobs(load, ADDING_UP), strict=True)
    ]
    return dict(zip(load.learners, workers.answers(run_solve, jobs), strict=True))


def _jobs(load: Caseload, comfort: Sequence[ObjectiveName]) -> list[SolveJob]:
    goals = load.objectives(*COVERAGE, *comfort)
    return [
        SolveJob(
            problem=replace(load.sparing((i,), (), {}), travelling=load.shared_adults),
            goals=goals,
            effort=SETTINGS.alone_effort,
            as_part=True,
            by_days=True,
        )
        for i in load.learners
    ]


def most_tuples(load: Caseload, learner: str, alone: Outcome) -> int:
    """The most new tuples that were proven possible for a learner alone, counted once each: in whole numbers, since 17
    tuples at 1.2 each are 16.999 by division."""
    return round(NEEDS_SCALE * alone.bound(ObjectiveName.NEW_TUPLES)) // load.case.learners[learner].weight


def proven_of(alone: Sequence[Outcome], learners: int) -> dict[ObjectiveName, float]:
    """What no week of so many learners can beat in an objective that is at its best in all before: the sums of what is
    proven of each alone, if it is of all. The learner worst off has its whole share where all have what they could."""
    if len(alone) < learners:
        return {}
    summed = {
        name: sum(o.bound(name) for o in alone)
        for name in (ObjectiveName.RATHER, *COVERAGE, ObjectiveName.TOLD, *ADDING_UP)
        if all(o.objective(name) for o in alone)
    }
    if learners > 1:
        summed[ObjectiveName.SHARES] = float(any(o.bound(ObjectiveName.NEW_TUPLES) > 0 for o in alone))
    return summed
