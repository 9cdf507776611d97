"""What a simulated course owes where a target teaches the fewest: the planner's own choice, of the course's rows."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import chain

from genplan.case import Combination
from genplan.coverage.held_out import taught_as_far_as_can_be
from genplan.coverage.tally import Tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import standings
from genplan.forecast.owed import Owed
from genplan.forecast.remaining_capacity import COMES_AGAIN, Moved, RemainingCapacity
from genplan.plan import ProbeKind
from genplan.planning.teaching_due import teachings_due
from genplan.rules.placed_sittings import PlacedProbe


class CourseRows:
    """The rows of one target in one course. `before` are those of the log, `count` is how the target stood by them, in
    the week before the first of `weeks`. What the line plans of teachings and retests is left to the line."""

    def __init__(self, before: Sequence[Result], count: Tally, weeks: Sequence[RemainingCapacity]) -> None:
        self._rows, self._count, self._weeks = list(before), count, weeks
        self._is_waiting = any(s.comes_again for s in count.standings.values())

    def add(self, probe: PlacedProbe, day: date, *, met: bool) -> None:
        """A probe that was run, or a teaching that was held, so that it counts."""
        target, taught = self._count.target, probe.kind == ProbeKind.TEACHING
        kind = ResultKind.TEACHING if taught else ResultKind.PROBE
        right = target.trials if taught or met else 0
        self._rows.append(
            Result(
                line=len(self._rows),
                date=day,
                time=None,
                target=target.id,
                kind=kind,
                combination=probe.combination,
                trials=target.trials,
                correct=right,
            )
        )
        self._is_waiting = self._is_waiting or not met

    def miss(self, lost: Iterable[PlacedProbe]) -> None:
        """These fell through: no row says anything of them, and what was to come of them is still waiting."""
        target = self._count.target.id
        self._is_waiting = self._is_waiting or any(p.target == target and p.kind in COMES_AGAIN for p in lost)

    def owed(self, index: int, moved: Moved = frozenset()) -> Iterator[Owed]:
        """What the week of this index is to hold: the teachings that the planner would choose, and retests. Of what is
        `moved` the line holds nothing any more."""
        if not self._is_waiting:
            return
        room, target, log = self._weeks[index], self._count.target, Log.of(self._rows)
        found = taught_as_far_as_can_be(
            room.case, target, standings(target, log), self._count.possible_combinations
        )
        known = replace(self._count, standings=found)
        self._is_waiting = any(s.comes_again for s in known.standings.values())
        planned = self._still_planned(index, moved)
        monday = room.week.monday
        for due in teachings_due(room.case, target, log, room.week, known):
            for c in (c for c in due.combinations if c not in planned):
                yield Owed(target=target, combination=c, week=index, teachings=due.times, retest_from=monday)
        for c, s in known.standings.items():
            if s.retest_due and c not in planned:
                yield Owed(
                    target=target, combination=c, week=index, teachings=0, retest_from=s.retest_from or monday
                )

    def _still_planned(self, index: int, moved: Moved) -> Collection[Combination]:
        probes = chain.from_iterable(s.probes for room in self._weeks[index:] for s in room.own)
        own = self._count.target.id
        again = {p.combination for p in probes if p.target == own and p.kind in COMES_AGAIN}
        return {c for c in again if (own, c) not in moved}
