"""What is scarce in a caseload, what each learner would lose without it, and what that proves of all together.

Who would lose most is planned first. And of a scarce adult there are only so many sittings in a week. If each had a
toll, in new tuples, no week could show more than what each learner is worth at the most after paying, and all tolls
that there is room for (a Lagrangian relaxation of the scarce one's own time).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import ceil, inf

from genplan.case.windows import Windows, merge
from genplan.plan import COVERAGE, ObjectiveName, minutes_of
from genplan.planning.alone import proven_of
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.openings import Opening, split_at_midnight, starts_in
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting

Named = tuple[str, str]
"""`("adult" or "location", id)`."""
KINDS = ("adult", "location")
TOLL_GOALS = (*(name for name in COVERAGE if name is not ObjectiveName.NEW_TUPLES), ObjectiveName.WORTH)


@dataclass(frozen=True)
class Bottlenecks:
    """`room` are the adults and locations that are scarce, each with the most sittings that it can have in the week;
    `without` is the week that each learner who would take some has without them."""

    room: Mapping[Named, int]
    without: Mapping[str, Outcome]

    def rooms(self, kind: str) -> int:
        return sum(room for (of_kind, _), room in self.room.items() if of_kind == kind)

    def taken(self, kind: str, seats: Iterable[PlacedSitting]) -> int:
        """How many sittings these are of all scarce adults, or in all scarce locations."""
        return sum((kind, id_) in self.room for s in seats for of_kind, id_ in named(s) if of_kind == kind)


def bottlenecks_in(load: Caseload, workers: Workers, alone: Mapping[str, Outcome]) -> Bottlenecks:
    """Compares what the plans found alone take of all that is shared with what there is of it."""
    if workers.budget.is_over:
        return Bottlenecks({}, {})
    there, taken = _hours(load), _minutes_taken(load, alone)
    scarce = frozenset(
        n
        for n, hours in there.items()
        if taken[n] > SETTINGS.scarce_from * _places(load, n) * sum(w.length for w in hours)
    )
    takers = [i for i in load.learners if any(not scarce.isdisjoint(named(s)) for s in alone[i].seats)]
    jobs = [
        SolveJob(
            problem=_without(load.sparing((i,), (), {}), scarce),
            goals=load.sparing_objectives,
            effort=SETTINGS.alone_effort,
        )
        for i in takers
    ]
    without = {}
    for learner, outcome in zip(takers, workers.answers(run_solve, jobs), strict=True):
        without[learner] = outcome
        workers.progress(PhaseProgress(Phase.SCARCE, len(without), len(jobs)))
    return Bottlenecks({n: _places(load, n) * _sittings_in(load, there[n]) for n in sorted(scarce)}, without)


def by_loss(
    load: Caseload, alone: Mapping[str, Outcome], scarcity: Bottlenecks
) -> dict[str, tuple[PlacedSitting, ...]]:
    """The learners in the order in which they are planned, each with the seats to try first: who would lose most
    without what is scarce, then who has the fewest openings. Who would lose nothing leaves it to others."""
    wanted, losses = {i: o.seats for i, o in alone.items()}, {}
    for learner, without in scarcity.without.items():
        loss = _loss(alone[learner], without)
        if loss > (0.0,) * len(loss):
            losses[learner] = loss
        else:
            wanted[learner] = without.seats

    def before(learner: str) -> tuple[object, ...]:
        most_first = [-x for x in losses.get(learner, ())]
        return learner not in losses, most_first, len(load.openings[learner]), learner

    return {i: wanted[i] for i in sorted(load.learners, key=before)}


def lagrangian_bound(
    load: Caseload, workers: Workers, alone: Mapping[str, Outcome], scarcity: Bottlenecks
) -> float:
    """What the new tuples of all learners cannot pass while all objectives before them are at their best; endless where
    there is enough for all.

    A Lagrangian relaxation (A. M. Geoffrion, Mathematical Programming Study 2 (1974), 82-114, from memory). For learner
    i let X_i be the weeks possible alone, v_i(x) the weighted new tuples of x, and use_k(x) its sittings with scarce
    adults (k = adult) or in scarce locations (k = location); capacity_k is the most such sittings that the week has
    room for. For every toll lambda_k >= 0, in tuples a sitting,

        L(lambda) = sum_i max over x in X_i of [v_i(x) - sum_k lambda_k use_k(x)] + sum_k lambda_k capacity_k
                 >= the most that all can have together:

    the weeks of all together lie in the X_i and keep sum_i use_k <= capacity_k, so that they pay no more than sum_k
    lambda_k capacity_k. For each maximum the proven bound of its search is taken. Who would take nothing scarce enters
    with the bound found alone, since paying can only lower it. No toll has to be a good one for that to hold. The next
    is a step against the subgradient capacity_k - sum_i use_k: up where more is asked for than there is, else down."""
    tolls = {kind: _marginal_toll(kind, alone, scarcity) for kind in KINDS}
    most = inf
    for _ in range(SETTINGS.tolls_tried if any(tolls.values()) else 0):
        if workers.budget.is_over:
            break
        outcomes = _with_tolls(load, workers, alone, scarcity, tolls)
        free = sum(o.bound(ObjectiveName.NEW_TUPLES) for i, o in alone.items() if i not in outcomes)
        paid = sum(o.bound(ObjectiveName.WORTH) for o in outcomes.values())
        most = min(most, free + paid + sum(tolls[kind] * scarcity.rooms(kind) for kind in KINDS) / 100)
        for kind in KINDS:
            # the bound is lowest where as much is asked for as there is
            asked = sum(scarcity.taken(kind, o.seats) for o in outcomes.values())
            step = SETTINGS.toll_raised if asked > scarcity.rooms(kind) else SETTINGS.toll_lowered
            tolls[kind] = round(tolls[kind] * step)
    return most


def _with_tolls(
    load: Caseload,
    workers: Workers,
    alone: Mapping[str, Outcome],
    scarcity: Bottlenecks,
    tolls: Mapping[str, int],
) -> dict[str, Outcome]:
    """The weeks that learners have who would take what is scarce, if each sitting with it has its toll. What comes
    before the tolls is settled by the week found alone, and of the rest the bound alone is wanted."""
    each = {(kind, id_): tolls[kind] for kind, id_ in scarcity.room}
    jobs = [
        SolveJob(
            problem=replace(load.problem((i,), (), {}), tolls=each, proven=proven_of([alone[i]], 1)),
            goals=load.ordered(*TOLL_GOALS),
            start=alone[i].seats,
            effort=SETTINGS.by_itself_effort,
        )
        for i in scarcity.without
    ]
    outcomes = {}
    for learner, outcome in zip(scarcity.without, workers.answers(run_solve, jobs), strict=True):
        outcomes[learner] = outcome
        workers.progress(PhaseProgress(Phase.BOUND, len(outcomes), len(jobs)))
    return outcomes


def _marginal_toll(kind: str, alone: Mapping[str, Outcome], scarcity: Bottlenecks) -> int:
    """In hundredths of a tuple, what the last sitting is worth for which there is room, if those who lose most by each
    come first; 0 where there is room for all."""
    taken = {i: n for i in scarcity.without if (n := scarcity.taken(kind, alone[i].seats))}
    loss = {
        i: alone[i].bound(ObjectiveName.NEW_TUPLES) - scarcity.without[i].bound(ObjectiveName.NEW_TUPLES)
        for i in taken
    }
    left = scarcity.rooms(kind)
    for learner in sorted(taken, key=lambda i: -loss[i] / taken[i]):
        left -= taken[learner]
        if left < 0:
            # of a search that the clock ended the bounds say little; a toll is never negative
            return max(0, round(100 * loss[learner] / taken[learner]))
    return 0


def _loss(alone: Outcome, without: Outcome) -> tuple[float, ...]:
    """What a learner loses without what is scarce, by the coverage objectives in their order."""
    values = {o.name: o.value for o in alone.objectives}
    return tuple(values[o.name] - o.value for o in without.objectives if o.sense == "most")


def _minutes_taken(load: Caseload, alone: Mapping[str, Outcome]) -> Counter[Named]:
    """The minutes that the plans found alone take, added up; an adult's with the way to where nobody else is seen."""
    taken: Counter[Named] = Counter()
    for seat in (s for o in alone.values() for s in o.seats):
        for kind, id_ in named(seat):
            taken[kind, id_] += seat.minutes + (load.detours.get(seat.location, 0) if kind == "adult" else 0)
    return taken


