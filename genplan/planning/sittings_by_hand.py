"""Sittings that a person decides: made from what is wished, and held against every rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from genplan.case import Case, Combination, Target, Week
from genplan.case.possible import obstacle_to_any
from genplan.case.second_adults import Beside
from genplan.case.targets import ADULT, LOCATION, TargetState
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import holds
from genplan.case.wishes_of_planners import Apart, PlannersWish
from genplan.plan import ProbeKind, Sitting, sitting_minutes
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.openings import Hours
from genplan.planning.reasons import waits_for_teaching
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.rules.teaching import teachers_wanted
from genplan.rules.wishes import wished_apart

Place = tuple[str, str, str, int]
"""Learner, adult, location and start of a sitting."""


@dataclass(frozen=True)
class Moved:
    """A sitting in another place: what may be run in it, first what it held, and how many of these at the most."""

    place: Place
    choices: tuple[Choice, ...]
    most: int


@dataclass(frozen=True, kw_only=True)
class ByHand:
    """What sittings are made from and judged by; `begun` are sittings that stay in any case, `now_minute` is now, in
    minutes of the week."""

    case: Case
    week: Week
    free: Hours
    needs: Sequence[TargetNeed]
    begun: Sequence[PlacedSitting]
    now_minute: int = 0

    @cached_property
    def _choices(self) -> dict[tuple[str, Combination, bool], Choice]:
        """What may be probed or taught; of two kinds of probes the one that is due."""
        found: dict[tuple[str, Combination, bool], Choice] = {}
        for need in self.needs:
            for choice in sorted(need.choices, key=lambda c: not c.kind.is_due):
                found.setdefault((choice.target, choice.combination, choice.kind.is_probe), choice)
        return found

    def as_told(self, told: Sitting) -> tuple[PlacedSitting, tuple[Limit, ...]]:
        """A told sitting with its probes as they are owed now, and why some of them are not."""
        found, missing = list[Choice](), list[Limit]()
        for probe in told.probes:
            choice = self._choices.get((probe.target, probe.combination, probe.kind.is_probe))
            if choice is None:
                missing.append(self._why_not(self.case.targets[probe.target], probe.combination))
            else:
                found.append(choice)
        beside = told.beside if told.beside_as.is_needed else ""
        start = self.week.minute_of(told.start)
        return self._seat(told.learner, told.adult, told.location, start, found, beside), tuple(missing)

    def moved(self, told: Sitting, adult: str, location: str, start: int) -> Moved | None:
        """A told sitting somewhere else. None if nothing can be run with that adult in that place."""
        wanted = [
            self._elsewhere(p.target, p.combination, adult, location, p.kind.is_probe) for p in told.probes
        ]
        others = sorted(
            (
                c
                for c in self._choices.values()
                if self.case.targets[c.target].learner == told.learner
                and self._meeting(c) == (adult, location)
                and c not in wanted
            ),
            key=lambda c: (c.kind is ProbeKind.NEW, -len(c.shows), c.target, c.combination),
        )
        choices = (*(c for c in wanted if c), *others)
        place = (told.learner, adult, location, start)
        return Moved(place, choices, len(told.probes)) if choices else None

    def holding(self, moved: Moved, choices: Iterable[Choice]) -> PlacedSitting:
        """The sitting that moves, with these of its choices."""
        return self._seat(*moved.place, choices)

    def why_nothing(self, told: Sitting, adult: str, location: str) -> Iterator[Limit]:
        """Why nothing of a told sitting can be run with another adult or in another place."""
        for probe in told.probes:
            target = self.case.targets[probe.target]
            yield self._why_not(target, _with(target, probe.combination, adult, location))

    def added(self, wish: PlannersWish, start: int) -> tuple[PlacedSitting | None, tuple[Limit, ...]]:
        """The sitting with one probe that a wish adds, or why there is no such probe."""
        target = self.case.targets[wish.target]
        values = {ADULT: wish.adult, LOCATION: wish.location, **dict(wish.values)}
        fitting = [
            c
            for (id_, combination, _), c in self._choices.items()
            if id_ == target.id and target.matches(combination, values)
        ]
        if not fitting:
            bare = tuple(values.get(d.name, d.values[0]) for d in target.dimensions)
            return None, (self._why_not(target, bare),)
        best = min(fitting, key=lambda c: (not c.kind.is_probe, c.combination))
        return self._seat(wish.learner, wish.adult, wish.location, start, [best]), ()

    def together(self, seats: Sequence[PlacedSitting]) -> PlacedSitting:
        """Several sittings of one place and time as one."""
        first = seats[0]
        if len(seats) == 1:
            return first
        probes = tuple(sorted({p for s in seats for p in s.probes}))
        end = first.start + sitting_minutes(self.case, probes)
        return self._accompanied(replace(first, end=end, probes=probes, beside="", beside_as=Beside.NOBODY))

    def limits_of(self, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> Iterator[Limit]:
        """All that stands against a sitting beside others and what has begun."""
        yield from self._by_the_clock(seat)
        for probe in seat.probes:
            choice = self._choices.get((probe.target, probe.combination, probe.is_probe))
            if choice and choice.first_day > seat.day:
                early = Kind.RETEST_TOO_SOON if choice.kind is ProbeKind.RETEST else Kind.TOO_SOON
                yield Limit(early, figure=choice.first_day)
        there = (*self.begun, *others)
        yield from InsertionFinder(self.case, self.free, there).in_the_way(seat)
        if any(self._is_done(probe, others) for probe in seat.probes):
            yield Limit(Kind.NOT_OWED)
        if seat.beside and not InsertionFinder(self.case, self.free, there).can_be_beside(seat.beside, seat):
            yield Limit(Kind.COMPANION, adult=seat.adult, learner=seat.learner)

    def _is_done(self, probe: PlacedProbe, others: Sequence[PlacedSitting]) -> bool:
        """Whether other sittings hold all that is owed of a probe, or a teaching."""
        same = [
            p for o in others for p in o.probes if p.target == probe.target and p.is_probe is probe.is_probe
        ]
        if probe.kind == ProbeKind.BASELINE:
            own = [n.beside(others) for n in self.needs if n.id == probe.target]
            return not any(
                c.combination == probe.combination for n in own for c in n.of_kind(ProbeKind.BASELINE)
            )
        if probe.is_probe:
            again = probe.kind == ProbeKind.MAINTENANCE
            return any(p.combination == probe.combination or (again and p.kind == probe.kind) for p in same)
        left = [due for n in self.needs if n.id == probe.target for due in n.beside(others).teachings]
        return not any(probe.combination in due.combinations for due in left)

    def began_together(self, apart: Apart) -> bool:
        """Whether two things have begun on one of the days on which they are to be apart."""
        return any(replace(self, case=replace(self.case, apart=(apart,))).apart_already())

    def apart_already(self) -> Iterator[Limit]:
        """What is to be apart and has begun on one day already."""
        for at, seat in enumerate(self.begun):
            if found := wished_apart(self.case, seat, self.begun[:at]):
                yield found

    def _by_the_clock(self, seat: PlacedSitting) -> Iterator[Limit]:
        free, policy = self.free, self.case.policy
        if self.now_minute > seat.start:
            yield Limit(Kind.PAST)
            return
        if seat.day not in policy.days:
            yield Limit(Kind.DAY_UNUSED, figure=seat.day)
            return
        if seat.start % MINUTES_PER_DAY % policy.start_every_minutes:
            yield Limit(Kind.OFF_GRID, figure=policy.start_every_minutes)
        if (seat.end - 1) // MINUTES_PER_DAY != seat.day:
            yield Limit(Kind.PAST_MIDNIGHT)
        if not holds(free.learners[seat.learner], seat.start, seat.end):
            yield Limit(Kind.LEARNER_THEN, learner=seat.learner)
        if not holds(free.adult_at(seat.adult, seat.location), seat.start, seat.end):
            yield Limit(Kind.ADULT_THEN, adult=seat.adult)
        if not holds(free.locations[seat.location], seat.start, seat.end):
            yield Limit(Kind.LOCATION_THEN, location=seat.location)

    def _seat(
        self,
        learner: str,
        adult: str,
        location: str,
        start: int,
        choices: Iterable[Choice],
        beside: str = "",
    ) -> PlacedSitting:
        probes = tuple(sorted(PlacedProbe(c.target, c.combination, c.kind) for c in choices))
        end = start + sitting_minutes(self.case, probes)
        return self._accompanied(PlacedSitting(learner, adult, location, start, end, probes), beside)

    def _accompanied(self, seat: PlacedSitting, first: str = "") -> PlacedSitting:
        """The sitting with somebody beside where it needs one: whoever was told, or the first who can."""
        new = self.free.needs_companion(seat.adult, seat.learner)
        teachers = [
            set(who)
            for p in seat.probes
            if not p.is_probe
            and (who := teachers_wanted(self.case, self.case.targets[p.target], p.combination))
        ]
        if not new and not teachers:
            return seat
        able = set((self.free.acquainted or {})[seat.learner]) if new else set(self.case.adults)
        able = able.intersection(*teachers) - {seat.adult}
        ways = InsertionFinder(self.case, self.free, self.begun)
        for adult in sorted(able, key=lambda a: (a != first, a)):
            if ways.can_be_beside(adult, seat):
                part = Beside.COMPANION if new else Beside.TEACHER
                return replace(seat, beside=adult, beside_as=part)
        return seat

    def _elsewhere(
        self, target: str, combination: Combination, adult: str, location: str, is_probe: bool
    ) -> Choice | None:
        there = _with(self.case.targets[target], combination, adult, location)
        return self._choices.get((target, there, is_probe))

    def _meeting(self, choice: Choice) -> tuple[str, str]:
        target = self.case.targets[choice.target]
        return target.value(choice.combination, ADULT), target.value(choice.combination, LOCATION)

    def _why_not(self, target: Target, combination: Combination) -> Limit:
        """Why a combination is not to be probed or taught this week."""
        against = obstacle_to_any(self.case, target, combination, self.week.monday)
        if target.state is TargetState.MASTERED and not against:
            need = next((n for n in self.needs if n.id == target.id), None)
            held = {c.combination: why for c, why in need.held_back} if need else {}
            if combination in held:
                return held[combination]
            standing = need.tally.standing(combination) if need else None
            if standing and standing.waits_for_teaching:
                return waits_for_teaching(target, standing)
            return Limit(Kind.NOT_OWED)
        return Limit(Kind.IMPOSSIBLE, value=(target.id, *combination), on=self.week.monday)


def _with(target: Target, combination: Combination, adult: str, location: str) -> Combination:
    other = {ADULT: adult, LOCATION: location}
    return tuple(
        other.get(name, value) for name, value in zip(target.dimension_names, combination, strict=True)
    )
