"""Simulated courses of one learner: the line, with probes that fail and sittings that fall through.

In each course every target has a rate at each location, drawn from what is known (`rates`). Week by week:

1. What was not met and taught since comes again in the first week that has room: beside the line's sittings, or else in
   the place of a new probe, as the planner would have it.
2. What was not met is taught in the first later week with room for it; only where the policy has teaching first, in
   the place of a new probe too. Where it plans no teaching, and where a combination is held out so that others are
   taught for it, what was not met is taken to need `teaching_weeks` whole weeks of teaching after its week.
3. What had to give way comes in the first later week with room beside what is there.
4. A sitting may fall through (`sittings_that_fall_through`): what was new in it comes in the next week in the place of
   another new probe, which gives way; teachings and retests are owed again. Sittings that have begun are held.
5. Each new probe and each retest of the week is met or not, by the course's rate there. Maintenance probes are met.

Each combination that was not met is taught itself. Where a target teaches the fewest, the planner's own choice is
asked for each week, of all rows that the course has had by then (`fewest_owed`).

After the line's end there are the free hours of the weeks that follow. The sittings of other learners stay as in the
line, so what fails with them takes nothing from this one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from itertools import chain
from random import Random
from typing import Protocol

from genplan.case import Combination, Target
from genplan.case.targets import LOCATION
from genplan.coverage.tally import Tally
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.evidence.log import Result
from genplan.forecast.baseline import BaselineWeek
from genplan.forecast.fewest_owed import CourseRows
from genplan.forecast.owed import Owed, owed_after, owed_again
from genplan.forecast.rates import CourseRates
from genplan.forecast.remaining_capacity import Moved, RemainingCapacity, Seats
from genplan.forecast.sittings_that_fall_through import CourseSittings, SittingsSoFar
from genplan.plan import ProbeKind
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.needs import Choice


class Drawn(Protocol):
    """A rate, or what is known of one."""

    def draw(self, random: Random) -> CourseRates: ...


FEWEST_COURSES = 20
"""Fewer say too little of a range."""


@dataclass(frozen=True)
class WishStart:
    """`open` are the wished tuples that nobody has shown, `all` those that are or will be probed: what was only taught
    is shown, and no probe of it is planned."""

    by: date
    open: frozenset[Tuple]
    all: frozenset[Tuple]


@dataclass(frozen=True, kw_only=True)
class TargetStart:
    """How a target stands before the first week.

    - `target`: the target
    - `open`: tuples that nobody has shown
    - `met`: combinations that are met
    - `wanted`: the criterion, dimension -> how many values; empty where there is none or it cannot be reached
    - `asked`: values that must go together in something that is met; the same
    - `taught`: what was taught, and so does not count for the criterion; empty where it counts
    - `wishes`: those with a date
    - `fewest`: where it teaches the fewest and teaching is planned, its tally and rows"""

    target: Target
    open: frozenset[Tuple]
    met: frozenset[Combination]
    wanted: Mapping[str, int]
    wishes: tuple[WishStart, ...]
    asked: tuple[tuple[tuple[str, str], ...], ...] = ()
    taught: frozenset[Combination] = frozenset()
    fewest: tuple[Tally, tuple[Result, ...]] | None = None

    @property
    def has_criterion(self) -> bool:
        return bool(self.wanted or self.asked)


@dataclass(frozen=True, kw_only=True)
class SimulationJob:
    """All that the courses of one learner need, so that another process can run them.

    - `learner`: by id
    - `starts`: how each target stands
    - `rates`: target -> how often its probes are met
    - `weeks`: as the line plans them
    - `teaching_weeks`: how many whole weeks what was not met takes to teach, where that is not planned
    - `courses`: how many are simulated
    - `dice`: what the draws begin with
    - `sittings`: how many fell through until now; None: all are held"""

    learner: str
    starts: tuple[TargetStart, ...]
    rates: Mapping[str, Drawn]
    weeks: tuple[BaselineWeek, ...]
    teaching_weeks: int
    courses: int
    dice: int
    sittings: SittingsSoFar | None = None


@dataclass(frozen=True, kw_only=True)
class TargetRuns:
    """What became of one target, course by course.

    - `covered`: the week (index) in which its coverage was finished, None if not
    - `generalised`: the same of its criterion
    - `tried`: for each wish whether it was tried by its date
    - `met`: the same, whether it was met
    - `rates`: the mean of the rates that were drawn"""

    covered: tuple[int | None, ...]
    generalised: tuple[int | None, ...]
    tried: tuple[tuple[bool, ...], ...]
    met: tuple[tuple[bool, ...], ...]
    rates: tuple[float, ...]


def dice_of(learner: str, seed: int) -> int:
    """Each child's own, whoever else is in the case. The id itself is not in it: a job may go to other machines."""
    return int.from_bytes(sha256(f"{seed}/{learner}".encode()).digest()[:8])


