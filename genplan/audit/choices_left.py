"""What could still be run of each target, worked out once more: the probes that the week may hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from genplan.audit.choices import maintenance_opens, owes_maintenance
from genplan.audit.context import AuditContext
from genplan.audit.history import NOT_MET, Shown, shown_by
from genplan.audit.shown_tuples import shown_before, shown_in_plan
from genplan.case import Combination, Target


@dataclass(frozen=True)
class Left:
    """Of one mastered target, before what is ahead: `open` is what was not shown, `new` what each combination that was
    never tested shows of it, `again` are retests that are due and what a due maintenance probe may repeat."""

    target: Target
    open: frozenset[Shown]
    new: dict[Combination, frozenset[Shown]]
    again: tuple[Combination, ...]

    @property
    def combinations(self) -> tuple[Combination, ...]:
        return (*self.new, *self.again)


def left_of(matter: AuditContext, target: Target) -> Left:
    """What sits in sittings that have begun counts as run; what was met may be repeated for maintenance."""
    past = matter.past[target.id]
    still_open = past.possible - shown_before(past) - shown_in_plan(matter, target, begun=True)
    begun = [
        (s.start.date(), p)
        for s in matter.by_target.get(target.id, [])
        if s.begun
        for p in s.probes
        if p.target == target.id
    ]
    seated = {p.combination for _, p in begun}
    opens = maintenance_opens(matter, target, matter.sunday)
    repeated = any(p.kind.value == "maintenance" and (not opens or day >= opens) for day, p in begun)
    owes = not repeated and owes_maintenance(matter, target, matter.sunday)
    new, again = {}, []
    for combination in sorted(past.possible_combinations):
        known = past.of(combination)
        if owes and known.status == "met":
            again.append(combination)
        elif known.status == NOT_MET or combination in seated:
            continue
        elif known.retest_due or (owes and known.status == "taught"):
            again.append(combination)
        shows = shown_by(target, combination) & still_open
        if shows and not known.tested:
            new[combination] = shows
    return Left(target, still_open, new, tuple(again))


def owed_targets(matter: AuditContext) -> Iterator[Left]:
    """Mastered targets of which something could be run."""
    for target in matter.case.targets.values():
        if target.state.value == "mastered":
            left = left_of(matter, target)
            if left.combinations:
                yield left
