"""Sittings as the planner places them: people, place and probes, in minutes of the week."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from genplan.case import Combination
from genplan.case.second_adults import Beside
from genplan.case.week import MINUTES_PER_DAY

Person = tuple[str, str]
"""`("adult" or "learner", id)`."""
TEACHING, RETEST, BASELINE = "teaching", "retest", "baseline"
"""The kinds, of `plan.ProbeKind`, that some rules are about."""


@dataclass(frozen=True, order=True)
class PlacedProbe:
    """One probe in a sitting, or one teaching; `kind` is a `ProbeKind` value."""

    target: str
    combination: Combination
    kind: str

    @property
    def is_probe(self) -> bool:
        return self.kind != TEACHING

    @property
    def is_test(self) -> bool:
        return self.kind not in (TEACHING, BASELINE)


@dataclass(frozen=True, order=True)
class PlacedSitting:
    """A sitting in minutes of the week, `[start, end)`, with its probes in the order they are run. `beside` is the
    second adult, who is there the whole time, or empty."""

    learner: str
    adult: str
    location: str
    start: int
    end: int
    probes: tuple[PlacedProbe, ...]
    beside: str = ""
    beside_as: Beside = Beside.NOBODY

    @property
    def adults(self) -> tuple[str, ...]:
        return (self.adult, self.beside) if self.beside else (self.adult,)

    @property
    def day(self) -> int:
        return self.start // MINUTES_PER_DAY

    @property
    def minutes(self) -> int:
        return self.end - self.start

    @property
    def real_probes(self) -> tuple[PlacedProbe, ...]:
        """What is probed and not taught."""
        return tuple(p for p in self.probes if p.is_probe)

    @property
    def tests(self) -> tuple[PlacedProbe, ...]:
        """What an observer is wanted for: probes and maintenance probes, without baseline probes."""
        return tuple(p for p in self.probes if p.is_test)

    @property
    def material_sets(self) -> frozenset[str]:
        return frozenset(p.combination[2] for p in self.probes)


def people_in(seat: PlacedSitting) -> frozenset[Person]:
    """Who has to hear of a change of the sitting: the learner, for whom it is the family, and the adults."""
    return frozenset({("learner", seat.learner), *(("adult", a) for a in seat.adults)})


def of_learner(seats: Iterable[PlacedSitting], learner: str) -> tuple[PlacedSitting, ...]:
    return tuple(s for s in seats if s.learner == learner)


def of_learners(seats: Iterable[PlacedSitting], learners: Iterable[str]) -> tuple[PlacedSitting, ...]:
    wanted = set(learners)
    return tuple(s for s in seats if s.learner in wanted)


def of_adult(seats: Iterable[PlacedSitting], adult: str) -> tuple[PlacedSitting, ...]:
    """Those in which the adult is there, running the probes or beside."""
    return tuple(s for s in seats if adult in s.adults)


@dataclass(frozen=True)
class Seated:
    """Seats with what is asked of them often, found without going through all."""

    seats: Sequence[PlacedSitting]

    @cached_property
    def by_adult(self) -> dict[str, list[PlacedSitting]]:
        found: dict[str, list[PlacedSitting]] = defaultdict(list)
        for seat in self.seats:
            for adult in seat.adults:
                found[adult].append(seat)
        return found

    @cached_property
    def by_learner(self) -> dict[str, list[PlacedSitting]]:
        found: dict[str, list[PlacedSitting]] = defaultdict(list)
        for seat in self.seats:
            found[seat.learner].append(seat)
        return found

    @cached_property
    def _by_what_is_used(self) -> dict[tuple[int, str, str], list[PlacedSitting]]:
        found: dict[tuple[int, str, str], list[PlacedSitting]] = defaultdict(list)
        for seat in self.seats:
            for used in _used(seat):
                found[seat.day, *used].append(seat)
        return found

    def on(self, day: int, kind: str, id_: str) -> Sequence[PlacedSitting]:
        """The seats of a day with an adult, at a location or with a material set (`kind` is adult, location or set)."""
        return self._by_what_is_used.get((day, kind, id_), ())


def _used(seat: PlacedSitting) -> list[tuple[str, str]]:
    return [
        *(("adult", a) for a in seat.adults),
        ("location", seat.location),
        *(("set", name) for name in sorted(seat.material_sets)),
    ]