def run_simulation(job: SimulationJob, budget: Budget = ENDLESS) -> Mapping[str, TargetRuns]:
    """Target id -> its courses. The same job gives the same answer, in any process, unless the budget ends it."""
    return run_in(rooms_of(job), job, budget)


def rooms_of(job: SimulationJob) -> list[RemainingCapacity]:
    """The learner's weeks, to be used for as many courses as one likes."""
    return [RemainingCapacity(w.case, w.week, w.free, w.seats, job.learner) for w in job.weeks]


def run_in(
    rooms: Sequence[RemainingCapacity], job: SimulationJob, budget: Budget = ENDLESS
) -> Mapping[str, TargetRuns]:
    """The courses of the job in rooms made before; some are run whatever the budget."""
    courses: list[list[_Standing]] = []
    while len(courses) < job.courses and not (budget.is_over and len(courses) >= FEWEST_COURSES):
        courses.append(_course(job, rooms, f"{job.dice}/{len(courses)}"))
    return {
        start.target.id: TargetRuns(
            covered=tuple(c[n].covered for c in courses),
            generalised=tuple(c[n].generalised for c in courses),
            tried=tuple(tuple(c[n].tried) for c in courses),
            met=tuple(tuple(c[n].wish_met) for c in courses),
            rates=tuple(c[n].rates.mean for c in courses),
        )
        for n, start in enumerate(job.starts)
    }


def _course(job: SimulationJob, rooms: Sequence[RemainingCapacity], seed: str) -> list[_Standing]:
    random, sittings = Random(seed), CourseSittings(job.sittings, Random(f"{seed}/sittings"))
    standings = [_Standing(s, job.rates[s.target.id].draw(random)) for s in job.starts]
    by_id = {s.start.target.id: s for s in standings}
    fewest = {s.target.id: CourseRows(s.fewest[1], s.fewest[0], rooms) for s in job.starts if s.fewest}
    owed: list[Owed] = []
    gave_way: list[Choice] = []
    fell: list[Choice] = []
    moved: Moved = frozenset()
    for index, room in enumerate(rooms):
        chosen = chain.from_iterable(rows.owed(index, moved) for rows in fewest.values())
        seats, owed, gave_way = _seated(room, index, [*owed, *chosen], gave_way, fell, moved)
        begun = job.weeks[index].begun
        missed = [s for s in seats if s not in begun and not sittings.is_held(s, room.day_of(s))]
        for seat in (s for s in seats if s not in missed):
            for probe in seat.probes:
                tested, day = probe.kind in (ProbeKind.NEW, ProbeKind.RETEST), room.day_of(seat)
                met = not tested or random.random() < by_id[probe.target].rate(probe.combination)
                if probe.target in fewest:
                    fewest[probe.target].add(probe, day, met=met)
                if not tested:
                    continue
                by_id[probe.target].note(probe.combination, met, day)
                if not met and probe.target not in fewest:
                    owed += owed_after(room, index, probe.target, probe.combination, job.teaching_weeks)
        lost = [p for s in missed for p in s.probes if p.target in by_id]
        fell = [Choice(p.target, p.combination, ProbeKind.NEW) for p in lost if p.kind == ProbeKind.NEW]
        owed, moved = owed_again(rooms, index, lost, owed, moved)
        for rows in fewest.values():
            rows.miss(lost)
        owed = [o for o in owed if o.target.id not in fewest]
        for standing in standings:
            standing.end_week(index)
        if all(s.is_settled(room.week.sunday) for s in standings):
            break
    return standings


