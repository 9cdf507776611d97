"""Other places for one sitting of a week: another time, adult or location, everything else as people were told.

For each adult, location and start at which a sitting of the learner can be held beside all others, the most that it can
hold is worked out exactly (`best_sitting.py`), without a search. Of each adult, location and day the best start is
offered: so the list holds places and not the same one a quarter of an hour later. They are in the order in which a week
that has begun is planned: what is due or has its last chance, then the fewest people who must be told, then what else
the week shows; of equals what keeps most of the sitting, then on its own day what is nearest to it in time, and on
other days the nearest day, as early as it can be. The best of each day comes before the second of any, and what
somebody has to be asked about first (`AskFirst`) comes after all else.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from genplan.case.second_adults import Beside
from genplan.case.windows import Windows
from genplan.plan import TAUGHT, ObjectiveName, ProbeKind, minutes_of, sitting_minutes
from genplan.planning.best_sitting import Option, Room, Worth, best_options
from genplan.planning.caseload_problem import Caseload
from genplan.planning.figures import (
    coverage_counts,
    due_value,
    in_time,
    new_tuples,
    teaching_value,
    weeks_waited,
)
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.one_more_sitting import OneMoreSitting, on_day
from genplan.planning.openings import Opening, openings_of, starts_in
from genplan.planning.week_context import WeekContext
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.rules.wishes import wished_apart

MOST = 6
"""So many are offered; our choice, no source."""
COUNTED = ("due", "dated", "teaching", "waited", "wished", "new tuples")
"""What is told of a gain or a loss, in the order in which it is told."""
COUNTS_FIRST = (ObjectiveName.DUE, ObjectiveName.DATED)
"""What comes before the number of people who must be told."""


@dataclass(frozen=True)
class AskFirst:
    """Why a place may not do although every rule allows it: it is at the home of an adult who is away then
    (`home_of`)."""

    home_of: str = ""


Asking = Callable[[PlacedSitting], AskFirst | None]
"""None: it is not offered at all."""


def nothing_to_ask(_seat: PlacedSitting) -> AskFirst:
    return AskFirst()


@dataclass(frozen=True)
class Alternative:
    """A sitting in the place of another: what the week then shows more than with the sitting as it was told, by
    objective (less than 0: it shows less), and more than with none; `people` must be told: adults, and whether the
    learner's family."""

    seat: PlacedSitting
    more_than_told: Mapping[str, int]
    won_back: Mapping[str, int]
    adults: tuple[str, ...]
    ask: AskFirst = AskFirst()


