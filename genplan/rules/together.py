"""Whether a sitting can be held beside others: the rules of clashes and amounts, all that concern somebody."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from genplan.case import Case
from genplan.case.second_adults import is_ruled_out
from genplan.rules.amounts import adult_amounts, learner_amounts, target_amounts
from genplan.rules.clashes import adult_time, learner_time, room, set_in_use
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedSitting, of_adult, of_learner
from genplan.rules.teaching import taught_before
from genplan.rules.wishes import wished_apart

Days = Mapping[str, Sequence[int]]
"""Target -> days of the week."""
NONE: Days = MappingProxyType({})


def of_adults_time_and_limits(
    case: Case, adult: str, seat: PlacedSitting, hers: Sequence[PlacedSitting]
) -> Iterator[Limit]:
    """What keeps an adult who is in all of `hers` from being in the seat as well."""
    if found := adult_time(case, adult, seat, hers):
        yield found
    yield from adult_amounts(case, adult, seat, hers)


def between_learners(case: Case, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> Iterator[Limit]:
    """What people, the place and sets that learners share, and what is wished apart, keep from the seat beside the
    others."""
    for adult in seat.adults:
        yield from of_adults_time_and_limits(case, adult, seat, of_adult(others, adult))
    today = [o for o in others if o.day == seat.day]
    if found := room(case, seat, today):
        yield found
    for name in sorted(seat.material_sets):
        if found := set_in_use(case, name, seat, today):
            yield found
    if found := wished_apart(case, seat, others):
        yield found


def everything_between(
    case: Case,
    seat: PlacedSitting,
    others: Sequence[PlacedSitting],
    recorded: Days = NONE,
    recorded_teachings: Days = NONE,
) -> Iterator[Limit]:
    """All that keeps the seat from being held beside the others, the learner's own among them. `recorded` are the days
    on which probes of a target were run that none of the others holds, `recorded_teachings` the same of teachings."""
    own = of_learner(others, seat.learner)
    if found := learner_time(case, seat, own):
        yield found
    yield from learner_amounts(case, seat, own)
    for target in sorted({p.target for p in seat.probes}):
        taught = recorded_teachings.get(target, ())
        yield from target_amounts(case, target, seat, own, recorded.get(target, ()), taught)
        if found := taught_before(case, target, seat, own, taught):
            yield found
    yield from between_learners(case, seat, others)


def is_barred_from(case: Case, adult: str, seat: PlacedSitting) -> bool:
    """Whether the case says that the adult is never to be at one of its probes."""
    return any(is_ruled_out(case.targets[p.target], p.combination, adult) for p in seat.probes)


def can_sit_beside(case: Case, adult: str, seat: PlacedSitting, hers: Sequence[PlacedSitting]) -> bool:
    """Whether an adult who is free then can be the second adult of the seat."""
    blocked = next(of_adults_time_and_limits(case, adult, seat, hers), None)
    return blocked is None and not is_barred_from(case, adult, seat)
