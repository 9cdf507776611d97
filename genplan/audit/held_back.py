"""Where new probes wait although they are open, worked out once more: where it breaks, and after a lapse."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.audit.breaks import that_count, values_found
from genplan.audit.context import AuditContext, name, words
from genplan.audit.history import is_met
from genplan.audit.possible import fits
from genplan.case import Combination, Target


def waits(matter: AuditContext, target: Target) -> frozenset[Combination]:
    """The combinations of a mastered target in which nothing is probed for the first time this week."""
    if ("waits", target.id) not in matter.found:
        matter.found["waits", target.id] = _waits(matter, target)
    waiting: frozenset[Combination] = matter.found["waits", target.id]
    return waiting


def _waits(matter: AuditContext, target: Target) -> frozenset[Combination]:
    everything = matter.past[target.id].known
    if matter.case.policy.new_wait_after_lapse and _has_lapsed(matter, target):
        return frozenset(everything)
    if not matter.case.policy.new_wait_where_it_breaks:
        return frozenset()
    if ("breaks", target.learner) not in matter.found:
        matter.found["breaks", target.learner] = values_that_break(matter, target.learner)
    broken = matter.found["breaks", target.learner]
    names = [d.name for d in target.dimensions]
    return frozenset(c for c in everything if any(pair in broken for pair in zip(names, c, strict=False)))


def _has_lapsed(matter: AuditContext, target: Target) -> bool:
    """Whether the latest test of a combination that teaching used was not met."""
    for combination, known in matter.past[target.id].known.items():
        taught_there = any(fits(target, combination, pattern) for pattern in target.taught)
        if taught_there and known.tested and known.status != "met":
            return True
    return False


def values_that_break(matter: AuditContext, learner: str) -> frozenset[tuple[str, str]]:
    """What the evidence names, but for what was met again in some combination that had failed."""
    own = [t for t in matter.case.mastered if t.learner == learner]
    found = values_found(own, matter.rows)
    return frozenset(found - {pair for t in own for pair in _met_again(matter, t)})


def _met_again(matter: AuditContext, target: Target) -> Iterator[tuple[str, str]]:
    failed: set[Combination] = set()
    for row in that_count(matter.rows.get(target.id, [])):
        if not is_met(target, row):
            failed.add(row.combination)
        elif row.combination in failed:
            yield from zip((d.name for d in target.dimensions), row.combination, strict=False)


def new_probes_wait(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        for probe in s.probes:
            target = matter.case.targets[probe.target]
            if probe.kind.value == "new" and probe.combination in waits(matter, target):
                yield f"{name(s)}: {words(probe.combination)} of {target.id} is new, and new probes wait there."