def alternatives(
    context: WeekContext,
    others: Sequence[PlacedSitting],
    old: PlacedSitting,
    *,
    days: Sequence[int] = range(7),
    same_place_too: bool = False,
    most: int = MOST,
    after: int | None = None,
    asking: Asking = nothing_to_ask,
) -> tuple[Alternative, ...]:
    """The best other places for `old`, best first, on these days of the week. `others` are the sittings ahead that stay
    (`old` is none of them). The place of `old` itself, with other probes, is offered too if it cannot be held as it
    was. With `after` none begins before that minute of the week or in it."""
    search = _Search(OneMoreSitting(context.caseload, tuple(others), old.learner), old)
    best: dict[tuple[str, str, int], tuple[tuple[object, ...], PlacedSitting]] = {}
    for seat, worth in search.seats(days):
        if (not same_place_too and _place(seat) == _place(old)) or (
            after is not None and seat.start <= after
        ):
            continue
        if wished_apart(context.case, seat, ()) is not None:
            continue  # two of its own probes are; each by itself was held against the others
        key = search.order(seat, worth)
        there = best.get((seat.adult, seat.location, seat.day))
        if there is None or key < there[0]:
            best[seat.adult, seat.location, seat.day] = (key, seat)
    ordered = _day_by_day(sorted(best.values()))
    asked = ((seat, ask) for seat in ordered if (ask := asking(seat)) is not None)
    offered = sorted(asked, key=lambda one: one[1] != AskFirst())
    return tuple(search.alternative(seat, ask) for seat, ask in offered[:most])


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
    """Of places for `old`, which is one more sitting of its learner beside the others."""

    more: OneMoreSitting
    old: PlacedSitting

    @property
    def load(self) -> Caseload:
        return self.more.load

    @cached_property
    def goals(self) -> tuple[ObjectiveName, ...]:
        """What a choice is worth, in the order of the objectives; what comes before the people is in front."""
        return self.load.ordered(*COUNTS_FIRST, ObjectiveName.WISHED, ObjectiveName.NEW_TUPLES, *TAUGHT)

    def seats(self, days: Sequence[int]) -> Iterator[tuple[PlacedSitting, Worth]]:
        """The best sitting at each start of each opening, with its worth."""
        case = self.load.case
        for opening in openings_of(case, self.load.free, self.old.learner, self.more.taken):
            if opening.day not in days or (opening.adult, opening.location) not in self.more.choices:
                continue
            options = self._options(opening)
            choices = [o.choice for some in options.values() for o in some]
            for beside, as_what, windows in self.more.second_adults(opening, choices):
                room = self.more.room(opening, beside)
                own = {t: [o for o in some if self.more.may(o.choice, beside)] for t, some in options.items()}
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
        allowed = {
            t: [o for o in some if self.more.not_after_teaching(o.choice, start)]
            for t, some in options.items()
        }
        lengths = sorted({m for m in _sums(allowed) if m <= most}, reverse=True)
        if not lengths:
            return None
        sets = {o.choice.combination[2] for some in allowed.values() for o in some}
        found: list[tuple[Worth, PlacedSitting]] = []
        for minutes in lengths:
            there = {n for n in sets if self.more.set_is_there(opening, n, start, start + settle + minutes)}
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
            self.old.learner, opening.adult, opening.location, start, end, probes, beside, as_what
        )

    def _options(self, opening: Opening) -> dict[str, list[Option]]:
        """By target what may be run on that day with that adult there."""
        found: dict[str, list[Option]] = defaultdict(list)
        for choice in self.more.choices[opening.adult, opening.location]:
            if choice.first_day <= opening.day and self.more.fits_day(choice, opening.day):
                need = self.more.needs[choice.target]
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
        need = self.more.needs[choice.target]
        one = on_day(self.old.learner, choice, day)
        before, after = (_values(self.load, need, s) for s in (self.more.ahead, (*self.more.ahead, one)))
        yield from (after[name] - before[name] for name in self.goals)
        yield self._was_held(choice)
        yield -minutes_of(need.target, choice.kind)

    def _was_held(self, choice: Choice) -> int:
        """2 for the very probe, 1 for one of the same target and set with another adult or at another place."""
        held = [p for p in self.old.probes if (p.target, p.kind) == (choice.target, choice.kind)]
        if any(p.combination == choice.combination for p in held):
            return 2
        return int(any(p.combination[2:] == choice.combination[2:] for p in held))

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

    def alternative(self, seat: PlacedSitting, ask: AskFirst) -> Alternative:
        needs = tuple(self.more.needs.values())
        with_it, as_told, with_none = (
            coverage_counts(needs, s)
            for s in ((*self.more.ahead, seat), (*self.more.ahead, self.old), self.more.ahead)
        )
        return Alternative(
            seat,
            {name: with_it[name] - as_told[name] for name in COUNTED},
            {name: with_it[name] - with_none[name] for name in COUNTED},
            tuple(dict.fromkeys((*self.old.adults, *seat.adults))),
            ask,
        )


def _values(load: Caseload, need: TargetNeed, seats: Sequence[PlacedSitting]) -> dict[str, float]:
    return {
        "due": due_value(need, seats, load.week),
        "dated": in_time(need, seats, need.dated),
        "wished": in_time(need, seats, need.wished),
        "new tuples": len(new_tuples(need, seats)),
        "teaching": teaching_value(need, seats),
        "waited": weeks_waited(need, seats),
    }


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
