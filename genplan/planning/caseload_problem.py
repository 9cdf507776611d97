"""A caseload as a problem: what stays the same while its week is searched."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from genplan.case import Case, Week
from genplan.case.second_adults import Beside
from genplan.case.windows import merge
from genplan.case.wishes_of_planners import Rather
from genplan.plan import COVERAGE, ObjectiveName, WeeksBefore, in_order
from genplan.planning.companions import CompanionWindow
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Hours, Opening, openings_of
from genplan.planning.problem import Problem, beside, holds_something, problem_for
from genplan.planning.search_settings import SETTINGS
from genplan.planning.told_anew import ToldAnew
from genplan.rules.placed_sittings import Person, PlacedSitting, of_learner, of_learners

Seats = Mapping[str, tuple[PlacedSitting, ...]]
"""Each learner's; never changed, but given back anew."""


@dataclass(frozen=True, kw_only=True)
class Settled:
    """What people were told and stays so, while the rest is planned.

    - `held`: those of learners who are planned
    - `others`: those of learners of whom nothing is planned anew
    - `adults`: who may be in a new sitting, since they are told something anyway
    - `can_give`: adult -> the minutes that it could be asked for before anything was settled
    - `load_at_least`: the largest load, in tenths, of what stays of those who are not planned"""

    held: tuple[PlacedSitting, ...]
    others: tuple[PlacedSitting, ...]
    adults: frozenset[str]
    can_give: Mapping[str, int]
    load_at_least: int


