"""Other places for one sitting of a week: another time, adult or location, everything else as people were told.

For each adult, location and start at which a sitting of the learner can be held beside all others, the most that it can
hold is worked out exactly (`best_sitting.py`), without a search. Of each adult, location and day the best start is
offered: so the list holds places and not the same one a quarter of an hour later. They are in the order in which a week
that has begun is planned: what is due or has its last chance, then the fewest people who must be told, then what else
the week shows; of equals what keeps most of the sitting, then on its own day what is nearest to it in time, and on
other days the nearest day, as early as it can be. The best of each day comes before the second of any.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

from genplan.case.second_adults import Beside, is_ruled_out
from genplan.case.targets import ADULT, LOCATION
from genplan.case.windows import Windows
from genplan.coverage.tuples import tuples_of
from genplan.plan import ObjectiveName, ProbeKind, minutes_of, sitting_minutes
from genplan.planning.best_sitting import Option, Room, Worth, best_options
from genplan.planning.caseload_problem import Caseload
from genplan.planning.companions import company
from genplan.planning.figures import coverage_counts, due_value, in_time, new_tuples, teaching_value
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.openings import Opening, company_of, openings_of, starts_in
from genplan.planning.week_context import WeekContext
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount, Unit, target_amounts
from genplan.rules.clashes import set_in_use, set_missing
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_adult, of_learner
from genplan.rules.teaching import taught_before

MOST = 6
"""So many are offered; our choice, no source."""
COUNTED = ("due", "dated", "teaching", "wished", "new tuples")
"""What is told of a gain or a loss, in the order in which it is told."""
COUNTS_FIRST = (ObjectiveName.DUE, ObjectiveName.DATED)
"""What comes before the number of people who must be told."""


@dataclass(frozen=True)
class Alternative:
    """A sitting in the place of another: what the week then shows more than with the sitting as it was told, by
    objective (less than 0: it shows less), and more than with none; `people` must be told: adults, and whether the
    learner's family."""

    seat: PlacedSitting
    more_than_told: Mapping[str, int]
    won_back: Mapping[str, int]
    adults: tuple[str, ...]


def alternatives(
    context: WeekContext,
    others: Sequence[PlacedSitting],
    old: PlacedSitting,
    *,
    days: Sequence[int] = range(7),
    same_place_too: bool = False,
    most: int = MOST,
) -> tuple[Alternative, ...]:
    """The best other places for `old`, best first, on these days of the week. `others` are the sittings ahead that stay
    (`old` is none of them). The place of `old` itself, with other probes, is offered too if it cannot be held as it
    was."""
    search = _Search(context.caseload, tuple(others), old)
    best: dict[tuple[str, str, int], tuple[tuple[object, ...], PlacedSitting]] = {}
    for seat, worth in search.seats(days):
        if not same_place_too and _place(seat) == _place(old):
            continue
        key = search.order(seat, worth)
        there = best.get((seat.adult, seat.location, seat.day))
        if there is None or key < there[0]:
            best[seat.adult, seat.location, seat.day] = (key, seat)
    return tuple(search.alternative(seat) for seat in _day_by_day(sorted(best.values()))[:most])


def _day_by_day(found: Sequence[tuple[tuple[object, ...], PlacedSitting]]) -> list[PlacedSitting]:
    """The best of each day, then the second of each, and so on; each of these in order."""
    so_far: dict[int, int] = defaultdict(int)
    rounds: dict[int, list[PlacedSitting]] = defaultdict(list)
    for _, seat in found:
        rounds[so_far[seat.day]].append(seat)
        so_far[seat.day] += 1
    return [seat for number in sorted(rounds) for seat in rounds[number]]


def _place(seat: PlacedSitting) -> tuple[str, str, int]:
    return seat.adult, seat.location, seat.start


