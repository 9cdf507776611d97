"""What could still be run of each target, worked out once more: the probes that the week may hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from genplan.audit.baseline import baseline_left, held_in_begun, untaught
from genplan.audit.choices import maintenance_opens, may_be_repeated, owes_maintenance
from genplan.audit.context import AuditContext
from genplan.audit.held_back import waits
from genplan.audit.history import Known, Shown, shown_by
from genplan.audit.owed_teaching import (
    names_in_teaching,
    teachings,
    times_left,
    times_left_in_week,
    told_as_owed,
    unwritten,
)
from genplan.audit.shown_tuples import shown_before, shown_in_plan
from genplan.case import Combination, Target


@dataclass(frozen=True)
class Left:
    """Of one target, before what is ahead: `open` is what was not shown, `new` what each combination that was never
    tested shows of it, `again` are retests that are due and what a due maintenance probe may repeat, `teach` where
    it is owed teaching; `later` is like `new`, of what may not be probed for the first time this week."""

    target: Target
    open: frozenset[Shown]
    new: dict[Combination, frozenset[Shown]]
    again: tuple[Combination, ...]
    teach: tuple[Combination, ...] = ()
    later: Mapping[Combination, frozenset[Shown]] = field(default_factory=dict)
    baseline: tuple[Combination, ...] = ()

    @property
    def combinations(self) -> tuple[Combination, ...]:
        return (*self.new, *self.again, *self.teach, *self.baseline)


def left_of(matter: AuditContext, target: Target) -> Left:
    """What sits in sittings that have begun counts as run; what was met may be repeated for maintenance. What is owed
    teaching has nothing else in the week."""
    if ("left", target.id) not in matter.found_of_plan:
        matter.found_of_plan["left", target.id] = _left_of(matter, target)
    left: Left = matter.found_of_plan["left", target.id]
    return left


def _left_of(matter: AuditContext, target: Target) -> Left:
    past = matter.past[target.id]
    still_open = past.possible - shown_before(past) - shown_in_plan(matter, target, begun=True)
    begun = [
        (s.start.date(), p)
        for s in matter.by_target.get(target.id, [])
        if s.begun
        for p in s.probes
        if p.target == target.id and p.kind.value not in ("teaching", "baseline")
    ]
    seated = {p.combination for _, p in begun}
    opens = maintenance_opens(matter, target, matter.sunday)
    repeated = any(p.kind.value == "maintenance" and (not opens or day >= opens) for day, p in begun)
    owes = not repeated and owes_maintenance(matter, target, matter.sunday)
    new: dict[Combination, frozenset[Shown]] = {}
    later: dict[Combination, frozenset[Shown]] = {}
    again = []
    teach = combinations_to_teach(matter, target)
    taught = {*teach, *(p.combination for _, p in teachings(matter, target.id, begun=False))}
    taught |= {p.combination for p in unwritten(matter, target)}
    waiting = waits(matter, target)
    for combination in sorted(past.possible_combinations):
        known = past.of(combination)
        shows = frozenset() if known.tested else shown_by(target, combination) & still_open
        if combination in taught and not known.retest_due:
            later[combination] = shows
            continue
        if owes and known.status == "met":
            again.append(combination)
        elif known.waits or combination in seated:
            continue
        elif (known.retest_due and is_due_by(known, matter.sunday)) or (
            owes and may_be_repeated(matter, target, combination)
        ):
            again.append(combination)
        if shows:
            (later if combination in waiting else new)[combination] = shows
    return Left(target, still_open, new, tuple(again), teach, later)


def is_due_by(known: Known, day: date) -> bool:
    """Whether a retest that is due may be run on some day up to that one."""
    return known.retest_from is None or known.retest_from <= day


def has_retests_later(matter: AuditContext, target: Target) -> bool:
    """Whether a retest that is due may be run in another week only."""
    past = matter.past[target.id]
    known = (past.of(c) for c in past.possible_combinations)
    return any(k.retest_due and not is_due_by(k, matter.sunday) for k in known)


def has_new_later(matter: AuditContext, target: Target) -> bool:
    """Whether something may be probed for the first time in another week only, since it waits."""
    past, waiting = matter.past[target.id], waits(matter, target) - held_in_begun(matter, target)
    still_open = past.possible - shown_before(past)
    new = (c for c in past.possible_combinations if c in waiting and not past.of(c).tested)
    return any(shown_by(target, c) & still_open for c in new)


def combinations_to_teach(matter: AuditContext, target: Target) -> tuple[Combination, ...]:
    """Where the week may teach the target: of what failed what the plan names, be it planned or left out."""
    if not matter.case.policy.plan_teaching:
        return ()
    if target.state.value == "teaching":
        owed = times_left_in_week(matter, target) > 0
        return tuple(sorted(names_in_teaching(matter, target))) if owed else ()
    return tuple(sorted(c for c in told_as_owed(matter, target) if times_left(matter, target, c)))


def owed_targets(matter: AuditContext) -> Iterator[Left]:
    """Targets of which something could be run or taught."""
    for target in matter.case.targets.values():
        if target.state.value == "mastered":
            left = left_of(matter, target)
        else:
            free = untaught(matter, target) - held_in_begun(matter, target)
            untried = tuple(sorted(free)) if baseline_left(matter, target) else ()
            left = Left(target, frozenset(), {}, (), combinations_to_teach(matter, target), baseline=untried)
        if left.combinations and target.state.value in ("mastered", "teaching"):
            yield left