def _seated(
    room: RemainingCapacity,
    index: int,
    owed: list[Owed],
    gave_way: list[Choice],
    fell: list[Choice],
    moved: Moved,
) -> tuple[Seats, list[Owed], list[Choice]]:
    """The week's seats with all that it can hold of what is owed, and what is left for later weeks. What `fell` through
    in the week before is put in the place of another new probe; what was `moved` is not run when the line has it."""
    seats = room.own_without(moved)
    retests, teachings = ([o for o in owed if bool(o.teachings) is taught] for taught in (False, True))
    displaced: list[Choice] = []
    seats, retests = _with_owed(room, seats, index, retests, displaced)
    first = room.case.policy.teaching_first
    if first:
        seats, teachings = _with_owed(room, seats, index, teachings, displaced)
    seats, still_fallen = _with_new(room, seats, fell, displaced)
    seats, left = _with_new(room, seats, (*still_fallen, *gave_way, *displaced), None)
    if not first:
        seats, teachings = _with_owed(room, seats, index, teachings, None)
    return seats, [*retests, *teachings], left


def _with_new(
    room: RemainingCapacity, seats: Seats, choices: Iterable[Choice], displaced: list[Choice] | None
) -> tuple[Seats, list[Choice]]:
    """The seats with what they can hold of these new probes, and what they cannot (`_with_one`)."""
    left = []
    for choice in choices:
        more = _with_one(room, seats, choice, displaced)
        if more is None:
            left.append(choice)
        else:
            seats = more
    return seats, left


def _with_owed(
    room: RemainingCapacity, seats: Seats, index: int, owed: list[Owed], displaced: list[Choice] | None
) -> tuple[Seats, list[Owed]]:
    """The seats with what they can hold of it, and what is owed then (`_with_one`)."""
    later = []
    for one in owed:
        left: Owed | None = one
        while left is not None and (choice := left.in_week(room, index)):
            more = _with_one(room, seats, choice, displaced)
            if more is None:
                break
            seats, left = more, left.after(room, index, more)
        if left is not None:
            later.append(left)
    return seats, later


def _with_one(
    room: RemainingCapacity, seats: Seats, choice: Choice, displaced: list[Choice] | None
) -> Seats | None:
    """The seats with it too, or None. A new probe that gave way is added to `displaced`, without which none does."""
    more = room.beside(seats, choice)
    if more is None and displaced is not None and (swapped := room.instead(seats, choice)):
        more, gone = swapped
        displaced.append(gone)
    return more


class _Standing:
    """How one target stands in the middle of a course."""

    def __init__(self, start: TargetStart, rates: CourseRates) -> None:
        self.start, self.rates = start, rates
        self.covered: int | None = None
        self.generalised: int | None = None
        self.tried = [not w.open for w in start.wishes]
        self._wished = {t for w in start.wishes for t in w.open}
        self._open, self._met = set(start.open), set(start.met)
        self._taught = set(start.taught)
        self.wish_met = [self._holds(w) for w in start.wishes]
        self.end_week(-1)

    def rate(self, combination: Combination) -> float:
        """How often a probe of it is met in this course."""
        return self.rates.of(self.start.target.value(combination, LOCATION))

    def note(self, combination: Combination, met: bool, day: date) -> None:
        """A probe was run. No combination that is met is run again, but for maintenance."""
        shown = tuples_of(self.start.target, combination)
        self._open.difference_update(shown)
        self._wished.difference_update(shown)
        if met:
            self._met.add(combination)
        elif not self.start.target.is_held_out(combination):
            self._taught.add(combination)  # it is, before it is probed again
        for n, wish in enumerate(self.start.wishes):
            if day <= wish.by:
                self.tried[n] = self.tried[n] or self._wished.isdisjoint(wish.open)
                self.wish_met[n] = self.tried[n] and self._holds(wish)

    def end_week(self, index: int) -> None:
        """Index -1 is before the first week."""
        if self.covered is None and not self._open:
            self.covered = index
        if self.generalised is None and self.start.has_criterion and self._is_generalised():
            self.generalised = index

    def is_settled(self, day: date) -> bool:
        """Whether nothing that is asked for can change after the day."""
        wishes = all(m or w.by <= day for m, w in zip(self.wish_met, self.start.wishes, strict=True))
        done = self.generalised is not None or not self.start.has_criterion
        return self.covered is not None and done and wishes

    def _is_generalised(self) -> bool:
        target = self.start.target
        counted = self._met - self._taught if target.generalised_untaught else self._met
        there = all(any(target.matches(c, dict(asked)) for c in counted) for asked in self.start.asked)
        return there and all(
            len({c[at] for c in counted}.intersection(dimension.values)) >= self.start.wanted[dimension.name]
            for at, dimension in enumerate(target.dimensions)
            if dimension.name in self.start.wanted
        )

    def _holds(self, wish: WishStart) -> bool:
        shown = {t for c in self._met for t in tuples_of(self.start.target, c)}
        return wish.all <= shown