@dataclass(frozen=True)
class _Search:
    """Of one sitting: `others` are all that stay ahead."""

    load: Caseload
    others: tuple[PlacedSitting, ...]
    old: PlacedSitting

    @property
    def learner(self) -> str:
        return self.old.learner

    @cached_property
    def taken(self) -> tuple[PlacedSitting, ...]:
        return (*self.load.begun, *self.others)

    @cached_property
    def own(self) -> tuple[PlacedSitting, ...]:
        return of_learner(self.taken, self.learner)

    @cached_property
    def ahead(self) -> tuple[PlacedSitting, ...]:
        return of_learner(self.others, self.learner)

    @cached_property
    def needs(self) -> dict[str, TargetNeed]:
        return {n.id: n for n in self.load.needs if n.target.learner == self.learner}

    @cached_property
    def goals(self) -> tuple[ObjectiveName, ...]:
        """What a choice is worth, in the order of the objectives; what comes before the people is in front."""
        return self.load.ordered(
            *COUNTS_FIRST, ObjectiveName.WISHED, ObjectiveName.NEW_TUPLES, ObjectiveName.TEACHING
        )

    @cached_property
    def choices(self) -> dict[tuple[str, str], tuple[Choice, ...]]:
        """What is still owed beside the others, by adult and location, in the order of targets."""
        found: dict[tuple[str, str], list[Choice]] = defaultdict(list)
        for need in self.needs.values():
            seated = {p.combination for s in self.ahead for p in s.real_probes if p.target == need.id}
            fresh = [c for c in need.of_kind(ProbeKind.NEW) if c.combination not in seated]
            again = [c for c in need.beside(self.ahead).choices if c.kind is not ProbeKind.NEW]
            for choice in (*again, *fresh):
                value = need.target.value
                found[value(choice.combination, ADULT), value(choice.combination, LOCATION)].append(choice)
        return {place: tuple(own) for place, own in found.items()}

    def seats(self, days: Sequence[int]) -> Iterator[tuple[PlacedSitting, Worth]]:
        """The best sitting at each start of each opening, with its worth."""
        case = self.load.case
        for opening in openings_of(case, self.load.free, self.learner, self.taken):
            if opening.day not in days or (opening.adult, opening.location) not in self.choices:
                continue
            options = self._options(opening)
            for beside, as_what, windows in self._second_adults(opening, options):
                room = self._room(opening, beside)
                own = {t: [o for o in some if self._may(o, beside)] for t, some in options.items()}
                if room is None or not any(own.values()):
                    continue
                least = case.policy.settle_minutes + min(o.minutes for some in own.values() for o in some)
                for start in starts_in(opening, least, case.policy.start_every_minutes):
                    end = _end_of(opening, windows, start)
                    seat = self._best(opening, start, end, own, room, beside, as_what)
                    if seat is not None:
                        yield seat, self._worth_of(seat, options)

    def _best(
        self,
        opening: Opening,
        start: int,
        end: int,
        options: Mapping[str, Sequence[Option]],
        room: Room,
        beside: str,
        as_what: Beside,
    ) -> PlacedSitting | None:
        """The best sitting that begins then and ends by `end`."""
        settle = self.load.case.policy.settle_minutes
        most = min(room.minutes, end - start) - settle
        allowed = {t: [o for o in some if self._not_after_teaching(o, start)] for t, some in options.items()}
        lengths = sorted({m for m in _sums(allowed) if m <= most}, reverse=True)
        if not lengths:
            return None
        sets = {o.choice.combination[2] for some in allowed.values() for o in some}
        found: list[tuple[Worth, PlacedSitting]] = []
        for minutes in lengths:
            there = {n for n in sets if self._set_is_there(opening, n, start, start + settle + minutes)}
            usable = {t: [o for o in some if o.choice.combination[2] in there] for t, some in allowed.items()}
            held = best_options(usable, Room(minutes, room.probes, room.retests, room.teachings))
            seat = self._seat(opening, start, held, beside, as_what)
            if seat is not None:
                found.append((_added(held), seat))
            if there == sets:
                break  # nothing shorter can hold more
        return max(found, key=lambda one: one[0])[1] if found else None

    def _seat(
        self, opening: Opening, start: int, held: Sequence[Option], beside: str, as_what: Beside
    ) -> PlacedSitting | None:
        if not held or (as_what is Beside.TEACHER and not any(o.choice.beside for o in held)):
            return None  # without a teacher it is as good, and one person less is told
        probes = tuple(PlacedProbe(o.choice.target, o.choice.combination, o.choice.kind.value) for o in held)
        end = start + sitting_minutes(self.load.case, probes)
        return PlacedSitting(
            self.learner, opening.adult, opening.location, start, end, probes, beside, as_what
        )

    def _options(self, opening: Opening) -> dict[str, list[Option]]:
        """By target what may be run on that day with that adult there."""
        found: dict[str, list[Option]] = defaultdict(list)
        for choice in self.choices[opening.adult, opening.location]:
            if choice.first_day <= opening.day and self._fits_day(choice, opening.day):
                need = self.needs[choice.target]
                minutes = minutes_of(need.target, choice.kind)
                found[choice.target].append(Option(choice, minutes, self._worth(choice, opening.day)))
        return dict(found)

    @cached_property
    def _worths(self) -> dict[tuple[Choice, int], Worth]:
        return {}

    def _worth(self, choice: Choice, day: int) -> Worth:
        """What it adds to the others, by objectives; then whether the sitting held it, and the minutes it takes."""
        if (choice, day) not in self._worths:
            self._worths[choice, day] = tuple(self._added_by(choice, day))
        return self._worths[choice, day]

    def _added_by(self, choice: Choice, day: int) -> Iterator[float]:
        need = self.needs[choice.target]
        one = _on_day(self.learner, choice, day)
        before, after = (_values(self.load, need, s) for s in (self.ahead, (*self.ahead, one)))
        yield from (after[name] - before[name] for name in self.goals)
        yield self._was_held(choice)
        yield -minutes_of(need.target, choice.kind)

    def _was_held(self, choice: Choice) -> int:
        """2 for the very probe, 1 for one of the same target and set with another adult or at another place."""
        held = [p for p in self.old.probes if (p.target, p.kind) == (choice.target, choice.kind)]
        if any(p.combination == choice.combination for p in held):
            return 2
        return int(any(p.combination[2:] == choice.combination[2:] for p in held))

    def _fits_day(self, choice: Choice, day: int) -> bool:
        """The policy's limits for a target, and that each new probe of the learner still shows something that no other
        shows by its day."""
        case, free, one = self.load.case, self.load.free, _on_day(self.learner, choice, day)
        known = (free.recorded.get(choice.target, ()), free.recorded_teachings.get(choice.target, ()))
        if next(target_amounts(case, choice.target, one, self.own, *known), None) is not None:
            return False
        need = self.needs[choice.target]
        return choice.kind is not ProbeKind.NEW or all_show_something(need, (*self.ahead, one))

    def _not_after_teaching(self, option: Option, start: int) -> bool:
        case, target = self.load.case, option.choice.target
        one = _at(self.learner, option.choice, start)
        taught = self.load.free.recorded_teachings.get(target, ())
        return taught_before(case, target, one, self.own, taught) is None

    def _set_is_there(self, opening: Opening, name: str, start: int, end: int) -> bool:
        probe = PlacedProbe("", (opening.adult, opening.location, name), ProbeKind.NEW.value)
        seat = PlacedSitting(self.learner, opening.adult, opening.location, start, end, (probe,))
        if set_missing(name, seat, self.load.free.missing.get(name, ())):
            return False
        return set_in_use(self.load.case, name, seat, self._users.get((name, opening.day), ())) is None

    @cached_property
    def _users(self) -> Mapping[tuple[str, int], Sequence[PlacedSitting]]:
        found: dict[tuple[str, int], list[PlacedSitting]] = defaultdict(list)
        for seat in self.taken:
            for name in seat.material_sets:
                found[name, seat.day].append(seat)
        return found

    def _room(self, opening: Opening, beside: str) -> Room | None:
        """What the limits of the learner and of the adults leave on that day; None: not even a sitting."""
        case = self.load.case
        left: dict[Unit, float] = defaultdict(lambda: inf)
        people: list[tuple[tuple[Amount, ...], object, Sequence[PlacedSitting]]] = [
            (LEARNER_AMOUNTS, case.learners[self.learner].limits, self.own)
        ]
        people += [
            (ADULT_AMOUNTS, case.adults[a].limits, of_adult(self.taken, a))
            for a in (opening.adult, beside)
            if a
        ]
        for amounts, limits, theirs in people:
            for amount in amounts:
                most = amount.most(limits)  # type: ignore[arg-type]
                if most is not None:
                    left[amount.unit] = min(left[amount.unit], most - amount.taken_on(opening.day, theirs))
        if left[Unit.SITTINGS] < 1:
            return None
        return Room(left[Unit.MINUTES], left[Unit.PROBES], left[Unit.RETESTS], left[Unit.TEACHINGS])

    def _second_adults(
        self, opening: Opening, options: Mapping[str, Sequence[Option]]
    ) -> Iterator[tuple[str, Beside, Windows | None]]:
        """Who can be beside, as what, and when; nobody where nobody has to."""
        case, free = self.load.case, self.load.free
        if free.needs_companion(opening.adult, self.learner):
            there = company_of(case, free, self.learner, opening.location, self.taken)
            yield from ((a, Beside.COMPANION, w) for a, w in there.items() if a != opening.adult)
            return
        yield "", Beside.NOBODY, None
        teachers = {t for some in options.values() for o in some for t in o.choice.beside}
        adults = free.adults_at(opening.location)
        there = company(case, adults, teachers, self.learner, opening.location, self.taken)
        yield from ((a, Beside.TEACHER, w) for a, w in there.items())

    def _may(self, option: Option, beside: str) -> bool:
        """Whether it can be run with that second adult."""
        choice = option.choice
        if choice.beside and beside not in choice.beside:
            return False
        return not beside or not is_ruled_out(self.needs[choice.target].target, choice.combination, beside)

    def _worth_of(self, seat: PlacedSitting, options: Mapping[str, Sequence[Option]]) -> Worth:
        probes = {(p.target, p.combination, ProbeKind(p.kind)) for p in seat.probes}
        held = [
            o
            for some in options.values()
            for o in some
            if (o.choice.target, o.choice.combination, o.choice.kind) in probes
        ]
        return _added(held)

    def order(self, seat: PlacedSitting, worth: Worth) -> tuple[object, ...]:
        """Less is better."""
        first = sum(name in COUNTS_FIRST for name in self.goals)
        told = len({*self.old.adults, *seat.adults})
        value = [-w for w in worth]
        days = abs(seat.day - self.old.day)
        when = seat.start if days else abs(seat.start - self.old.start)
        return (*value[:first], told, *value[first:], days, when, seat)

    def alternative(self, seat: PlacedSitting) -> Alternative:
        needs = tuple(self.needs.values())
        with_it, as_told, with_none = (
            coverage_counts(needs, s) for s in ((*self.ahead, seat), (*self.ahead, self.old), self.ahead)
        )
        return Alternative(
            seat,
            {name: with_it[name] - as_told[name] for name in COUNTED},
            {name: with_it[name] - with_none[name] for name in COUNTED},
            tuple(dict.fromkeys((*self.old.adults, *seat.adults))),
        )


