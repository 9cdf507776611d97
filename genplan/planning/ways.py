"""The ways in which one more probe could be run beside the planned seats, and what stands in each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, partial

from genplan.case import Case
from genplan.case.beside import is_ruled_out
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.planning.commitments import Seat, Seated, SeatedProbe
from genplan.planning.compatible import adult_conflict, most_at_once
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, Opening, company_of, openings_of, starts_in


@dataclass(frozen=True, order=True)
class Limit:
    """Something that stands in a way; a lower `rank` is the stronger reason."""

    rank: int
    rule: str
    sentence: str


OTHERS_IN_THE_WAY = 7
"""The rank from which on a limit comes from other sittings: planned otherwise, it might not be there."""

LESS_URGENT = Limit(10, "less urgent", "other probes were worth more in the same hours")


@dataclass(frozen=True)
class Ways:
    """Ways beside all seats of the week; `free` are everybody's hours before anything was planned, `known` the openings
    of the learners that are asked for, where somebody worked them out before."""

    case: Case
    free: Hours
    seats: Sequence[Seat]
    known: Mapping[str, tuple[Opening, ...]] | None = None

    @cached_property
    def _seated(self) -> Seated:
        return Seated(self.seats)

    @cached_property
    def _openings(self) -> Callable[[str], tuple[Opening, ...]]:
        """Of a learner, worked out when somebody asks first."""
        if self.known is not None:
            return self.known.__getitem__
        return cache(partial(openings_of, self.case, self.free))

    def of(self, choice: Choice) -> Iterator[frozenset[Limit]]:
        """For each way of running the choice the limits in it; none at all where people and place never meet."""
        return (limits for _, _, limits in self.each(choice))

    def each(self, choice: Choice) -> Iterator[tuple[Seat | None, Seat, frozenset[Limit]]]:
        """Each way as the planned seat that grows (None: a sitting of its own), what it would be, and the limits."""
        target, policy = self.case.targets[choice.target], self.case.policy
        adult, location = target.value(choice.combination, ADULT), target.value(choice.combination, LOCATION)
        probe = SeatedProbe(choice.target, choice.combination, choice.kind)
        whole = frozenset(self._of_target(choice))
        for opening in self._openings(target.learner):
            if (opening.adult, opening.location) != (adult, location):
                continue
            for seat in self._seated.by_learner.get(target.learner, ()):
                if (seat.adult, seat.location) == (adult, location) and (
                    opening.start <= seat.start and seat.end <= opening.end
                ):
                    longer = replace(seat, end=seat.end + target.minutes, probes=(*seat.probes, probe))
                    yield seat, longer, whole | frozenset(self._longer(choice, seat, opening))
            minutes = policy.settle_minutes + target.minutes
            for start in starts_in(opening, minutes, policy.start_every_minutes):
                end = start + minutes
                own = Seat(target.learner, adult, location, start, end, (probe,))
                yield None, own, whole | frozenset(self._of_seat(own))

    def _of_target(self, choice: Choice) -> Iterator[Limit]:
        most = self.case.policy.probes_per_target_per_week
        own = self._seated.by_learner.get(self.case.targets[choice.target].learner, ())
        if sum(p.target == choice.target for s in own for p in s.probes) >= most:
            yield Limit(
                1,
                "target and week",
                f"the skill has its {_probes(most)} of this week, the most that the policy allows",
            )

    def _longer(self, choice: Choice, seat: Seat, opening: Opening) -> Iterator[Limit]:
        """One probe more at the end of a planned sitting."""
        case, target = self.case, self.case.targets[choice.target]
        learner = case.learners[seat.learner]
        if any(p.target == choice.target for p in seat.probes):
            yield Limit(
                5,
                "target and sitting",
                "a sitting holds one probe of a skill, and the planned ones have theirs",
            )
        yield from self._of_day(seat, choice.target)
        longer = Seat(
            seat.learner, seat.adult, seat.location, seat.start, seat.end + target.minutes, seat.probes
        )
        if (
            learner.limits.probes_per_sitting is not None
            and len(seat.probes) >= learner.limits.probes_per_sitting
        ):
            yield Limit(4, "probes in a sitting", f"{learner.alias}'s sittings are full")
        if learner.limits.sitting_minutes is not None and longer.minutes > learner.limits.sitting_minutes:
            yield Limit(4, "minutes of a sitting", f"{learner.alias}'s sittings are as long as they may be")
        if longer.end > opening.end:
            yield Limit(6, "end of the hours", "the hours end when the planned sitting ends")
        yield from self._minutes_of_adult(seat, target.minutes)
        name = target.value(choice.combination, MATERIAL_SET)
        probe = SeatedProbe(choice.target, choice.combination, choice.kind)
        with_it = replace(longer, probes=(*seat.probes, probe))
        others = [s for s in self._seated.around(with_it) if s != seat]
        yield from self._of_learners_time(longer, but=seat)
        yield from self._clashes(longer, others)
        yield from self._company(with_it, but=seat)
        # what the sitting has with it already is in use for longer, too
        for used in sorted({name, *seat.material_sets}):
            yield from self._set_in_use(replace(longer, probes=(probe,)), used, others)

    def _of_seat(self, seat: Seat) -> Iterator[Limit]:
        """A sitting of its own."""
        case = self.case
        learner, adult = case.learners[seat.learner], case.adults[seat.adult]
        today = [s for s in self._seated.by_learner.get(seat.learner, ()) if s.day == seat.day]
        if learner.limits.sittings_per_day is not None and len(today) >= learner.limits.sittings_per_day:
            yield Limit(
                3, "sittings of a day", f"{learner.alias} has all the sittings a day that the limits allow"
            )
        hers = [s for s in self._seated.by_adult.get(seat.adult, ()) if s.day == seat.day]
        if adult.limits.sittings_per_day is not None and len(hers) >= adult.limits.sittings_per_day:
            yield Limit(
                3,
                f"sittings of {adult.id}",
                f"{case.called(ADULT, adult.id)} has all the sittings a day that the limits allow",
            )
        yield from self._of_day(seat, seat.probes[0].target)
        yield from self._minutes_of_adult(seat, seat.minutes)
        others = self._seated.around(seat)
        yield from self._of_learners_time(seat)
        yield from self._clashes(seat, others)
        yield from self._company(seat)
        for name in sorted(seat.material_sets):
            yield from self._set_in_use(seat, name, others)

    def _of_day(self, seat: Seat, target: str) -> Iterator[Limit]:
        learner = self.case.learners[seat.learner]
        own = self._seated.by_learner.get(seat.learner, ())
        today = [p for s in own if s.day == seat.day for p in s.probes]
        most = learner.limits.probes_per_day
        if most is not None and len(today) >= most:
            yield Limit(
                3,
                "probes of a day",
                f"{learner.alias} has all the probes a day that the limits allow ({most})",
            )
        most = self.case.policy.probes_per_target_per_day
        if sum(p.target == target for p in today) >= most:
            yield Limit(
                2,
                "target and day",
                f"on the days when it could be run the skill has its {_probes(most)} of the day",
            )

    def _minutes_of_adult(self, seat: Seat, more: int) -> Iterator[Limit]:
        adult = self.case.adults[seat.adult]
        limit = adult.limits.minutes_per_week
        if (
            limit is not None
            and more + sum(s.minutes for s in self._seated.by_adult.get(adult.id, ())) > limit
        ):
            name = self.case.called(ADULT, adult.id)
            yield Limit(3, f"minutes of {adult.id}", f"{name}'s {limit} minutes of the week are used up")

    def _of_learners_time(self, seat: Seat, but: Seat | None = None) -> Iterator[Limit]:
        """A learner's other sittings; `but`: the seat that this one replaces. A rest goes on over midnight, a way does
        not."""
        alias, rest = self.case.learners[seat.learner].alias, self.case.policy.rest_minutes
        for other in self._seated.by_learner.get(seat.learner, ()):
            way = self.case.travel.minutes(seat.location, other.location) if other.day == seat.day else 0
            if other != but and _near(seat, other, max(rest, way)):
                sentence = f"{alias} has another sitting, a rest or a way in the same hours"
                yield Limit(7, "learner's time", sentence)
                return

    def _clashes(self, seat: Seat, others: Sequence[Seat]) -> Iterator[Limit]:
        """What other learners' sittings of the day take of the adult's time and of the room."""
        case, location = self.case, self.case.locations[seat.location]
        theirs = [o for o in others if o.learner != seat.learner]
        for other in theirs:
            way = case.travel.minutes(seat.location, other.location)
            if seat.adult in other.adults and _near(seat, other, way):
                name = case.called(ADULT, seat.adult)
                sentence = f"{name} is with another learner, or on the way, in those hours"
                yield Limit(7, f"time of {seat.adult}", sentence)
        here = [o for o in others if o.location == seat.location]
        if most_at_once(seat, here) >= location.capacity and any(o in theirs for o in here):
            name = case.called(LOCATION, location.id)
            yield Limit(7, f"room in {location.id}", f"{name} is taken in those hours")

    def _company(self, seat: Seat, but: Seat | None = None) -> Iterator[Limit]:
        """Nobody to sit beside an adult who has not worked with the learner yet; `but`: the seat that it replaces."""
        case, free = self.case, self.free
        if not free.needs_companion(seat.adult, seat.learner):
            return
        known = company_of(case, free, seat.learner, seat.location, ())
        free_then = [
            a for a, own in known.items() if any(w.start <= seat.start and seat.end <= w.end for w in own)
        ]
        theirs = {a: [s for s in self._seated.by_adult.get(a, ()) if s != but] for a in free_then}
        if not any(_can_be_beside(case, a, seat, own) for a, own in theirs.items()):
            name, alias = case.called(ADULT, seat.adult), case.learners[seat.learner].alias
            yield Limit(
                7,
                f"companion of {seat.adult}",
                f"{name} has not worked with {alias} yet, and nobody who has can sit beside in those hours",
            )

    def _set_in_use(self, seat: Seat, name: str, others: Sequence[Seat]) -> Iterator[Limit]:
        material_set, called = self.case.material_sets[name], self.case.called(MATERIAL_SET, name)
        if any(seat.start < gap.end and gap.start < seat.end for gap in self.free.missing.get(name, ())):
            yield Limit(1, f"set {name}", f"'{called}' is missing in those hours")
        users = [o for o in others if name in o.material_sets and o.learner != seat.learner]
        near = material_set.copies == 1 and any(
            _near(seat, o, self.case.travel.minutes(seat.location, o.location)) for o in users
        )
        if near or most_at_once(seat, users) >= material_set.copies:
            yield Limit(7, f"copies of {name}", f"'{called}' is in use elsewhere in those hours")


def _can_be_beside(case: Case, adult: str, seat: Seat, others: Sequence[Seat]) -> bool:
    barred = any(is_ruled_out(case.targets[p.target], p.combination, adult) for p in seat.probes)
    return not barred and not adult_conflict(case, seat, others, adult)


def _near(one: Seat, other: Seat, gap: int) -> bool:
    return one.start < other.end + gap and other.start < one.end + gap


def _probes(number: int) -> str:
    return f"{number} probe" + ("" if number == 1 else "s")
