"""What was owed and is not in the plan is told, each of it once: nothing is left out without a reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

from genplan.audit.baseline import baseline_ahead, baseline_left
from genplan.audit.choices import maintenance_opens, owes_maintenance
from genplan.audit.context import AuditContext
from genplan.audit.owed_teaching import (
    names_in_teaching,
    teachings,
    times_left,
    times_left_in_week,
    told_as_owed,
)
from genplan.audit.shown_tuples import shown_before, shown_in_plan
from genplan.audit.teaching import right_ones_are_taught
from genplan.case import Target
from genplan.plan import LeftOut


def left_out_is_told(matter: AuditContext) -> Iterator[str]:
    """For each mastered target every open tuple, every retest that is due or waits for teaching and a maintenance probe
    that is due are in the plan or left out with a reason; and all teaching that is owed, of a target that is still
    taught, too."""
    for item in matter.plan.left_out:
        known = matter.case.targets.get(item.target)
        states = ("mastered",) if item.kind.is_probe else ("mastered", "teaching")
        if item.kind.value == "baseline":
            states = ("teaching",)
        if known is None or known.learner != item.learner or known.state.value not in states:
            yield f"Left out: the case knows no mastered target {item.target} of learner {item.learner}."
        elif not (item.values or item.due or (item.teachings and known.state.value == "teaching")):
            yield f"Target {item.target}: something is left out without its name."
    for target in matter.case.targets.values():
        if target.state.value == "mastered":
            yield from _wrong_amounts(matter, target)
        if target.state.value in ("mastered", "teaching"):
            yield from _wrong_teachings(matter, target)
            yield from _wrong_baselines(matter, target)


def _wrong_amounts(matter: AuditContext, target: Target) -> Iterator[str]:
    told = matter.left_out_of[target.id]
    owed = {
        "new": _open(matter, target),
        "retest": _retests(matter, target),
        "maintenance": _maintenance(matter, target),
    }
    for kind, count in owed.items():
        items = [item for item in told if item.kind.value == kind]
        said = sum(item.tuples for item in items) if kind == "new" else len(items)
        what = "open tuples" if kind == "new" else f"probes of the kind {kind}"
        if said != count:
            yield f"Target {target.id}: {said} {what} are told as left out, counted {count}."


def _open(matter: AuditContext, target: Target) -> int:
    past = matter.past[target.id]
    return len(past.possible - shown_before(past) - shown_in_plan(matter, target))


def _retests(matter: AuditContext, target: Target) -> int:
    """Possible combinations that were not met: those that wait for teaching, and those due that the plan lacks."""
    past = matter.past[target.id]
    planned = {
        p.combination
        for s in matter.by_target.get(target.id, [])
        for p in s.probes
        if p.target == target.id and p.kind.value not in ("teaching", "baseline")
    }
    count = 0
    for combination in past.possible_combinations:
        known = past.of(combination)
        if known.waits or (known.retest_due and combination not in planned):
            count += 1
    return count


def _maintenance(matter: AuditContext, target: Target) -> int:
    sittings = matter.by_target.get(target.id, [])
    sunday = matter.monday.date() + timedelta(days=6)
    opens = maintenance_opens(matter, target, sunday) or sunday
    planned = any(
        p.target == target.id and p.kind.value == "maintenance" and s.start.date() >= opens
        for s in sittings
        for p in s.probes
    )
    return int(not planned and owes_maintenance(matter, target, sunday))


def _wrong_teachings(matter: AuditContext, target: Target) -> Iterator[str]:
    """Of what is taught less often than it is owed the rest is told, and nothing else is."""
    if not matter.case.policy.plan_teaching:
        return
    planned = Counter(p.combination for _, p in teachings(matter, target.id, begun=False))
    said = sum(item.teachings for item in _told_of(matter, target, "teaching"))
    if target.state.value == "teaching":
        possible = names_in_teaching(matter, target)
        short = times_left_in_week(matter, target) - planned.total() if possible else 0
    else:
        named = told_as_owed(matter, target)
        short = sum(times_left(matter, target, c) - planned[c] for c in named)
    if said != short:
        yield f"Target {target.id}: {said} teachings are told as left out, counted {short}."


def _told_of(matter: AuditContext, target: Target, kind: str) -> list[LeftOut]:
    return [i for i in matter.left_out_of[target.id] if i.kind.value == kind]


def _wrong_baselines(matter: AuditContext, target: Target) -> Iterator[str]:
    said = sum(item.teachings for item in _told_of(matter, target, "baseline"))
    short = 0
    if target.state.value == "teaching":
        short = baseline_left(matter, target) - baseline_ahead(matter, target)
    if said != short:
        yield f"Target {target.id}: {said} baseline probes are told as left out, counted {short}."


OWED = (left_out_is_told, right_ones_are_taught)
