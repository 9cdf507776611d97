"""Big caseloads, one learner at a time: each alone, which gives a bound; then in turn, on what others left; and at the
end each once more for comfort.

Several learners are solved at once, in rounds of a fixed size. All of a round are solved beside the same sittings, and
then taken over one by one. Whose answer clashes with one taken before waits for the next round. So the number of
processes does not matter to the answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from genplan.case import Case, Week
from genplan.plan import COMFORT, COVERAGE, ObjectiveName, in_order
from genplan.planning.compatible import fits, keep_what_fits
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Hours, Opening, openings_of
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem, problem_for
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Caseload:
    """What stays the same while learners are planned in turn.

    - `case`, `week`: as they are in that week
    - `free`: everybody's hours before anything is planned
    - `needs`: what every target is owed
    - `begun`: sittings that have begun and stay as they are
    - `told`: sittings that people were told of and that have not begun
    - `week_begun`: the week has begun; then what was told comes before what can wait
    - `day_most`: learner and day (0 is Monday) -> a proven bound on the probes of that day"""

    case: Case
    week: Week
    free: Hours
    needs: tuple[TargetNeed, ...]
    begun: tuple[PlacedSitting, ...]
    told: tuple[PlacedSitting, ...]
    week_begun: bool
    day_most: Mapping[tuple[str, int], int] = field(default_factory=dict)

    @cached_property
    def learners(self) -> tuple[str, ...]:
        """Learners who are owed something, by id."""
        return tuple(sorted({n.target.learner for n in self.needs if n.choices}))

    @cached_property
    def prices(self) -> dict[tuple[str, str], int]:
        """For each adult and location that more learners can use than it has room for: the share of those who would
        find it taken, in tenths: round(10 (1 - capacity / users)). Own derivation: if all who can use it asked for the
        same minute and `capacity` of them, drawn by lot, had it, that is each one's chance of being left without."""
        rooms = [("adult", a.id, 1, sum(map(a.works_with, self.learners))) for a in self.case.adults.values()]
        for place in self.case.locations.values():
            rooms.append(("location", place.id, place.capacity, sum(map(place.takes, self.learners))))
        return {
            (kind, id_): round(SETTINGS.highest_price * (1 - capacity / users))
            for kind, id_, capacity, users in rooms
            if users > capacity
        }

    @cached_property
    def detours(self) -> dict[str, int]:
        """For each location of one learner alone the shortest way to another location."""
        case, found = self.case, {}
        for place in case.locations.values():
            if sum(map(place.takes, self.learners)) == 1:
                ways = (case.travel.minutes(place.id, other) for other in case.locations if other != place.id)
                found[place.id] = min(ways, default=0)
        return found

    @cached_property
    def openings(self) -> dict[str, tuple[Opening, ...]]:
        """Each learner's, before any other is planned."""
        return {i: openings_of(self.case, self.free, i, self.begun) for i in self.learners}

    def objectives(self, *names: ObjectiveName) -> tuple[ObjectiveName, ...]:
        """These in their order, and, if people were told of sittings, that these stay."""
        told = (ObjectiveName.TOLD,) if self.told else ()
        return in_order((*names, *told), week_begun=self.week_begun)

    @property
    def sparing_objectives(self) -> tuple[ObjectiveName, ...]:
        """What the week shows, and, if anything is wanted by more than can have it, what is left to others."""
        return self.objectives(*COVERAGE, *((ObjectiveName.LEFT_TO_OTHERS,) if self.prices else ()))

    def problem(
        self, learners: tuple[str, ...], others: Sequence[PlacedSitting], alone: Mapping[str, int]
    ) -> Problem:
        taken = (*self.begun, *others)
        problem = problem_for(self.case, self.week, self.free, learners, self.needs, taken, alone)
        most = {(i, day): most for (i, day), most in self.day_most.items() if i in learners}
        return replace(problem, told=self.told, day_most=most)

    def sparing(
        self, learners: tuple[str, ...], others: Sequence[PlacedSitting], alone: Mapping[str, int]
    ) -> Problem:
        """The same problem, with regard for the learners who are planned later."""
        return replace(self.problem(learners, others, alone), prices=self.prices, detours=self.detours)