@dataclass(frozen=True, kw_only=True)
class Caseload:
    """What stays the same while learners are planned in turn.

    - `case`, `week`: as they are in that week
    - `free`: everybody's hours before anything is planned
    - `needs`: what every target is owed
    - `begun`: sittings that have begun, and those that somebody decided: they stay as they are
    - `told`: sittings that people were told of and that have not begun
    - `held_as_told`: more of these, which somebody decided to hold: they are among `begun`
    - `told_first`: what people were told comes before what can wait, as in a week that has begun
    - `lost`: of those told, what cannot be held as people were told, whatever is planned
    - `told_anyway`: who has to be told something, whatever is planned
    - `settled`: what was decided before of all that people were told; None: nothing
    - `rather`: sittings with an adult in a stretch that somebody would rather have, and that are not among `begun`
    - `day_most`: learner and day (0 is Monday) -> a proven bound on the probes of that day
    - `before`: what the weeks before gave already, where fairness looks back"""

    case: Case
    week: Week
    free: Hours
    needs: tuple[TargetNeed, ...]
    begun: tuple[PlacedSitting, ...]
    told: tuple[PlacedSitting, ...]
    told_first: bool
    lost: tuple[PlacedSitting, ...] = ()
    told_anyway: frozenset[Person] = frozenset()
    settled: Settled | None = None
    day_most: Mapping[tuple[str, int], int] = field(default_factory=dict)
    rather: tuple[Rather, ...] = ()
    held_as_told: frozenset[PlacedSitting] = frozenset()
    before: WeeksBefore = field(default_factory=WeeksBefore)

    @property
    def fewest_told(self) -> bool:
        """Whether people were told of something ahead, and as few as possible are to be told otherwise."""
        return self.told_first and bool(self.told or self.held_as_told)

    @cached_property
    def learners(self) -> tuple[str, ...]:
        """Learners who are owed something, this week or later, by id."""
        return tuple(sorted({n.target.learner for n in self.needs if n.choices or n.held_back}))

    @cached_property
    def shared_adults(self) -> frozenset[str]:
        return frozenset(a.id for a in self.case.adults.values() if sum(map(a.works_with, self.learners)) > 1)

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
    def can_give(self) -> dict[str, int]:
        """For each adult who can be met this week the minutes that it can be asked for: the limit of its week, or else
        those in which some learner can be met before anything is planned."""
        stretches: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for learner in self.learners:
            problem = self.problem((learner,), (), {})
            for opening in problem.openings:
                if holds_something(problem, opening):
                    for adult in {opening.adult, *(c.adult for c in problem.beside_in(opening))}:
                        stretches[adult].append((opening.start, opening.end))
        limits = {a: self.case.adults[a].limits.minutes_per_week for a in stretches}
        return {a: limits[a] or sum(w.length for w in merge(own)) for a, own in stretches.items()}

    @cached_property
    def openings(self) -> dict[str, tuple[Opening, ...]]:
        """Each learner's, before any other is planned."""
        return {i: openings_of(self.case, self.free, i, self.begun) for i in self.learners}

    def objectives(self, *names: ObjectiveName) -> tuple[ObjectiveName, ...]:
        """These in their order, and, if people were told of sittings, that these stay, and if somebody would rather
        have others, that they are held. How many people are told is no sum over learners, and asked of all together
        only."""
        told: tuple[ObjectiveName, ...] = (ObjectiveName.TOLD,) if self.told else ()
        if told and self.told_first and not self.settled:
            told = (ObjectiveName.OTHERWISE, *told)
        rather = (ObjectiveName.RATHER,) if self.rather else ()
        return self.ordered(*names, *told, *rather)

    def objectives_of_all(self, *names: ObjectiveName) -> tuple[ObjectiveName, ...]:
        """The same for everybody's week."""
        people = (ObjectiveName.PEOPLE,) if self.fewest_told and not self.settled else ()
        return self.objectives(*names, *people)

    def ordered(self, *names: ObjectiveName) -> tuple[ObjectiveName, ...]:
        """These in their order; teachings are an objective only where they are planned, and what has waited for them,
        fell through or should be caught up where there is such a thing."""
        policy = self.case.policy
        there = {
            ObjectiveName.TEACHING: policy.plan_teaching,
            ObjectiveName.WAITED: any(due.waited for n in self.needs for due in n.teachings),
            ObjectiveName.FELL_THROUGH: any(n.fell_through for n in self.needs),
            ObjectiveName.CATCH_UP: any(n.catch_up for n in self.needs),
        }
        wanted = [n for n in names if there.get(n, True)]
        return in_order(wanted, told_first=self.told_first, teaching_first=policy.teaching_first)

    def told_anew(self, seats: Iterable[PlacedSitting], learner: str | None = None) -> ToldAnew:
        """What the seats change in what people were told, or a learner's own in what was told of that learner."""
        told = self.told if learner is None else of_learner(self.told, learner)
        return ToldAnew.of(told, self.lost, seats, self.told_anyway)

    @property
    def left_to_others(self) -> tuple[ObjectiveName, ...]:
        """What is left to others is an objective if anything is wanted by more than can have it."""
        return (ObjectiveName.LEFT_TO_OTHERS,) if self.prices else ()

    @property
    def sparing_objectives(self) -> tuple[ObjectiveName, ...]:
        """What the week shows, and what is left to others."""
        return self.objectives(*COVERAGE, *self.left_to_others)

    def problem(
        self, learners: tuple[str, ...], others: Sequence[PlacedSitting], alone: Mapping[str, int]
    ) -> Problem:
        others = (*(self.settled.others if self.settled else ()), *others)
        taken = (*self.begun, *others)
        alone_in_it = not others and self.openings.keys() >= {*learners}
        known = tuple(o for i in sorted(learners) for o in self.openings[i]) if alone_in_it else None
        problem = problem_for(
            self.case, self.week, self.free, learners, self.needs, taken, alone, openings=known
        )
        most = {(i, day): most for (i, day), most in self.day_most.items() if i in learners}
        problem = replace(
            problem,
            told=self.told,
            held_as_told=self.held_as_told,
            lost=self.lost,
            told_anyway=self.told_anyway,
            rather=self.rather,
            day_most=most,
            others=others,
            observing=_observing(others),
            before=self.before,
        )
        return self._on_what_is_left(problem, self.settled) if self.settled else problem

    def _on_what_is_left(self, problem: Problem, settled: Settled) -> Problem:
        """With an opening of its own for each sitting that stays, and else only those of adults who are told anyway."""
        stay = of_learners(settled.held, problem.learners)
        left = beside(problem, self.free, stay)
        openings = tuple(
            o
            for o in left.openings
            if o.adult in settled.adults
            and (o not in left.companions or _beside_of(settled, left.companions[o]))
        )
        own = {_opening_of(seat): seat for seat in stay}
        return replace(
            problem,
            openings=tuple(sorted((*openings, *own))),
            can_give=settled.can_give,
            load_at_least=settled.load_at_least,
            held=own,
            companions={
                **{o: _beside_of(settled, left.companions[o]) for o in openings if o in left.companions},
                **{o: _as_held(s) for o, s in own.items() if s.beside_as is Beside.COMPANION},
            },
            teachers={
                **{o: _beside_of(settled, left.teachers[o]) for o in openings if o in left.teachers},
                **{o: _as_held(s) for o, s in own.items() if s.beside_as is Beside.TEACHER},
            },
        )

    def sparing(
        self, learners: tuple[str, ...], others: Sequence[PlacedSitting], alone: Mapping[str, int]
    ) -> Problem:
        """The same problem, with regard for the learners who are planned later."""
        return replace(self.problem(learners, others, alone), prices=self.prices, detours=self.detours)


def _opening_of(seat: PlacedSitting) -> Opening:
    return Opening(
        learner=seat.learner, adult=seat.adult, location=seat.location, start=seat.start, end=seat.end
    )


def _as_held(seat: PlacedSitting) -> tuple[CompanionWindow, ...]:
    return (CompanionWindow(seat.beside, seat.start, seat.end),)


def _beside_of(settled: Settled, windows: Iterable[CompanionWindow]) -> tuple[CompanionWindow, ...]:
    return tuple(w for w in windows if w.adult in settled.adults)


def all_seats(seats: Seats, but: Collection[str] = ()) -> tuple[PlacedSitting, ...]:
    """The seats of all learners but those named, by learner."""
    return tuple(s for learner in sorted(seats) if learner not in but for s in seats[learner])


def _observing(seats: Sequence[PlacedSitting]) -> Mapping[str, int]:
    """As a load is counted by `recount`: observers are told what they observe, and never asked for in a search."""
    minutes = Counter[str]()
    for seat in seats:
        if seat.beside_as is Beside.OBSERVER:
            minutes[seat.beside] += seat.minutes
    return minutes