def _hours(load: Caseload) -> dict[Named, Windows]:
    """When anybody could have a sitting with each adult, or in each location, that more learners can use than it has
    room for."""
    found: dict[Named, list[tuple[int, int]]] = {n: [] for n in load.prices}
    for opening in (o for own in load.openings.values() for o in own):
        for one in found.keys() & set(named(opening)):
            found[one].append((opening.start, opening.end))
    return {n: merge(stretches) for n, stretches in found.items()}


def _sittings_in(load: Caseload, hours: Windows) -> int:
    """How many sittings these hours can hold one after the other: each begins on the grid, and has a probe."""
    policy = load.case.policy
    grid = policy.start_every_minutes
    least = policy.settle_minutes + min(minutes_of(n.target, c.kind) for n in load.needs for c in n.choices)
    return sum(len(starts_in(w, least, grid)[:: ceil(least / grid)]) for w in split_at_midnight(hours))


def _places(load: Caseload, one: Named) -> int:
    kind, id_ = one
    return load.case.locations[id_].capacity if kind == "location" else 1


def named(thing: PlacedSitting | Opening) -> tuple[Named, ...]:
    """The adults and the location of a seat or an opening."""
    adults = thing.adults if isinstance(thing, PlacedSitting) else (thing.adult,)
    return (*(("adult", a) for a in adults), ("location", thing.location))


def _without(problem: Problem, scarce: frozenset[Named]) -> Problem:
    openings = tuple(o for o in problem.openings if scarce.isdisjoint(named(o)))
    companions, teachers = (
        {o: tuple(c for c in company if ("adult", c.adult) not in scarce) for o, company in beside.items()}
        for beside in (problem.companions, problem.teachers)
    )
    return replace(problem, openings=openings, companions=companions, teachers=teachers)