def plan_alone(load: Caseload, workers: Workers) -> dict[str, Outcome]:
    """Each learner as if there were no other: what this reaches nobody can pass in company."""
    jobs = [
        SolveJob(problem=load.sparing((i,), (), {}), goals=load.sparing_objectives, by_days=True)
        for i in load.learners
    ]
    outcomes = {}
    for learner, outcome in zip(load.learners, workers.answers(run_solve, jobs), strict=True):
        outcomes[learner] = outcome
        workers.progress(PhaseProgress(Phase.ALONE, len(outcomes), len(jobs)))
    return outcomes


def construct_in_turn(
    load: Caseload, workers: Workers, wanted: Mapping[str, tuple[PlacedSitting, ...]]
) -> dict[str, tuple[PlacedSitting, ...]]:
    """One learner after the other on what is left, in the order of `wanted`, which has the seats that each would like
    best. Who can still have them gets them; anybody else is solved anew."""
    seats: dict[str, tuple[PlacedSitting, ...]] = {}
    left = list(wanted)
    while left:
        # those whose wanted seats fit need no solving; the first whose do not is solved, with a few after it
        learner = left[0]
        if fits(load.case, wanted[learner], (*load.begun, *all_seats(seats))):
            seats[learner] = wanted[learner]
            left.pop(0)
            continue
        found = _round(load, workers, left, seats, wanted)
        seats, left = {**seats, **found}, [i for i in left if i not in found]
        workers.progress(PhaseProgress(Phase.IN_TURN, len(seats), len(wanted)))
    return seats


def _round(
    load: Caseload,
    workers: Workers,
    left: Sequence[str],
    seats: Mapping[str, tuple[PlacedSitting, ...]],
    starts: Mapping[str, tuple[PlacedSitting, ...]],
) -> dict[str, tuple[PlacedSitting, ...]]:
    """The next few solved against the present seats: in order, those that fit."""
    batch = left[: SETTINGS.round_jobs]
    present = all_seats(seats)
    jobs = [
        SolveJob(
            problem=load.sparing((i,), present, {}),
            goals=load.sparing_objectives,
            start=keep_what_fits(load.case, starts[i], (*load.begun, *present)),
        )
        for i in batch
    ]
    found: dict[str, tuple[PlacedSitting, ...]] = {}
    for learner, outcome in zip(batch, workers.answers(run_solve, jobs), strict=True):
        if fits(load.case, outcome.seats, (*load.begun, *all_seats({**seats, **found}))):
            found[learner] = outcome.seats
    return found


def finish(
    load: Caseload, workers: Workers, seats: Mapping[str, tuple[PlacedSitting, ...]], most: Mapping[str, int]
) -> dict[str, Outcome]:
    """Each learner once more with all objectives, the others as they are: the outcomes hold the seats that they have
    then."""
    present = dict(seats)
    outcomes: dict[str, Outcome] = {}
    left = list(load.learners)
    while left:
        batch, left = left[: SETTINGS.round_jobs], left[SETTINGS.round_jobs :]
        alone = {i: most[i] for i in batch}
        jobs = [
            SolveJob(
                problem=load.problem((i,), all_seats(present, but={i}), alone),
                goals=load.objectives(*COVERAGE, *COMFORT),
                start=present.get(i, ()),
                effort=SETTINGS.finish_effort,
                as_part=True,
            )
            for i in batch
        ]
        for learner, outcome in zip(batch, workers.answers(run_solve, jobs), strict=True):
            others = all_seats(present, but={learner})
            if fits(load.case, outcome.seats, (*load.begun, *others)):
                present[learner], outcomes[learner] = outcome.seats, outcome
            else:
                left.append(learner)
        workers.progress(PhaseProgress(Phase.FINISHING, len(outcomes), len(load.learners)))
    return outcomes


def all_seats(
    seats: Mapping[str, tuple[PlacedSitting, ...]], but: set[str] | None = None
) -> tuple[PlacedSitting, ...]:
    """The seats of all learners but those named, by learner."""
    return tuple(s for learner in sorted(seats) if learner not in (but or ()) for s in seats[learner])
