"""Rules of one probe: its target, its combination, its kind, its trials."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from genplan.audit.baseline import baseline_left, untaught
from genplan.audit.context import AuditContext, name, words
from genplan.audit.history import named_as_taught
from genplan.audit.maintenance_dates import maintenance_dates, maintenance_rows
from genplan.case import Combination, Target
from genplan.plan import Probe, Sitting


def _probes(matter: AuditContext) -> Iterator[tuple[Sitting, Probe, Target]]:
    for s in matter.new:
        for probe in s.probes:
            yield s, probe, matter.case.targets[probe.target]


def probes_fit_their_sitting(matter: AuditContext) -> Iterator[str]:
    for s, probe, target in _probes(matter):
        if target.learner != s.learner:
            yield f"{name(s)}: {target.id} is a target of learner {target.learner}."
        if probe.combination[0] != s.adult:
            yield f"{name(s)}: its probe of {target.id} is with adult {probe.combination[0]}."
        if probe.combination[1] != s.location:
            yield f"{name(s)}: its probe of {target.id} is at location {probe.combination[1]}."
        if probe.trials != target.trials:
            yield f"{name(s)}: {target.id} has {target.trials} trials a probe, not {probe.trials}."


def targets_are_mastered(matter: AuditContext) -> Iterator[str]:
    """Teaching is of skills that are still taught, too, and baseline probes are of these alone."""
    for s, probe, target in _probes(matter):
        state = target.state.value
        kinds = {
            "mastered": ("new", "retest", "maintenance", "teaching"),
            "teaching": ("teaching", "baseline"),
        }
        if probe.kind.value not in kinds.get(state, ()):
            yield f"{name(s)}: {target.id} is not mastered but {state}."


def combinations_are_possible(matter: AuditContext) -> Iterator[str]:
    for s, probe, target in _probes(matter):
        if probe.combination not in matter.past[target.id].possible_combinations:
            yield f"{name(s)}: {words(probe.combination)} is not a possible combination of {target.id}."


def sets_are_there(matter: AuditContext) -> Iterator[str]:
    """No sitting uses a set at a time when the case says that it is missing."""
    for s, probe, _ in _probes(matter):
        used = matter.case.material_sets[probe.combination[2]]
        begins, ends = s.start.replace(tzinfo=None), s.end.replace(tzinfo=None)
        if any(begins < gap.end and gap.start < ends for gap in used.missing):
            yield f"{name(s)}: the material set {used.id} is missing then."


def failures_wait_for_teaching(matter: AuditContext) -> Iterator[str]:
    for s, probe, target in _probes(matter):
        if probe.kind.is_probe and matter.past[target.id].of(probe.combination).waits:
            what = f"{words(probe.combination)} of {target.id}"
            yield f"{name(s)}: {what} was not met, and not taught since as often and as well as is asked for."


def kinds_are_right(matter: AuditContext) -> Iterator[str]:
    """A retest is one that is due, maintenance repeats what was met or has nothing else to repeat than what `taught`
    names, a new probe was not tested."""
    for s, probe, target in _probes(matter):
        known = matter.past[target.id].of(probe.combination)
        if known.waits or not probe.kind.is_probe or probe.kind.value == "baseline":
            continue
        right = {
            "retest": known.retest_due,
            "maintenance": may_be_repeated(matter, target, probe.combination),
            "new": not known.tested,
        }
        if not right[probe.kind.value]:
            what = "is due for a retest" if known.retest_due else f"is {known.status}"
            kind = probe.kind.value
            yield f"{name(s)}: {words(probe.combination)} of {target.id} {what}, so it is no {kind} probe."


def may_be_repeated(matter: AuditContext, target: Target, combination: Combination) -> bool:
    """What is met. What was mastered by name and never tested too, unless something was met before the week."""
    past, monday = matter.past[target.id], matter.monday.date()
    known = past.of(combination)
    if known.status == "met":
        return True
    if known.status != "taught" or known.tested or not named_as_taught(target, combination):
        return False
    before = (past.of(c) for c in past.possible_combinations if past.of(c).status == "met")
    return not any(k.last_date and k.last_date < monday for k in before)


def baseline_is_of_what_nobody_taught(matter: AuditContext) -> Iterator[str]:
    """And there are no more of them than the policy asks for and leaves after what was run."""
    for id_ in matter.by_target:
        target = matter.case.targets.get(id_)
        if target is None or target.state.value != "teaching":
            continue
        left, free = baseline_left(matter, target), untaught(matter, target)
        own = [
            (s, p.combination) for s, p, t in _probes(matter) if t.id == id_ and p.kind.value == "baseline"
        ]
        for s, combination in own:
            if combination not in free:
                yield f"{name(s)}: {words(combination)} of {id_} was taught or probed, so it is no baseline probe."
        if len(own) > left:
            yield f"{name(own[-1][0])}: {len(own)} baseline probes of {id_} in the week, and {left} are asked for."


def retests_wait_their_days(matter: AuditContext) -> Iterator[str]:
    for s, probe, target in _probes(matter):
        first = matter.past[target.id].of(probe.combination).retest_from
        if probe.kind.value == "retest" and first and s.start.date() < first:
            yield f"{name(s)}: {words(probe.combination)} of {target.id} may be probed again from {first} on."


def maintenance_is_due(matter: AuditContext) -> Iterator[str]:
    sunday = matter.monday.date() + timedelta(days=6)
    for id_, sittings in matter.by_target.items():
        target = matter.case.targets.get(id_)
        those = [
            s
            for s in dict.fromkeys(sittings)
            for p in s.probes
            if p.target == id_ and p.kind.value == "maintenance"
        ]
        if target is None or all(s.begun for s in those):
            continue
        opens = maintenance_opens(matter, target, sunday)
        those = [s for s in those if not (s.begun and opens and s.start.date() < opens)]
        for s in those:
            if opens and s.start.date() < opens:
                yield f"{name(s)}: a maintenance probe of {id_} before {opens} does not answer its date."
        if not owes_maintenance(matter, target, sunday):
            yield f"{name(those[-1])}: no maintenance probe of {id_} is due by {sunday}."
        elif len(those) > 1:
            yield f"{name(those[-1])}: {len(those)} maintenance probes of {id_} in the week, and one is due."


def maintenance_opens(matter: AuditContext, target: Target, by: date) -> date | None:
    """The first day on which a probe answers the latest date that came by then; None: no date came."""
    rows = matter.rows.get(target.id, [])
    reached = [one for one in maintenance_dates(matter.case, target, rows) if one[0] <= by]
    return reached[-1][1] if reached else None


def owes_maintenance(matter: AuditContext, target: Target, by: date) -> bool:
    """Whether a date came and no maintenance probe was run from the day on that counts as early for it."""
    opens = maintenance_opens(matter, target, by)
    rows = maintenance_rows(matter.rows.get(target.id, []))
    return opens is not None and all(r.date < opens for r in rows)


def nothing_is_probed_twice(matter: AuditContext) -> Iterator[str]:
    """A combination has one place in the week; what has begun may come again: perhaps it was not run. It may be taught
    more often, and then is not probed."""
    places: dict[tuple[str, Combination], list[Sitting]] = defaultdict(list)
    taught: dict[tuple[str, Combination], Sitting] = {}
    for s, probe, target in _probes(matter):
        if probe.kind.is_probe:
            places[target.id, probe.combination].append(s)
        else:
            taught[target.id, probe.combination] = s
    for (target_id, combination), s in taught.items():
        if (target_id, combination) in places:
            yield f"{name(s)}: {words(combination)} of {target_id} is taught, and probed in the same week."
    for (target_id, combination), sittings in places.items():
        if len(sittings) > 1:
            yield f"{name(sittings[-1])}: {words(combination)} of {target_id} is also in {sittings[0].id}."


OF_THE_CASE_ALONE = (targets_are_mastered, combinations_are_possible, sets_are_there)
"""Those for which no row of results has to be read."""
CHOICES = (
    probes_fit_their_sitting,
    targets_are_mastered,
    combinations_are_possible,
    sets_are_there,
    failures_wait_for_teaching,
    kinds_are_right,
    baseline_is_of_what_nobody_taught,
    retests_wait_their_days,
    maintenance_is_due,
    nothing_is_probed_twice,
)
