"""What a simulated course owes to a combination that was not met: its teachings, and then its retest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from genplan.case import Combination, Target
from genplan.forecast.remaining_capacity import COMES_AGAIN, Moved, RemainingCapacity, Seats
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.rules.placed_sittings import PlacedProbe


@dataclass(frozen=True, kw_only=True)
class Owed:
    """One combination that was not met.

    - `target`, `combination`: what is owed
    - `week`: index of the first week whose plan can hold the next of it
    - `teachings`: how many come before the retest
    - `retest_from`: the day from which that may be run"""

    target: Target
    combination: Combination
    week: int
    teachings: int
    retest_from: date

    def in_week(self, room: RemainingCapacity, index: int) -> Choice | None:
        """What of it the week of this index may hold."""
        if index < self.week:
            return None
        if self.teachings:
            return room.teaching(self.target, self.combination)
        if self.retest_from > room.week.sunday:
            return None
        first = max(0, (self.retest_from - room.week.monday).days)
        return Choice(self.target.id, self.combination, ProbeKind.RETEST, first_day=first)

    def after(self, room: RemainingCapacity, index: int, seats: Seats) -> Owed | None:
        """What is left once these seats hold one more of it: what becomes of the last teaching is known when the next
        week is planned. None: nothing."""
        if not self.teachings:
            return None
        if self.teachings > 1:
            return replace(self, teachings=self.teachings - 1)
        taught = (self.target.id, self.combination, ProbeKind.TEACHING)
        days = (
            room.day_of(s) for s in seats for p in s.probes if (p.target, p.combination, p.kind) == taught
        )
        retest_from = max(days) + timedelta(days=self.target.retest_after_days)
        return replace(self, teachings=0, week=index + 1, retest_from=retest_from)


def owed_after(
    room: RemainingCapacity, index: int, target_id: str, combination: Combination, teaching_weeks: int
) -> tuple[Owed, ...]:
    """What is owed once a probe of the week of this index was not met; nothing where the policy plans teaching and
    nobody may teach it."""
    target = room.case.targets[target_id]
    owed = Owed(
        target=target,
        combination=combination,
        week=index + 1,
        teachings=target.teachings_before_retest,
        retest_from=room.week.monday,
    )
    if room.teaching(target, combination) is not None:
        return (owed,)
    if room.case.policy.plan_teaching and not target.is_held_out(combination):
        return ()
    week = index + 1 + teaching_weeks
    taught_on = room.week.sunday + timedelta(days=7 * teaching_weeks)
    retest_from = taught_on + timedelta(days=target.retest_after_days)
    return (replace(owed, week=week, teachings=0, retest_from=retest_from),)


def owed_again(
    rooms: Sequence[RemainingCapacity],
    index: int,
    lost: Iterable[PlacedProbe],
    owed: Sequence[Owed],
    moved: Moved,
) -> tuple[list[Owed], Moved]:
    """What is owed once these probes of the week of this index fell through, and what is run at another time than the
    line has it: of a combination of which a teaching or retest fell through all that the line still has of it."""
    again = [p for p in lost if p.kind in COMES_AGAIN]
    found = list(owed)
    for key in dict.fromkeys((p.target, p.combination) for p in again):
        lessons = sum((p.target, p.combination, p.kind) == (*key, ProbeKind.TEACHING) for p in again)
        known = next((o for o in found if (o.target.id, o.combination) == key), None)
        if known is not None:
            found[found.index(known)] = replace(known, teachings=known.teachings + lessons, week=index + 1)
            continue
        if key not in moved:
            lessons += sum(room.lessons_of(key) for room in rooms[index + 1 :])
        found.append(
            Owed(
                target=rooms[index].case.targets[key[0]],
                combination=key[1],
                week=index + 1,
                teachings=lessons,
                retest_from=rooms[index].week.monday,
            )
        )
    return found, moved | {(p.target, p.combination) for p in again}
