"""Who has to be told something by a week, beside what people were told: counted on plain seats."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from genplan.case.second_adults import Beside
from genplan.rules.placed_sittings import Person, PlacedSitting, people_in


@dataclass(frozen=True)
class ToldAnew:
    """What a week changes in what people were told.

    - `people`: everybody of a sitting that is not as they were told, or that they were not told of
    - `otherwise`: how many sittings that people were told of are not held just so
    - `stays`: those that are"""

    people: frozenset[Person]
    otherwise: int
    stays: tuple[PlacedSitting, ...]

    def is_left_alone(self, old: PlacedSitting | None, new: PlacedSitting) -> bool:
        """Whether nobody more has to be told where `new` takes the place of `old` (None: of nothing), and no more
        sittings are otherwise."""
        return people_in(new) <= self.people and not (old is not None and as_run(old) in self._staying)

    @cached_property
    def _staying(self) -> frozenset[PlacedSitting]:
        return frozenset(map(as_run, self.stays))

    @classmethod
    def of(
        cls,
        told: Iterable[PlacedSitting],
        lost: Collection[PlacedSitting],
        seats: Iterable[PlacedSitting],
        anyway: Iterable[Person] = (),
    ) -> ToldAnew:
        """`lost` are sittings told that cannot stay, whatever stands in their place; `anyway` is told in any case."""
        told, there = tuple(told), {as_run(s): s for s in seats}
        stays = tuple(t for t in told if t not in lost and as_run(t) in there)
        kept = set(map(as_run, stays))
        changed = [t for t in told if as_run(t) not in kept] + [
            s for run, s in there.items() if run not in kept
        ]
        return cls(frozenset(anyway).union(*map(people_in, changed)), len(told) - len(stays), stays)


def people_told(
    told: Iterable[PlacedSitting], ahead: Iterable[PlacedSitting], anyway: Iterable[Person]
) -> frozenset[Person]:
    """Everybody who is told something by a whole week, observers as they are: of each sitting that is in one of the two
    alone, and `anyway`."""
    return frozenset(anyway).union(*map(people_in, {*told} ^ {*ahead}))


def as_run(seat: PlacedSitting) -> PlacedSitting:
    """The sitting as a search sees it: its probes in no order, and nobody beside who only observes."""
    probes = tuple(sorted(seat.probes))
    seat = seat if seat.probes == probes else replace(seat, probes=probes)
    observed = seat.beside_as is not Beside.NOBODY and not seat.beside_as.is_needed
    return replace(seat, beside="", beside_as=Beside.NOBODY) if observed else seat


def as_told_before(
    told: Iterable[PlacedSitting], seats: Iterable[PlacedSitting]
) -> tuple[PlacedSitting, ...]:
    """The seats, those that people were told of with the observer whom they were told of."""
    known = {as_run(t): t for t in told}
    return tuple(known.get(as_run(s), s) for s in seats)
