"""Which tuples of a target were shown before the plan, and which the plan shows."""

from __future__ import annotations

from genplan.audit.context import AuditContext
from genplan.audit.history import Past, Shown, shown_by
from genplan.case import Target


def shown_before(past: Past) -> frozenset[Shown]:
    return past.tested | past.taught


def shown_in_plan(matter: AuditContext, target: Target, begun: bool | None = None) -> frozenset[Shown]:
    """The possible tuples that the plan's sittings show; `begun` picks those that have begun or the rest. What is
    taught shows nothing, and no more does what is probed before."""
    shown: frozenset[Shown] = frozenset()
    for s in matter.by_target.get(target.id, []):
        for probe in s.probes:
            if (
                probe.target == target.id
                and probe.kind.value not in ("teaching", "baseline")
                and begun in (None, s.begun)
            ):
                shown |= shown_by(target, probe.combination)
    return shown & matter.past[target.id].possible


def fresh_in_plan(matter: AuditContext, target: Target) -> frozenset[Shown]:
    """The tuples that were not shown before or in a sitting that has begun, and are in one ahead."""
    before = shown_before(matter.past[target.id]) | shown_in_plan(matter, target, begun=True)
    return shown_in_plan(matter, target, begun=False) - before
