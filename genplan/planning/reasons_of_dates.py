"""Why something that is wanted by a date is not shown in time: what ranks as high stands in the way, and not what would
give way to it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace

from genplan.case import Case
from genplan.coverage.tuples import Tuple
from genplan.plan import minutes_of
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.limits_in_the_way import Block, strongest
from genplan.planning.needs import Choice, TargetNeed
from genplan.rules.limits import Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def with_these_alone(
    case: Case,
    seats: Iterable[PlacedSitting],
    stays: Callable[[PlacedSitting, PlacedProbe], bool],
    untouched: Collection[PlacedSitting] = (),
) -> tuple[PlacedSitting, ...]:
    """The seats with the probes that stay alone, each as much shorter; `untouched` are left as they are."""
    found = []
    for seat in seats:
        left = tuple(p for p in seat.probes if stays(seat, p))
        if seat in untouched:
            found.append(seat)
        elif left:
            less = sum(minutes_of(case.targets[p.target], p.kind) for p in seat.probes if p not in left)
            found.append(replace(seat, end=seat.end - less, probes=left))
    return tuple(found)


def reason_of_dated(
    ways: InsertionFinder, need: TargetNeed, tuple_: Tuple, choices: Sequence[Choice]
) -> Limit | None:
    """Why a tuple at its last chance is not shown in time: a probe after its date would be too late for it. None where
    there is no way in time, or one in which nothing that ranks as high stands by itself."""
    last = need.dated[tuple_]
    in_time, stood = list[frozenset[Limit]](), list[PlacedSitting]()
    for choice in choices:
        for _, new, limits in ways.each(choice):
            if new.day <= last:
                if not limits:
                    return None
                in_time.append(limits)
                stood.append(new)
    if not in_time:
        return None
    limit = strongest([Block(tuple(in_time))])
    return replace(limit, as_high=_who_ranks_as_high(ways, limit, need.target.learner, stood))


def _who_ranks_as_high(
    ways: InsertionFinder, limit: Limit, learner: str, stood: Sequence[PlacedSitting]
) -> tuple[str, ...]:
    """The learners whose sittings take what the limit is of, on the days when it could have been run."""
    days = {s.day for s in stood}
    return tuple(
        sorted(
            {
                seat.learner
                for part in limit.parts or (limit,)
                for seat in ways.seats
                if seat.day in days and _takes(seat, part, learner)
            }
        )
    )


def _takes(seat: PlacedSitting, limit: Limit, learner: str) -> bool:
    if limit.kind.rank == 0:
        return False
    if limit.location:
        return seat.location == limit.location
    if limit.material_set:
        return limit.material_set in seat.material_sets
    if limit.adult:
        return limit.adult in seat.adults
    return seat.learner == (limit.learner or learner)
