"""Sittings of a plan, and the probes in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from genplan.case import Case, Combination, Target
from genplan.case.second_adults import Beside
from genplan.rules.placed_sittings import PlacedProbe


class ProbeKind(StrEnum):
    NEW = "new"
    RETEST = "retest"
    MAINTENANCE = "maintenance"
    TEACHING = "teaching"
    BASELINE = "baseline"

    @property
    def is_probe(self) -> bool:
        return self is not ProbeKind.TEACHING

    @property
    def is_test(self) -> bool:
        """Whether it says something of what was taught: a baseline probe shows nothing and is kept apart."""
        return self.is_probe and self is not ProbeKind.BASELINE

    @property
    def is_due(self) -> bool:
        """Whether it counts for what is due."""
        return self in (ProbeKind.RETEST, ProbeKind.MAINTENANCE, ProbeKind.BASELINE)


def minutes_of(target: Target, kind: str) -> int:
    """How long a probe, or a teaching, of the target takes."""
    return target.teaching_minutes if kind == ProbeKind.TEACHING else target.minutes


def sitting_minutes(case: Case, probes: Iterable[Probe | PlacedProbe]) -> int:
    """How long a sitting with these takes."""
    return case.policy.settle_minutes + sum(minutes_of(case.targets[p.target], p.kind) for p in probes)


@dataclass(frozen=True, kw_only=True)
class Probe:
    """A probe in a sitting, or a teaching.

    - `target`, `combination`: what is probed, or taught
    - `kind`: new, retest, maintenance, teaching or baseline
    - `trials`: how many trials it has
    - `new_tuples`: how many tuples it is the first to show in this plan, in the order of time
    - `instead_of`: of what is taught though it was never probed the failures for which it is"""

    target: str
    combination: Combination
    kind: ProbeKind
    trials: int
    new_tuples: int
    instead_of: tuple[Combination, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Sitting:
    """A sitting of one learner with one adult at one place.

    - `id`: the same in every plan of the week for what people would call the same sitting
    - `learner`, `adult`, `location`: whose and where, by id
    - `start`, `end`: aware local times
    - `probes`: what is run in it, in order
    - `begun`: it was kept and has started, so it stays as it is
    - `beside`: the second adult, who is there from start to end; empty if there is none
    - `beside_as`: what the second adult is there for
    - `moved_from`: of one that was told and had moved as somebody wished, the id and the start that it had before"""

    id: str
    learner: str
    adult: str
    location: str
    start: datetime
    end: datetime
    probes: tuple[Probe, ...]
    begun: bool = False
    beside: str = ""
    beside_as: Beside = Beside.NOBODY
    moved_from: tuple[str, datetime] | None = field(default=None, compare=False)

    @property
    def adults(self) -> tuple[str, ...]:
        """Who is there: the adult who runs the probes, and the one beside."""
        return (self.adult, self.beside) if self.beside else (self.adult,)

    @property
    def minutes(self) -> int:
        """Those that pass, whatever the clocks do meanwhile."""
        return round((self.end.timestamp() - self.start.timestamp()) / 60)

    @property
    def observer(self) -> str:
        return self.beside if self.beside_as is Beside.OBSERVER else ""


def ids_of(sittings: Iterable[Sitting]) -> str:
    """Their ids as tables have them in one cell."""
    return "; ".join(s.id for s in sittings)
