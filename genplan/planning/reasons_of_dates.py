"""Why something that is wanted by a date is not shown in time: what ranks as high stands in the way, and not what would
give way to it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from genplan.case import Case
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind, minutes_of
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.limits_in_the_way import enough_to_be_gone, least_in_the_way
from genplan.planning.needs import LAST_DAY, Choice, TargetNeed
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


@dataclass(frozen=True)
class DatedWays:
    """The ways beside what ranks as high; the sittings `fixed` stay as they are."""

    ways: InsertionFinder
    fixed: frozenset[PlacedSitting] = frozenset()
    _known: dict[str, tuple[InsertionFinder, ...]] = field(default_factory=dict)

    def of(self, need: TargetNeed) -> tuple[InsertionFinder, ...]:
        """These, and those beside the same sittings with one probe of the target on another day: what could as well
        stand there takes nothing of its day."""
        if need.id not in self._known:
            self._known[need.id] = (self.ways, *self._with_one_moved(need))
        return self._known[need.id]

    def _with_one_moved(self, need: TargetNeed) -> Iterator[InsertionFinder]:
        for seat in self.ways.seats:
            if seat not in self.fixed and seat not in self.ways.free.decided:
                for probe in seat.probes:
                    if probe.target == need.id and (moved := _moved(self.ways, need, seat, probe)):
                        yield moved


def reason_of_dated(
    ways: DatedWays, need: TargetNeed, tuple_: Tuple, choices: Sequence[Choice]
) -> Limit | None:
    """Why a tuple at its last chance is not shown in time: a probe after its date would be too late for it. None where
    there is no way in time, or one in which nothing that ranks as high stands by itself."""
    last = need.dated[tuple_]
    in_time, stood = list[frozenset[Limit]](), list[PlacedSitting]()
    for finder in ways.of(need):
        for choice in choices:
            for _, new, limits in finder.each(choice):
                if new.day <= last:
                    if not limits:
                        return None
                    in_time.append(limits)
                    stood.append(new)
    if not in_time:
        return None
    least = least_in_the_way(in_time)
    limit = enough_to_be_gone(least)
    days = {new.day for new, limits in zip(stood, in_time, strict=True) if limits in least}
    return replace(limit, as_high=_who_ranks_as_high(ways.ways, limit, need.target.learner, days))


def _moved(
    ways: InsertionFinder, need: TargetNeed, seat: PlacedSitting, probe: PlacedProbe
) -> InsertionFinder | None:
    """With the probe on the first other day on which there is room for it, or for another that is owed as much."""
    kind = ProbeKind(probe.kind)
    own = next((c for c in need.of_kind(kind) if c.combination == probe.combination), None)
    if own is None:
        return None
    last = min((need.dated[t] for t in own.shows if t in need.dated), default=LAST_DAY)
    as_good = need.of_kind(kind) if kind is ProbeKind.MAINTENANCE else (own,)
    rest = with_these_alone(
        ways.case, ways.seats, lambda s, p: s != seat or p != probe, [s for s in ways.seats if s != seat]
    )
    beside = replace(ways, seats=rest)
    for choice in (own, *(c for c in as_good if c != own)):
        for old, new in beside.clear(choice):
            if new.day != seat.day and new.day <= last:
                return replace(ways, seats=(*(s for s in rest if s != old), new))
    return None


def _who_ranks_as_high(
    ways: InsertionFinder, limit: Limit, learner: str, days: Collection[int]
) -> tuple[str, ...]:
    """The learners whose sittings take what the limit is of, on the days when it could have been run."""
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
