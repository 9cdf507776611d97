"""What a week of the line still holds for one learner: a probe or a teaching beside what is planned, or in the place
of a new probe.

A place in a week is no number: the probe needs its adult at its location with its set, and hours, limits and rests are
as in any plan. So each is looked for with `planning.insertion_finder`, by which the planner
gives its reasons too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from genplan.case import Case, Combination, Target, Week
from genplan.case.second_adults import can_be_taught
from genplan.plan import ProbeKind, minutes_of
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, Opening, openings_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learner
from genplan.rules.teaching import teachers_wanted

Seats = tuple[PlacedSitting, ...]
Key = tuple[str, Combination]
Moved = frozenset[Key]
"""Target and combination of what a course teaches and probes again at another time than the line."""
COMES_AGAIN = (ProbeKind.TEACHING, ProbeKind.RETEST)


class RemainingCapacity:
    """One learner's week. `own` are its seats of the line in order of time; those of the others stay as they are.
    Answers are remembered: most courses ask the same."""

    def __init__(
        self, case: Case, week: Week, free: Hours, seats: Iterable[PlacedSitting], learner: str
    ) -> None:
        together = tuple(seats)
        self.case, self.week, self.learner = case, week, learner
        self.own: Seats = tuple(sorted(of_learner(together, learner), key=_time))
        self._others = tuple(s for s in together if s.learner != learner)
        self._free = free
        self._openings = openings_of(case, free, learner)
        self._beside: dict[tuple[Seats, Choice], Seats | None] = {}
        self._instead: dict[tuple[Seats, Choice], tuple[Seats, Choice] | None] = {}

    def own_without(self, moved: Moved) -> Seats:
        """The learner's seats of the line without teachings and retests of these."""
        seats = self.own
        for seat in self.own if moved else ():
            for probe in seat.probes:
                if probe.kind in COMES_AGAIN and (probe.target, probe.combination) in moved:
                    here = next(s for s in seats if (s.start, s.adult) == _time(seat))
                    seats = tuple(self._without(seats, here, probe))
        return seats

    def lessons_of(self, key: Key) -> int:
        """The teachings of a combination in the learner's seats of the line."""
        wanted = (*key, ProbeKind.TEACHING)
        return sum((p.target, p.combination, p.kind) == wanted for s in self.own for p in s.probes)

    def day_of(self, seat: PlacedSitting) -> date:
        return self.week.days[seat.day]

    def teaching(self, target: Target, combination: Combination) -> Choice | None:
        """The teaching of a combination; None where nobody may, or the policy plans none."""
        if not self.case.policy.plan_teaching or not can_be_taught(self.case, target, combination):
            return None
        beside = teachers_wanted(self.case, target, combination)
        return Choice(target.id, combination, ProbeKind.TEACHING, beside=beside)

    def beside(self, seats: Seats, choice: Choice) -> Seats | None:
        """The learner's seats with one probe or teaching more; None if nothing holds it."""
        if (seats, choice) not in self._beside:
            self._beside[seats, choice] = self._find(seats, choice)
        return self._beside[seats, choice]

    def instead(self, seats: Seats, choice: Choice) -> tuple[Seats, Choice] | None:
        """The same where another new probe has to give way, and which: one of the same target if that is enough, and
        rather a late one than an early one."""
        if (seats, choice) not in self._instead:
            self._instead[seats, choice] = self._swap(seats, choice)
        return self._instead[seats, choice]

    def _find(self, seats: Seats, choice: Choice) -> Seats | None:
        openings = tuple(self._openings_left(seats, choice))
        ways = InsertionFinder(self.case, self._free, (*self._others, *seats), {self.learner: openings})
        for before, after in ways.clear(choice):
            return tuple(sorted((*(s for s in seats if s != before), after), key=_time))
        return None

    def _openings_left(self, seats: Seats, choice: Choice) -> Iterator[Opening]:
        """Those on days on which the limits of probes, or of teachings, leave any: most questions end here, before a
        way is looked at."""
        policy, limits, is_probe = (
            self.case.policy,
            self.case.learners[self.learner].limits,
            choice.kind.is_probe,
        )
        if is_probe:
            a_day, a_week = policy.probes_per_target_per_day, policy.probes_per_target_per_week
            most_a_day, recorded = limits.probes_per_day, self._free.recorded
        else:
            a_day, a_week = policy.teachings_per_target_per_day, policy.teachings_per_target_per_week
            most_a_day, recorded = limits.teachings_per_day, self._free.recorded_teachings
        alike = [(s.day, p.target) for s in seats for p in s.probes if p.is_probe is is_probe]
        days = [day for day, target in alike if target == choice.target]
        days += recorded.get(choice.target, ())
        if len(days) >= a_week:
            return
        all_days = [day for day, _ in alike]
        for opening in self._openings:
            own = days.count(opening.day) < a_day
            if own and (most_a_day is None or all_days.count(opening.day) < most_a_day):
                yield opening

    def _swap(self, seats: Seats, choice: Choice) -> tuple[Seats, Choice] | None:
        new = [(s, p) for s in reversed(seats) for p in reversed(s.probes) if p.kind == ProbeKind.NEW]
        for seat, probe in sorted(new, key=lambda sp: sp[1].target != choice.target):
            found = self.beside(tuple(self._without(seats, seat, probe)), choice)
            if found is not None:
                return found, Choice(probe.target, probe.combination, ProbeKind.NEW)
        return None

    def _without(self, seats: Seats, seat: PlacedSitting, probe: PlacedProbe) -> Iterator[PlacedSitting]:
        for one in seats:
            left = tuple(p for p in one.probes if p != probe)
            if one != seat:
                yield one
            elif left:
                spared = minutes_of(self.case.targets[probe.target], probe.kind)
                yield replace(one, end=one.end - spared, probes=left)


def _time(seat: PlacedSitting) -> tuple[int, str]:
    return seat.start, seat.adult
