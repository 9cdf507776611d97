"""Whether a planned sitting of a simulated course is held, by how many were not run until now.

With each adult so many sittings fall through, with each child so many more for the child's own reason. Both rates are
drawn once a course from Beta(w m + fell, w (1 - m) + held): m is the share of the other adults, or the other children,
together (half a sitting added to either side, so 1/2 where there are none), and w is two sittings, a choice of this
program, no source. So an adult of whom little is written down is thought of like the others, and loosely. Where no
sitting fell through for a child's own reason none does, and so of any other reason. Who does not come on a day does not
come that day: what rows say of one sitting, and sittings of one day, is drawn once.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from random import Random

from genplan.case import Case
from genplan.evidence.log import Log
from genplan.evidence.sittings_written import (
    Counts,
    SittingsCount,
    sittings_of_adults,
    sittings_of_learners,
    sittings_written,
)
from genplan.rules.placed_sittings import Person, PlacedSitting

WORTH = 2.0


@dataclass(frozen=True)
class SittingsSoFar:
    """What is written down: adult -> sittings, and learner -> sittings."""

    adults: Counts
    learners: Counts

    def beta(self, person: Person) -> tuple[float, float]:
        """The parameters for an adult, or a learner: of falling through, and of being held."""
        kind, id_ = person
        fell, tries = _of(self._counts(kind).get(id_, SittingsCount()), kind)
        others = [_of(c, kind) for i, c in self._counts(kind).items() if i != id_]
        mean = (sum(f for f, _ in others) + 0.5) / (sum(t for _, t in others) + 1)
        return WORTH * mean + fell, WORTH * (1 - mean) + tries - fell

    def falls(self, kind: str) -> bool:
        """Whether anything fell through by adults, or by learners."""
        return any(_of(c, kind)[0] for c in self._counts(kind).values())

    def _counts(self, kind: str) -> Counts:
        return self.adults if kind == "adult" else self.learners


def _of(count: SittingsCount, kind: str) -> tuple[int, int]:
    """What fell through, of how many that could."""
    return (count.others, count.asked) if kind == "adult" else (count.childs, count.written)


def sittings_so_far(case: Case, log: Log) -> SittingsSoFar | None:
    """None where nothing fell through: then all are taken to be held, and the forecast says so."""
    written = sittings_written(case, log)
    if not any(s.count.not_run for s in written):
        return None
    return SittingsSoFar(sittings_of_adults(written), sittings_of_learners(written))


@dataclass
class CourseSittings:
    """The sittings of one course. Without `known` all are held."""

    known: SittingsSoFar | None
    random: Random
    _rates: dict[Person, float] = field(default_factory=dict)
    _absent: dict[tuple[Person, date], bool] = field(default_factory=dict)

    def is_held(self, seat: PlacedSitting, day: date) -> bool:
        if self.known is None:
            return True
        needed = [seat.adult, *([seat.beside] if seat.beside_as.is_needed else [])]
        people = [("learner", seat.learner), *(("adult", a) for a in needed)]
        return not any(self._is_absent(self.known, person, day) for person in people)

    def _is_absent(self, known: SittingsSoFar, person: Person, day: date) -> bool:
        if not known.falls(person[0]):
            return False
        if person not in self._rates:
            self._rates[person] = self.random.betavariate(*known.beta(person))
        if (person, day) not in self._absent:
            self._absent[person, day] = self.random.random() < self._rates[person]
        return self._absent[person, day]
