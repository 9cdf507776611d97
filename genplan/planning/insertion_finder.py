"""The ways in which one more probe could be run beside the planned seats, and what stands in each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, partial

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.windows import holds, touches
from genplan.plan import ProbeKind, minutes_of
from genplan.planning.companions import company
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, Opening, openings_of, starts_in
from genplan.rules.amounts import adult_amounts, learner_amounts, target_amounts
from genplan.rules.clashes import adult_time, learner_time, room, set_in_use, set_missing
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, Seated
from genplan.rules.teaching import taught_before, teachers_wanted
from genplan.rules.together import can_sit_beside, is_barred_from
from genplan.rules.wishes import wished_apart

Alike = tuple[object, ...]
"""What decides the ways of a choice: two with the same have the same limits in their ways."""


@dataclass(frozen=True)
class _Stretch:
    """Where a way would be: the planned seat that grows, or None; what it would be with some probe of that kind and
    length; the limits in it whatever else is planned; and where to find what others there are whatever is run."""

    old: PlacedSitting | None
    new: PlacedSitting
    first: Sequence[Limit]
    others: Callable[[PlacedSitting, PlacedSitting | None], frozenset[Limit]]

    @cached_property
    def limits(self) -> frozenset[Limit]:
        return self.others(self.new, self.old).union(self.first)

    def with_probe(self, choice: Choice) -> PlacedSitting:
        """The seat, with the choice as what is run last."""
        new, probe = self.new, PlacedProbe(choice.target, choice.combination, choice.kind)
        probes = (*new.probes[:-1], probe)
        return PlacedSitting(
            new.learner, new.adult, new.location, new.start, new.end, probes, new.beside, new.beside_as
        )


class _Remembered:
    """What was found stays, and no more is looked for than somebody asks for."""

    def __init__(self, found: Iterator[_Stretch]) -> None:
        self._more, self._known = found, list[_Stretch]()

    def __iter__(self) -> Iterator[_Stretch]:
        at = 0
        while True:
            if at == len(self._known):
                one = next(self._more, None)
                if one is None:
                    return
                self._known.append(one)
            yield self._known[at]
            at += 1


@dataclass(frozen=True)
class InsertionFinder:
    """Ways beside all seats of the week; `free` are everybody's hours before anything was planned, `known` the openings
    of the learners that are asked for, where somebody worked them out before."""

    case: Case
    free: Hours
    seats: Sequence[PlacedSitting]
    known: Mapping[str, tuple[Opening, ...]] | None = None

    @cached_property
    def _seated(self) -> Seated:
        return Seated(self.seats)

    @cached_property
    def _openings(self) -> Callable[[str], tuple[Opening, ...]]:
        """Of a learner, worked out when somebody asks first."""
        if self.known is not None:
            return self.known.__getitem__
        # that somebody wishes no sitting is a limit here, and no lack of hours
        return cache(partial(openings_of, self.case, replace(self.free, barred={})))

    @cached_property
    def _meetings(self) -> Callable[[str], Mapping[tuple[str, str], Sequence[Opening]]]:
        """The same by adult and location."""

        def of_learner(learner: str) -> Mapping[tuple[str, str], Sequence[Opening]]:
            found = defaultdict[tuple[str, str], list[Opening]](list)
            for opening in self._openings(learner):
                found[opening.adult, opening.location].append(opening)
            return found

        return cache(of_learner)

    def of(self, choice: Choice) -> Iterator[frozenset[Limit]]:
        """For each way of running the choice the limits in it; none at all where people and place never meet."""
        return (limits for _, limits in self._with_limits(choice))

    def alike(self, choice: Choice) -> Alike:
        """Of a combination the people, the place and the set count, and all of it where somebody may have to sit
        beside, who must not be ruled out by it."""
        target = self.case.targets[choice.target]
        adult, *rest = (target.value(choice.combination, n) for n in (ADULT, LOCATION, MATERIAL_SET))
        accompanied = self.free.needs_companion(adult, target.learner)
        also = choice.combination if accompanied or not choice.kind.is_probe else ()
        return choice.target, choice.kind, choice.first_day, adult, *rest, also

    def each(self, choice: Choice) -> Iterator[tuple[PlacedSitting | None, PlacedSitting, frozenset[Limit]]]:
        """Each way as the planned seat that grows (None: a sitting of its own), what it would be, and the limits."""
        for stretch, limits in self._with_limits(choice):
            yield stretch.old, stretch.with_probe(choice), limits

    def _with_limits(self, choice: Choice) -> Iterator[tuple[_Stretch, frozenset[Limit]]]:
        """Of sittings of its own that differ in their hour alone, what depends on the target and on the set is often
        the same all day: then it is found once for each day."""
        by_day: dict[int, frozenset[Limit] | None] = {}
        for stretch in self._stretches(choice):
            own, day = None, stretch.new.day
            if stretch.old is None:
                if day not in by_day:
                    all_day = self._is_the_same_all_day(choice, day)
                    new = stretch.with_probe(choice)
                    by_day[day] = self._of_target(choice.target, new, None) if all_day else None
                own = by_day[day]
            if own is None:
                own = frozenset(self._of_what_is_run(choice.target, stretch.with_probe(choice), stretch.old))
            yield stretch, stretch.limits | own if own else stretch.limits

    def _is_the_same_all_day(self, choice: Choice, day: int) -> bool:
        """Whether the hour of a sitting of its own is nothing to the target, the set or a second adult."""
        target = self.case.targets[choice.target]
        adult, name = (target.value(choice.combination, n) for n in (ADULT, MATERIAL_SET))
        return (
            choice.kind.is_probe
            and (choice.target, day) not in self._taught
            and name not in self.free.missing
            and not self._seated.on(day, "set", name)
            and not self.free.needs_companion(adult, target.learner)
        )

    def clear(self, choice: Choice) -> Iterator[tuple[PlacedSitting | None, PlacedSitting]]:
        """The ways in which nothing stands; of the others no more is looked for than one limit."""
        for stretch in self._stretches(choice):
            if not stretch.first:
                new = stretch.with_probe(choice)
                if next(self._in_the_way(choice.target, new, stretch.old), None) is None:
                    yield stretch.old, new

    def _stretches(self, choice: Choice) -> Iterator[_Stretch]:
        """Where each way of the choice would be, and the limits there whatever is run: as soon as somebody asks for it,
        and of all choices of a learner with one adult at one place it is found once."""
        target = self.case.targets[choice.target]
        adult, location = target.value(choice.combination, ADULT), target.value(choice.combination, LOCATION)
        takes = minutes_of(target, choice.kind)
        key = (target.learner, adult, location, choice.kind, takes, choice.first_day)
        known = self._found_before.get(key)
        if known is None:
            found = self._find_stretches(choice, target.learner, adult, location, takes)
            known = self._found_before[key] = _Remembered(found)
        return iter(known)

    @cached_property
    def _found_before(self) -> dict[tuple[object, ...], _Remembered]:
        return {}

    def _find_stretches(
        self, choice: Choice, learner: str, adult: str, location: str, takes: int
    ) -> Iterator[_Stretch]:
        policy, probe = self.case.policy, PlacedProbe(choice.target, choice.combination, choice.kind)
        early = Kind.RETEST_TOO_SOON if choice.kind is ProbeKind.RETEST else Kind.TOO_SOON
        minutes = policy.settle_minutes + takes
        for opening in self._meetings(learner).get((adult, location), ()):
            soon = [Limit(early, figure=choice.first_day)] if opening.day < choice.first_day else []
            for seat in self._seated.by_learner.get(learner, ()):
                if (seat.adult, seat.location) == (adult, location) and (
                    opening.start <= seat.start and seat.end <= opening.end
                ):
                    longer = replace(seat, end=seat.end + takes, probes=(*seat.probes, probe))
                    late = [Limit(Kind.END_OF_HOURS)] if longer.end > opening.end else []
                    late += [Limit(Kind.DECIDED)] if seat in self.free.decided else []
                    yield _Stretch(seat, longer, soon + late, self._remembered)
            for start in starts_in(opening, minutes, policy.start_every_minutes):
                own = PlacedSitting(learner, adult, location, start, start + minutes, (probe,))
                yield _Stretch(None, own, soon, self._remembered)

    def in_the_way(self, seat: PlacedSitting) -> Iterator[Limit]:
        """What keeps a seat with all that is in it from being held beside the others."""
        for target in sorted({p.target for p in seat.probes}):
            yield from self._in_the_way(target, seat)

    def _in_the_way(
        self, target: str, seat: PlacedSitting, old: PlacedSitting | None = None
    ) -> Iterator[Limit]:
        """What keeps the seat, with a probe more of the target, from its place; `old`: the seat that it replaces."""
        yield from self._of_people_and_place(seat, old)
        yield from self._of_what_is_run(target, seat, old)

    def _of_what_is_run(self, target: str, seat: PlacedSitting, old: PlacedSitting | None) -> Iterator[Limit]:
        """What depends on the target and on the set."""
        case, free, day = self.case, self.free, seat.day
        yield from self._of_target(target, seat, old)
        if (target, day) in self._taught or not seat.probes[-1].is_probe:
            own, taught = self._own(seat, old), free.recorded_teachings.get(target, ())
            if limit := taught_before(case, target, seat, own, taught):
                yield limit
        for name in seat.material_sets:
            if (gaps := free.missing.get(name)) and (limit := set_missing(name, seat, gaps)):
                yield limit
            users = self._seated.on(day, "set", name)
            # what the learner's own sittings take is told as the learner's time alone, and the adult's as that adult's
            apart = [o for o in users if o.learner != seat.learner and seat.adult not in o.adults]
            if apart and (limit := set_in_use(case, name, seat, apart)):
                yield limit
        if limit := self._second_adult(seat, old):
            yield limit

    @cached_property
    def _taught(self) -> set[tuple[str, int]]:
        """Each target with the days on which it is taught."""
        taught = {(p.target, s.day) for s in self.seats for p in s.probes if not p.is_probe}
        return taught | {
            (target, day) for target, days in self.free.recorded_teachings.items() for day in days
        }

    def _own(self, seat: PlacedSitting, old: PlacedSitting | None) -> Sequence[PlacedSitting]:
        return _without(self._seated.by_learner.get(seat.learner, ()), old)

    def _of_target(self, target: str, seat: PlacedSitting, old: PlacedSitting | None) -> frozenset[Limit]:
        """How much of a target a day and the week hold, which is the same at each hour of the day."""
        probes = tuple([p.is_probe for p in seat.probes if p.target == target])
        run, taught = self.free.recorded, self.free.recorded_teachings
        return self._once(
            ("target", target, seat.day, probes, id(old)),
            lambda: target_amounts(
                self.case, target, seat, self._own(seat, old), run.get(target, ()), taught.get(target, ())
            ),
        )

    def _of_learner(self, seat: PlacedSitting, old: PlacedSitting | None) -> frozenset[Limit]:
        """The same of a learner."""
        kinds = tuple(p.kind for p in seat.probes)
        return self._once(
            ("learner", seat.learner, seat.day, seat.minutes, kinds, id(old)),
            lambda: learner_amounts(self.case, seat, self._own(seat, old)),
        )

    def _of_adult(self, seat: PlacedSitting, old: PlacedSitting | None) -> frozenset[Limit]:
        """The same of an adult."""
        hers = self._seated.by_adult.get(seat.adult, ())
        return self._once(
            ("adult", seat.adult, seat.day, seat.minutes, id(old)),
            lambda: adult_amounts(self.case, seat.adult, seat, _without(hers, old)),
        )

    # a seat that is replaced is one of `seats`, which live as long as this: by its `id` it is found in a moment
    def _once(self, key: tuple[object, ...], find: Callable[[], Iterable[Limit]]) -> frozenset[Limit]:
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = frozenset(find())
        return found

    @cached_property
    def _known(self) -> dict[tuple[object, ...], frozenset[Limit]]:
        return {}

    def _remembered(self, seat: PlacedSitting, old: PlacedSitting | None) -> frozenset[Limit]:
        """What is told of people and place does not depend on the target nor on the set: of all choices of a learner
        with one adult at one place it is found once."""
        kinds = tuple(p.kind for p in seat.probes)
        key = (seat.learner, seat.adult, seat.location, seat.start, seat.end, kinds, id(old))
        return self._once(key, lambda: self._of_people_and_place(seat, old))

    def _of_people_and_place(self, seat: PlacedSitting, old: PlacedSitting | None) -> Iterator[Limit]:
        """What is soon looked at comes first."""
        case = self.case
        if self._is_barred(seat):
            yield Limit(Kind.NOT_WISHED, adult=seat.adult, learner=seat.learner, figure=seat.day)
        if limit := learner_time(case, seat, self._own(seat, old)):
            yield limit
        yield from self._of_learner(seat, old)
        # what the learner's own sittings take is told as the learner's time alone
        hers = [o for o in self._seated.on(seat.day, "adult", seat.adult) if o.learner != seat.learner]
        if limit := adult_time(case, seat.adult, seat, hers):
            yield limit
        yield from self._of_adult(seat, old)
        # and what the adult's own take as that adult's time alone
        here = self._seated.on(seat.day, "location", seat.location)
        apart = any(o.learner != seat.learner and seat.adult not in o.adults for o in here)
        if apart and (limit := room(case, seat, _without(here, old))):
            yield limit
        if case.apart and (limit := wished_apart(case, seat, _without(self.seats, old))):
            yield limit

    def _is_barred(self, seat: PlacedSitting) -> bool:
        barred = self.free.barred.get((seat.learner, seat.adult), ())
        return touches(barred, seat.start, seat.end)

    def _second_adult(self, seat: PlacedSitting, old: PlacedSitting | None) -> Limit | None:
        """Nobody to sit beside an adult who has not worked with the learner yet, or may not teach what is taught."""
        case, free = self.case, self.free
        wanted = self._teachers_wanted(seat)
        knowing: Iterable[str] = case.adults
        if free.needs_companion(seat.adult, seat.learner):
            knowing = (free.acquainted or {})[seat.learner]
            if limit := self._nobody_of(knowing, seat, old, Kind.COMPANION, Kind.COMPANION_TAKEN):
                return limit
        if not wanted:
            return None
        teachers = set(knowing).intersection(*wanted)
        return self._nobody_of(teachers, seat, old, Kind.TEACHER, Kind.TEACHER_TAKEN)

    def _teachers_wanted(self, seat: PlacedSitting) -> list[set[str]]:
        """Of each teaching that the adult of the sitting may not hold those who may."""
        case = self.case
        return [
            set(who)
            for p in seat.probes
            if not p.is_probe and (who := teachers_wanted(case, case.targets[p.target], p.combination))
        ]

    def second_adults(self, seat: PlacedSitting, old: PlacedSitting | None = None) -> tuple[str, ...] | None:
        """Who could sit beside, where somebody has to; None where nobody has to. `old`: the seat that it replaces."""
        wanted = self._teachers_wanted(seat)
        if self.free.needs_companion(seat.adult, seat.learner):
            wanted.append(set((self.free.acquainted or {})[seat.learner]))
        if not wanted:
            return None
        return tuple(a for a in sorted(set.intersection(*wanted)) if self.can_be_beside(a, seat, old))

    def _nobody_of(
        self, adults: Iterable[str], seat: PlacedSitting, old: PlacedSitting | None, absent: Kind, taken: Kind
    ) -> Limit | None:
        """None of these can sit beside: nobody is there, or all who are there are `taken`, by what the parts say."""
        there = [
            a for a in sorted(adults) if self._is_there(a, seat) and not is_barred_from(self.case, a, seat)
        ]
        parts = []
        for adult in there:
            limit = next(self._taken(adult, seat, old), None)
            if limit is None:
                return None
            parts.append(limit)
        return Limit(taken if there else absent, adult=seat.adult, learner=seat.learner, parts=tuple(parts))

    def _taken(self, adult: str, seat: PlacedSitting, old: PlacedSitting | None) -> Iterator[Limit]:
        """What keeps an adult who is there from sitting beside; the learner's own sittings keep them all."""
        hers = _without(self._seated.by_adult.get(adult, ()), old)
        yield from adult_amounts(self.case, adult, seat, hers)
        if limit := adult_time(self.case, adult, seat, [o for o in hers if o.learner != seat.learner]):
            yield limit

    def can_be_beside(self, adult: str, seat: PlacedSitting, old: PlacedSitting | None = None) -> bool:
        """Whether an adult has the hours for it, and can be the second one there beside the other sittings."""
        hers = _without(self._seated.by_adult.get(adult, ()), old)
        return self._is_there(adult, seat) and can_sit_beside(self.case, adult, seat, hers)

    def _is_there(self, adult: str, seat: PlacedSitting) -> bool:
        """Whether an adult who may be at the place has the hours, whatever is planned in them."""
        there = self.free.adults_at(seat.location)
        own = company(self.case, there, (adult,), seat.learner, seat.location).get(adult, ())
        return holds(own, seat.start, seat.end)


def _without(seats: Sequence[PlacedSitting], old: PlacedSitting | None) -> Sequence[PlacedSitting]:
    return seats if old is None else [s for s in seats if s is not old and s != old]
