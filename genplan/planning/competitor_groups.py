"""Small groups of learners who want the same adult or place: their sittings are given up and planned again together.

A group is one learner who has fewer new tuples than it could, and those whose sittings lie most in its way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.plan import COVERAGE, ObjectiveName
from genplan.planning.compatible import fits
from genplan.planning.construction import Caseload, all_seats
from genplan.planning.figures import coverage_values, new_tuples, told_value
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.openings import Opening
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting, of_learner

Seats = Mapping[str, tuple[PlacedSitting, ...]]
"""Each learner's; never changed, but given back anew."""


def improve_groups(load: Caseload, workers: Workers, seats: Seats, most: Mapping[str, int]) -> Seats:
    """Better seats for learners who have less than they could have alone, worst off first, in growing groups.

    A group's new plan is taken if it is better by the coverage objectives in their order and fits the others."""
    for size in SETTINGS.group_sizes:
        groups, fruitless = _groups(load, seats, most, size), 0
        for start in range(0, len(groups), SETTINGS.round_jobs):
            if workers.budget.is_over:
                return seats
            batch = groups[start : start + SETTINGS.round_jobs]
            jobs = [_job(load, seats, g, most) for g in batch]
            answers = zip(batch, workers.answers(run_solve, jobs), strict=True)
            before = seats
            for group, outcome in answers:
                seats = better_of(load, seats, group, outcome.seats, most)
            fruitless = 0 if seats is not before else fruitless + 1
            workers.progress(
                PhaseProgress(Phase.GROUPS, min(start + SETTINGS.round_jobs, len(groups)), len(groups))
            )
            if fruitless == SETTINGS.fruitless_rounds:
                break
    return seats


def _job(load: Caseload, seats: Seats, group: tuple[str, ...], most: Mapping[str, int]) -> SolveJob:
    own = tuple(s for i in group for s in seats[i])
    alone = {i: int(most[i]) for i in group}
    return SolveJob(
        problem=load.sparing(group, all_seats(seats, but=set(group)), alone),
        goals=load.sparing_objectives,
        start=own,
        effort=SETTINGS.group_effort,
    )


def _groups(load: Caseload, seats: Seats, most: Mapping[str, int], size: int) -> list[tuple[str, ...]]:
    """A group for each learner who has less than it could, who has least first. None twice."""
    short = sorted(
        (share_of(load, seats, i, most), i) for i in load.learners if share_of(load, seats, i, most) < 1
    )
    found: dict[tuple[str, ...], None] = {}
    for _, learner in short:
        rivals = _rivals(load, seats, learner)
        found[tuple(sorted((learner, *rivals[: size - 1])))] = None
    # a smaller one, where there are no more rivals, was tried before
    return [g for g in found if len(g) == size]


def share_of(load: Caseload, seats: Seats, learner: str, most: Mapping[str, int]) -> float:
    """What a learner has of the most new tuples that it could have alone."""
    if most[learner] <= 0:
        return 1.0
    own = [n for n in load.needs if n.target.learner == learner]
    return sum(len(new_tuples(n, seats[learner])) for n in own) / most[learner]


def _rivals(load: Caseload, seats: Seats, learner: str) -> list[str]:
    """The other learners who have sittings in this one's openings, who has most of them first."""
    openings = load.openings[learner]
    counts = {
        other: sum(_in_the_way(seat, openings) for seat in seats[other])
        for other in load.learners
        if other != learner
    }
    return sorted((i for i, n in counts.items() if n), key=lambda i: (-counts[i], i))


def _in_the_way(seat: PlacedSitting, openings: Sequence[Opening]) -> bool:
    return any(
        (o.adult in seat.adults or o.location == seat.location) and o.start < seat.end and seat.start < o.end
        for o in openings
    )


def better_of(
    load: Caseload,
    seats: Seats,
    group: tuple[str, ...],
    new: Sequence[PlacedSitting],
    most: Mapping[str, int],
) -> Seats:
    """With the group's new seats if they are worth more and clash with nobody's; else the very same as before.

    Seats are compared by `worth_of`: lexicographically, objective by objective in the order of the search, up to new
    tuples. Only what is strictly greater is taken: equal seats stay where they are. All but `shares` are sums over
    learners, and nobody else's seats change: in the first objective in which the group is better the caseload is better
    by as much. The share of a caseload is the least of all. Where that is somebody else's it stays, and the caseload
    may have fewer new tuples, for a better share of those who were worse off in the group."""
    others = all_seats(seats, but=set(group))
    old = tuple(s for i in group for s in seats[i])
    better = worth_of(load, group, new, most) > worth_of(load, group, old, most)
    if not better or not fits(load.case, new, (*load.begun, *others)):
        return seats
    return {**seats, **{i: of_learner(new, i) for i in group}}


def worth_of(
    load: Caseload, group: tuple[str, ...], seats: Sequence[PlacedSitting], most: Mapping[str, int]
) -> tuple[float, ...]:
    """What the seats of a group are worth, by the objectives up to new tuples in their order."""
    needs = [n for n in load.needs if n.target.learner in group]
    values = coverage_values(load.case, load.week, needs, seats, {i: most[i] for i in group})
    values[ObjectiveName.TOLD] = told_value(load.told, seats, group)
    order = load.objectives(*COVERAGE)
    return tuple(values[name] for name in order[: order.index(ObjectiveName.NEW_TUPLES) + 1])
