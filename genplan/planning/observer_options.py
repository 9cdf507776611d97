"""Which sittings might get a second observer, as plain values: visits, what stands between them, what is wanted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from genplan.case import Case
from genplan.case.windows import holds
from genplan.plan import Beside, Hindered, Hindrance
from genplan.planning.openings import Hours
from genplan.planning.told_anew import ToldAnew
from genplan.rules.amounts import ADULT_AMOUNTS, Span, adult_amounts
from genplan.rules.clashes import adult_time
from genplan.rules.placed_sittings import PlacedSitting, of_adult
from genplan.rules.together import is_barred_from

Pair = tuple[int, int]


@dataclass(frozen=True)
class ObserverVisit:
    """One adult who might observe one seat; `told`: people were told of it so."""

    seat: PlacedSitting
    adult: str
    told: bool = False


@dataclass(frozen=True)
class Capacity:
    """Of these visits, by their numbers, so many that their weights add up to at most `most`."""

    weights: Mapping[int, int]
    most: int


@dataclass(frozen=True, kw_only=True)
class ObserverOptions:
    """The visits that observers might make, and what limits them; numbers of visits are their places in `visits`.

    - `visits`: one adult beside one sitting each
    - `clashes`: pairs of numbers that do not go together
    - `capacities`: limits on several visits together
    - `missing`: learner -> probes that still lack an observer for the share
    - `missing_of`: the same, target -> probes"""

    visits: tuple[ObserverVisit, ...]
    clashes: tuple[Pair, ...]
    capacities: tuple[Capacity, ...]
    missing: Mapping[str, int]
    missing_of: Mapping[str, int]


def observer_options(
    case: Case,
    free: Hours,
    taken: Sequence[PlacedSitting],
    ahead: Sequence[PlacedSitting],
    told: Sequence[PlacedSitting],
    missing: Mapping[str, int],
    missing_of: Mapping[str, int],
    told_anew: ToldAnew | None = None,
) -> ObserverOptions:
    """The visits that are possible beside all seats as they are; of learners who lack none there are none. `told_anew`:
    none for which somebody else had to be told."""
    everything = (*taken, *ahead)
    known = {(s.learner, s.adult, s.start, s.beside) for s in told if s.beside_as is Beside.OBSERVER}
    visits = tuple(
        ObserverVisit(seat, adult, (seat.learner, seat.adult, seat.start, adult) in known)
        for seat in sorted(ahead)
        if missing.get(seat.learner, 0) > 0 and not seat.beside and seat.tests
        for adult in case.adults
        if told_anew is None or told_anew.is_left_alone(seat, observed_by(seat, adult))
        if adult != seat.adult and obstacle_to(case, free, seat, adult, everything) is None
    )
    clashes = tuple(
        (i, j) for (i, one), (j, other) in combinations(enumerate(visits), 2) if _clash(case, one, other)
    )
    return ObserverOptions(
        visits=visits,
        clashes=clashes,
        capacities=tuple(_capacities(case, visits, everything)),
        missing=missing,
        missing_of=missing_of,
    )


def observed_by(seat: PlacedSitting, adult: str) -> PlacedSitting:
    return replace(seat, beside=adult, beside_as=Beside.OBSERVER)


def obstacle_to(
    case: Case, free: Hours, seat: PlacedSitting, adult: str, seats: Sequence[PlacedSitting]
) -> Hindered | None:
    """Why an adult cannot observe a seat beside all `seats`; None: nothing stands against it."""
    person = case.adults[adult]
    targets = [case.targets[p.target] for p in seat.probes]
    unbriefed = [t.id for t in targets if not person.is_briefed_on(t.id)]
    if not person.works_with(seat.learner):
        return Hindered(adult, Hindrance.LEARNER, seat.learner)
    if not person.goes_to(seat.location):
        return Hindered(adult, Hindrance.LOCATION, seat.location)
    if is_barred_from(case, adult, seat):
        return Hindered(adult, Hindrance.NEVER)
    if unbriefed:
        return Hindered(adult, Hindrance.BRIEFING, unbriefed[0])
    if not holds(free.adult_at(adult, seat.location), seat.start, seat.end):
        return Hindered(adult, Hindrance.HOURS)
    own = of_adult(seats, adult)
    if adult_time(case, adult, seat, own):
        return Hindered(adult, Hindrance.ELSEWHERE)
    if any(adult_amounts(case, adult, seat, own)):
        return Hindered(adult, Hindrance.USED_UP)
    return None


def _clash(case: Case, one: ObserverVisit, other: ObserverVisit) -> bool:
    """A sitting has one observer, and an observer is in one sitting at a time."""
    if one.seat == other.seat:
        return True
    return one.adult == other.adult and adult_time(case, one.adult, one.seat, [other.seat]) is not None


def _capacities(
    case: Case, visits: Sequence[ObserverVisit], seats: Sequence[PlacedSitting]
) -> Iterator[Capacity]:
    for adult in case.adults.values():
        own = of_adult(seats, adult.id)
        theirs = {i: v.seat for i, v in enumerate(visits) if v.adult == adult.id}
        for amount in ADULT_AMOUNTS:
            if (most := amount.most(adult.limits)) is None:
                continue
            for together in _spans(amount.span, theirs):
                taken = amount.taken(next(iter(together.values())), own)
                yield Capacity({i: amount.of(s) for i, s in together.items()}, most - taken)


def _spans(span: Span, seats: Mapping[int, PlacedSitting]) -> Iterator[dict[int, PlacedSitting]]:
    """The seats that count together: those of the week, or of each day."""
    if span is Span.WEEK and seats:
        yield dict(seats)
    for day in sorted({s.day for s in seats.values()}) if span is Span.DAY else ():
        yield {i: s for i, s in seats.items() if s.day == day}
