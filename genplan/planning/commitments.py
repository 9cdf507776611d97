"""Sittings that are already fixed while others are planned: begun ones, and other learners' in a big caseload."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from genplan.case import Combination
from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import Beside


@dataclass(frozen=True, order=True)
class SeatedProbe:
    """One probe in a sitting; `kind` is a `ProbeKind` value."""

    target: str
    combination: Combination
    kind: str


@dataclass(frozen=True, order=True)
class Seat:
    """A sitting in minutes of the week, `[start, end)`, with its probes in the order they are run. `beside` is the
    second adult, who is there the whole time, or empty."""

    learner: str
    adult: str
    location: str
    start: int
    end: int
    probes: tuple[SeatedProbe, ...]
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
    def material_sets(self) -> frozenset[str]:
        return frozenset(p.combination[2] for p in self.probes)


def of_learner(seats: Iterable[Seat], learner: str) -> tuple[Seat, ...]:
    return tuple(s for s in seats if s.learner == learner)


def of_learners(seats: Iterable[Seat], learners: Iterable[str]) -> tuple[Seat, ...]:
    wanted = set(learners)
    return tuple(s for s in seats if s.learner in wanted)


def of_adult(seats: Iterable[Seat], adult: str) -> tuple[Seat, ...]:
    """Those in which the adult is there, running the probes or beside."""
    return tuple(s for s in seats if adult in s.adults)
