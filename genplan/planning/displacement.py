"""A learner who has fewer new tuples than it could gets the week that was found for it alone.

Those who are in its way are planned anew on what is left. They often lose nothing: another adult or another hour does
as well. If that is not better for all of them together, everything stays as it was. One try is one job: those who give
way are planned one after the other, each beside the ones before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from genplan.plan import ObjectiveName
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.compatible import fits, keep_what_fits
from genplan.planning.competitor_groups import Seats, better_of, share_of
from genplan.planning.construction import Caseload, all_seats
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.openings import Hours
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem, beside
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Displacement:
    """One try.

    - `free`: everybody's hours before anything was planned
    - `goals`: the objectives of each search, in their order
    - `learner`, `seats`: who gets which sittings
    - `away`: who gives way, in order: each one's problem beside all who stay, and the sittings it had"""

    free: Hours
    goals: tuple[ObjectiveName, ...]
    learner: str
    seats: tuple[PlacedSitting, ...]
    away: tuple[tuple[Problem, tuple[PlacedSitting, ...]], ...]

    @property
    def group(self) -> tuple[str, ...]:
        return (self.learner, *(i for problem, _ in self.away for i in problem.learners))


def displace(
    load: Caseload, workers: Workers, seats: Seats, alone: Mapping[str, Outcome], most: Mapping[str, int]
) -> Seats:
    """Better seats for learners who have less than they could have alone, worst off first, each tried once."""
    short = sorted((share, i) for i in load.learners if (share := share_of(load, seats, i, most)) < 1)
    for start in range(0, len(short), SETTINGS.round_jobs):
        if workers.budget.is_over:
            break
        tries = [_try(load, seats, i, alone[i].seats) for _, i in short[start : start + SETTINGS.round_jobs]]
        jobs = [job for job in tries if job is not None]
        for job, new in zip(jobs, workers.answers(run_displacement, jobs), strict=True):
            seats = better_of(load, seats, job.group, new, most)
        workers.progress(
            PhaseProgress(Phase.GIVING_WAY, min(start + SETTINGS.round_jobs, len(short)), len(short))
        )
    return seats


def _try(
    load: Caseload, seats: Seats, learner: str, wanted: tuple[PlacedSitting, ...]
) -> Displacement | None:
    """What it takes for the learner to have the seats that are wanted. None: nobody has to give way, or too many."""
    rivals = _rivals(seats, learner, wanted)
    stay: list[PlacedSitting] = [*load.begun, *wanted, *all_seats(seats, but={learner, *rivals})]
    away = []
    for other in rivals:
        if fits(load.case, seats[other], stay):
            stay += seats[other]
        else:
            away.append(other)
    if not away or len(away) > SETTINGS.give_way_at_most:
        return None
    others = all_seats(seats, but={learner, *away})
    return Displacement(
        free=load.free,
        goals=load.sparing_objectives,
        learner=learner,
        seats=wanted,
        away=tuple((load.sparing((i,), others, {}), seats[i]) for i in away),
    )


def _rivals(seats: Seats, learner: str, wanted: Sequence[PlacedSitting]) -> list[str]:
    """Whose seats share an adult with the wanted ones, on the same day a set, or the place at the same time."""
    near = set()
    for seat in all_seats(seats, but={learner}):
        for own in wanted:
            if (
                not set(own.adults).isdisjoint(seat.adults)
                or (own.day == seat.day and not own.material_sets.isdisjoint(seat.material_sets))
                or (own.location == seat.location and own.start < seat.end and seat.start < own.end)
            ):
                near.add(seat.learner)
    return sorted(near)


def run_displacement(job: Displacement, budget: Budget = ENDLESS) -> tuple[PlacedSitting, ...]:
    """All seats of the learner and of those who give way: each solved on what the ones before it leave."""
    together = job.seats
    for problem, before in job.away:
        left = beside(problem, job.free, together)
        start = keep_what_fits(left.case, before, left.taken)
        together += run_solve(
            SolveJob(problem=left, goals=job.goals, start=start, effort=SETTINGS.give_way_effort), budget
        ).seats
    return together
