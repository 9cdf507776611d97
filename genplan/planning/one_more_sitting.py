"""What one more sitting of a learner may hold beside the others: what is still owed, and what limits, sets of materials
and second adults allow.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

from genplan.case.second_adults import Beside, is_ruled_out
from genplan.case.targets import ADULT, LOCATION
from genplan.case.windows import Windows
from genplan.coverage.tuples import tuples_of
from genplan.plan import ProbeKind
from genplan.planning.best_sitting import Room
from genplan.planning.caseload_problem import Caseload
from genplan.planning.companions import company
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.openings import Opening, company_of
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount, Unit, target_amounts
from genplan.rules.clashes import set_in_use, set_missing
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_adult, of_learner
from genplan.rules.teaching import taught_before
from genplan.rules.wishes import wished_apart


@dataclass(frozen=True)
class OneMoreSitting:
    """Of a learner; `others` are all sittings that stay ahead, whoever's."""

    load: Caseload
    others: tuple[PlacedSitting, ...]
    learner: str

    @cached_property
    def taken(self) -> tuple[PlacedSitting, ...]:
        return (*self.load.begun, *self.others)

    @cached_property
    def own(self) -> tuple[PlacedSitting, ...]:
        return of_learner(self.taken, self.learner)

    @cached_property
    def ahead(self) -> tuple[PlacedSitting, ...]:
        return of_learner(self.others, self.learner)

    @cached_property
    def needs(self) -> dict[str, TargetNeed]:
        return {n.id: n for n in self.load.needs if n.target.learner == self.learner}

    @cached_property
    def choices(self) -> dict[tuple[str, str], tuple[Choice, ...]]:
        """What is still owed beside the others, by adult and location, in the order of targets."""
        found: dict[tuple[str, str], list[Choice]] = defaultdict(list)
        for need in self.needs.values():
            seated = {p.combination for s in self.ahead for p in s.real_probes if p.target == need.id}
            fresh = [c for c in need.of_kind(ProbeKind.NEW) if c.combination not in seated]
            again = [c for c in need.beside(self.ahead).choices if c.kind is not ProbeKind.NEW]
            for choice in (*again, *fresh):
                value = need.target.value
                found[value(choice.combination, ADULT), value(choice.combination, LOCATION)].append(choice)
        return {place: tuple(own) for place, own in found.items()}

    def fits_day(self, choice: Choice, day: int) -> bool:
        """The policy's limits for a target, what is wished apart, and that each new probe of the learner still shows
        something that no other shows by its day."""
        case, free, one = self.load.case, self.load.free, on_day(self.learner, choice, day)
        known = (free.recorded.get(choice.target, ()), free.recorded_teachings.get(choice.target, ()))
        if next(target_amounts(case, choice.target, one, self.own, *known), None) is not None:
            return False
        if wished_apart(case, one, self.taken) is not None:
            return False
        need = self.needs[choice.target]
        return choice.kind is not ProbeKind.NEW or all_show_something(need, (*self.ahead, one))

    def not_after_teaching(self, choice: Choice, start: int) -> bool:
        case, target = self.load.case, choice.target
        one = _at(self.learner, choice, start)
        taught = self.load.free.recorded_teachings.get(target, ())
        return taught_before(case, target, one, self.own, taught) is None

    def set_is_there(self, opening: Opening, name: str, start: int, end: int) -> bool:
        probe = PlacedProbe("", (opening.adult, opening.location, name), ProbeKind.NEW.value)
        seat = PlacedSitting(self.learner, opening.adult, opening.location, start, end, (probe,))
        if set_missing(name, seat, self.load.free.missing.get(name, ())):
            return False
        return set_in_use(self.load.case, name, seat, self._users.get((name, opening.day), ())) is None

    @cached_property
    def _users(self) -> Mapping[tuple[str, int], Sequence[PlacedSitting]]:
        found: dict[tuple[str, int], list[PlacedSitting]] = defaultdict(list)
        for seat in self.taken:
            for name in seat.material_sets:
                found[name, seat.day].append(seat)
        return found

    def room(self, opening: Opening, beside: str) -> Room | None:
        """What the limits of the learner and of the adults leave on that day; None: not even a sitting."""
        case = self.load.case
        left: dict[Unit, float] = defaultdict(lambda: inf)
        people: list[tuple[tuple[Amount, ...], object, Sequence[PlacedSitting]]] = [
            (LEARNER_AMOUNTS, case.learners[self.learner].limits, self.own)
        ]
        people += [
            (ADULT_AMOUNTS, case.adults[a].limits, of_adult(self.taken, a))
            for a in (opening.adult, beside)
            if a
        ]
        for amounts, limits, theirs in people:
            for amount in amounts:
                most = amount.most(limits)  # type: ignore[arg-type]
                if most is not None:
                    left[amount.unit] = min(left[amount.unit], most - amount.taken_on(opening.day, theirs))
        if left[Unit.SITTINGS] < 1:
            return None
        return Room(left[Unit.MINUTES], left[Unit.PROBES], left[Unit.RETESTS], left[Unit.TEACHINGS])

    def second_adults(
        self, opening: Opening, choices: Sequence[Choice]
    ) -> Iterator[tuple[str, Beside, Windows | None]]:
        """Who can be beside, as what, and when; nobody where nobody has to."""
        case, free = self.load.case, self.load.free
        if free.needs_companion(opening.adult, self.learner):
            there = company_of(case, free, self.learner, opening.location, self.taken)
            yield from ((a, Beside.COMPANION, w) for a, w in there.items() if a != opening.adult)
            return
        yield "", Beside.NOBODY, None
        teachers = {t for c in choices for t in c.beside}
        adults = free.adults_at(opening.location)
        there = company(case, adults, teachers, self.learner, opening.location, self.taken)
        yield from ((a, Beside.TEACHER, w) for a, w in there.items())

    def may(self, choice: Choice, beside: str) -> bool:
        """Whether it can be run with that second adult."""
        if choice.beside and beside not in choice.beside:
            return False
        return not beside or not is_ruled_out(self.needs[choice.target].target, choice.combination, beside)


def all_show_something(need: TargetNeed, seats: Sequence[PlacedSitting]) -> bool:
    """Whether each new probe of a target shows something open that no other new one shows on its day or before."""
    new = [
        (s.day, need.open.intersection(tuples_of(need.target, p.combination)))
        for s in seats
        for p in s.probes
        if p.target == need.id and p.kind == ProbeKind.NEW
    ]
    return all(
        shows.difference(*(o for j, (d, o) in enumerate(new) if j != i and d <= day))
        for i, (day, shows) in enumerate(new)
    )


def on_day(learner: str, choice: Choice, day: int) -> PlacedSitting:
    return _at(learner, choice, day * 24 * 60)


def _at(learner: str, choice: Choice, start: int) -> PlacedSitting:
    probe = PlacedProbe(choice.target, choice.combination, choice.kind.value)
    adult, location = choice.combination[:2]
    return PlacedSitting(learner, adult, location, start, start + 1, (probe,))
