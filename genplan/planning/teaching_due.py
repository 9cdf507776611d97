"""What is owed in teaching this week: what was not met, and the sessions of a skill that is still being taught."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from genplan.case import Case, Combination, Target, Week
from genplan.case.second_adults import can_be_taught
from genplan.case.targets import TargetState
from genplan.coverage.tally import Tally
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.only_failed import holds, lessons_since
from genplan.evidence.standing import counts_as_teaching
from genplan.planning.exemplars import combinations_to_teach
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class TeachingDue:
    """Teachings that are owed this week.

    - `combinations`: in which they may be held
    - `times`: how many in all
    - `unlocks`: whether a probe waits for the last of them
    - `waited`: whole weeks that went by since the week in which it failed, or a skill that is still taught had its
      last teaching; 0 where that is not known"""

    combinations: tuple[Combination, ...]
    times: int
    unlocks: bool
    waited: int = 0

    def less(self, taught: Mapping[Combination, int]) -> TeachingDue:
        """What is left of it where so many are held in some combinations."""
        done = sum(taught.get(c, 0) for c in self.combinations)
        return replace(self, times=max(0, self.times - done)) if done else self

    def worth(self, held: int) -> int:
        """What so many of them count: each 1, and the last 1 more if a probe waits for it."""
        return held + (self.unlocks and held == self.times)


def teachings_due(
    case: Case,
    target: Target,
    log: Log,
    week: Week,
    count: Tally,
    told: Collection[Combination] = frozenset(),
) -> tuple[TeachingDue, ...]:
    """Nothing where the policy plans no teaching. `told`: people were told that the week teaches it in these."""
    if not case.policy.plan_teaching:
        return ()
    if target.state is TargetState.TEACHING:
        return _sessions(case, target, log, week, count)
    asked = target.teachings_before_retest
    dues = (
        TeachingDue(
            combinations=(c,),
            times=asked - _had(target, log, count, c),
            unlocks=True,
            waited=_weeks_since(_failed_on(target, count, c), week),
        )
        for c in combinations_to_teach(case, target, count, _begun(target, log, count, told))
    )
    return tuple(due for due in dues if due.times > 0)


def _begun(target: Target, log: Log, count: Tally, told: Collection[Combination]) -> tuple[Combination, ...]:
    """What is not to be dropped for something that would do as well: what had most of its teachings, then what people
    were told of."""
    taught = {r.combination for r in log.of_target(target.id) if r.kind is ResultKind.TEACHING}
    had = {c: _had(target, log, count, c) for c in count.possible_combinations if c in taught}
    begun = (c for c in count.possible_combinations if had.get(c) or c in told)
    return tuple(sorted(begun, key=lambda c: (-had.get(c, 0), c not in told)))


def _had(target: Target, log: Log, count: Tally, combination: Combination) -> int:
    """The teachings that a combination has had of those that are owed. One that was never tested has them for those
    for which it is taught."""
    standing = count.standing(combination)
    if standing.tested:
        return standing.teachings
    failed = _answered_by(target, count, combination)
    return lessons_since(target, log.of_target(target.id), combination, failed) if failed else 0


def _answered_by(target: Target, count: Tally, combination: Combination) -> list[Combination]:
    """What failed, is not taught itself, and has something that only failed in common with the combination."""
    return [
        c
        for c in count.possible_combinations
        if any(holds(target, combination, s) for s in count.standing(c).suspects)
    ]


def _failed_on(target: Target, count: Tally, combination: Combination) -> date | None:
    """The day of its latest test; of what was never tested, of the first of those for which it is taught."""
    own = count.standing(combination)
    if own.tested:
        return own.last_date
    answered = (count.standing(c).last_date for c in _answered_by(target, count, combination))
    return min((day for day in answered if day is not None), default=None)


def _weeks_since(day: date | None, week: Week) -> int:
    """The whole weeks, Monday to Sunday, between that of a day and this one."""
    return max(0, (week.monday - day).days - 1) // 7 if day is not None else 0


def _sessions(case: Case, target: Target, log: Log, week: Week, count: Tally) -> tuple[TeachingDue, ...]:
    """What a skill that is still being taught is owed: its sessions of the week, in the combinations it is taught in,
    less those that were held."""
    lessons = [
        r.date
        for r in log.of_target(target.id)
        if r.kind is ResultKind.TEACHING and counts_as_teaching(target, r)
    ]
    held = sum(week.monday <= day <= week.sunday for day in lessons)
    taught_in = tuple(
        c
        for c in count.possible_combinations
        if any(target.matches(c, p) for p in target.taught) and can_be_taught(case, target, c)
    )
    left = target.teaching_per_week - held
    if not taught_in or left <= 0:
        return ()
    waited = _weeks_since(max(lessons, default=None), week)
    return (TeachingDue(combinations=taught_in, times=left, unlocks=False, waited=waited),)


def unwritten(
    begun: Iterable[PlacedSitting], target: Target, log: Log, week: Week
) -> tuple[PlacedSitting, ...]:
    """The begun sittings without those teachings of the target that the log speaks of: it has counted them, or they
    were not held."""
    told = (ResultKind.TEACHING, ResultKind.NOT_RUN)
    rows = {(r.combination, r.date) for r in log.of_target(target.id) if r.kind in told}
    return tuple(
        replace(
            seat,
            probes=tuple(
                p
                for p in seat.probes
                if p.is_probe or p.target != target.id or (p.combination, week.days[seat.day]) not in rows
            ),
        )
        for seat in begun
    )
