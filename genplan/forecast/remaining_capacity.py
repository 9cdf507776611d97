"""What a week of the line still holds for one learner: a probe beside what is planned, or in the place of another.

A place in a week is no number: the probe needs its adult at its location with its set, and hours, limits and rests are
as in any plan. So each is looked for with `planning.insertion_finder`, by which the planner
gives its reasons too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from genplan.case import Case, Week
from genplan.plan import ProbeKind
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, Opening, openings_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learner

Seats = tuple[PlacedSitting, ...]


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

    def day_of(self, seat: PlacedSitting) -> date:
        return self.week.days[seat.day]

    def beside(self, seats: Seats, choice: Choice) -> Seats | None:
        """The learner's seats with one probe more; None if nothing holds it."""
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
        openings = tuple(self._openings_left(seats, choice.target))
        ways = InsertionFinder(self.case, self._free, (*self._others, *seats), {self.learner: openings})
        for before, after in ways.clear(choice):
            return tuple(sorted((*(s for s in seats if s != before), after), key=_time))
        return None

    def _openings_left(self, seats: Seats, target: str) -> Iterator[Opening]:
        """Those on days on which the limits of probes leave any: most questions end here, before a way is looked at."""
        policy, most_a_day = self.case.policy, self.case.learners[self.learner].limits.probes_per_day
        days = [s.day for s in seats for p in s.probes if p.target == target]
        days += self._free.recorded.get(target, ())
        if len(days) >= policy.probes_per_target_per_week:
            return
        all_days = [s.day for s in seats for _ in s.probes]
        for opening in self._openings:
            own = days.count(opening.day) < policy.probes_per_target_per_day
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
                yield replace(one, end=one.end - self.case.targets[probe.target].minutes, probes=left)


def _time(seat: PlacedSitting) -> tuple[int, str]:
    return seat.start, seat.adult
