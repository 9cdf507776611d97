"""Baseline probes of skills that are still taught, counted once more."""

from __future__ import annotations

from genplan.audit.context import AuditContext
from genplan.audit.possible import fits
from genplan.case import Combination, Target


def untaught(matter: AuditContext, target: Target) -> set[Combination]:
    """The possible combinations that no row but one that was not run speaks of, and no teaching is named of, by
    `taught` or less than a whole of it."""
    free = set(matter.past[target.id].possible_combinations)
    for row in matter.rows.get(target.id, []):
        if row.kind.value == "teaching" or row.trials:
            free.discard(row.combination)
    return {c for c in free if not any(fits(target, c, pattern) for pattern in target.taught)}


def baseline_left(matter: AuditContext, target: Target) -> int:
    """How many may still be run ahead: what the policy asks for, less the combinations that had one, and less what
    begun sittings hold of which no row speaks yet. No more than there are combinations for."""
    asked = matter.case.policy.baseline_per_target
    had = {r.combination for r in matter.rows.get(target.id, []) if r.kind.value == "baseline" and r.trials}
    free, begun = untaught(matter, target), held_in_begun(matter, target)
    left = min(max(0, asked - len(had)), len(free)) if asked else 0
    return max(0, min(left - len(free & begun), len(free - begun)))


def held_in_begun(matter: AuditContext, target: Target) -> set[Combination]:
    return {
        p.combination
        for s in matter.by_target.get(target.id, [])
        if s.begun
        for p in s.probes
        if p.target == target.id and p.kind.is_probe
    }


def baseline_ahead(matter: AuditContext, target: Target) -> int:
    return sum(p.target == target.id and p.kind.value == "baseline" for s in matter.new for p in s.probes)