def all_show_something(need: TargetNeed, seats: Sequence[PlacedSitting]) -> bool:
    """Whether each new probe of a target shows something open that no other new one shows on its day or before."""
    new = [
        (s.day, need.open.intersection(tuples_of(need.target, p.combination)))
        for s in seats
        for p in s.probes
        if p.target == need.id and p.kind == ProbeKind.NEW
    ]
    return all(
        shows.difference(*(o for j, (d, o) in enumerate(new) if j != i and d <= day))
        for i, (day, shows) in enumerate(new)
    )


def _values(load: Caseload, need: TargetNeed, seats: Sequence[PlacedSitting]) -> dict[str, float]:
    return {
        "due": due_value(need, seats, load.week),
        "dated": in_time(need, seats, need.dated),
        "wished": in_time(need, seats, need.wished),
        "new tuples": len(new_tuples(need, seats)),
        "teaching": teaching_value(need, seats),
    }


def _on_day(learner: str, choice: Choice, day: int) -> PlacedSitting:
    return _at(learner, choice, day * 24 * 60)


def _at(learner: str, choice: Choice, start: int) -> PlacedSitting:
    probe = PlacedProbe(choice.target, choice.combination, choice.kind.value)
    adult, location = choice.combination[:2]
    return PlacedSitting(learner, adult, location, start, start + 1, (probe,))


def _end_of(opening: Opening, windows: Windows | None, start: int) -> int:
    """How long a sitting that begins then can go on, for the second adult too."""
    if windows is None:
        return opening.end
    return min(opening.end, next((w.end for w in windows if w.start <= start < w.end), start))


def _sums(options: Mapping[str, Sequence[Option]]) -> set[int]:
    """The minutes that some of them, one of each target, take together."""
    sums = {0}
    for some in options.values():
        sums |= {s + o.minutes for s in sums for o in some}
    return sums - {0}


def _added(held: Sequence[Option]) -> Worth:
    return tuple(map(sum, zip(*(o.worth for o in held), strict=True)))
