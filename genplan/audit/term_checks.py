"""What is told as due in the weeks of a term, found once more: its dates, and what it repeats."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from genplan.audit.baseline import untaught
from genplan.audit.choices import may_be_repeated
from genplan.audit.context import AuditContext
from genplan.audit.maintenance_dates import maintenance_dates
from genplan.case import Target, Week
from genplan.plan.term import Term, TermCheck


def checks_are_due(week: AuditContext, term: Term) -> Iterator[str]:
    """Each answers something that is owed, in time for it, and none is told twice. `week` is the first of the term."""
    twice = Counter((c.target, c.probe.combination, c.kind.value) for c in term.checks if c.probe)
    for check in term.checks:
        target, kind = week.case.targets[check.target], check.kind.value
        found = {"maintenance": _maintenance, "retest": _retest, "baseline": _baseline}.get(kind)
        if found is None:
            yield f"A {kind} of target {target.id} is told as due."
        else:
            yield from found(week, term, target, check)
        if check.probe and kind != "maintenance" and twice[target.id, check.probe.combination, kind] > 1:
            yield f"A {kind} of target {target.id} is told twice."


def all_that_is_due_is_told(week: AuditContext, term: Term) -> Iterator[str]:
    """Of maintenance after the first week: where something is met there is something to repeat."""
    if not term.dates:
        return
    first = week.plan.week.sunday
    last = Week.of(max(d.by for d in term.dates)).sunday
    told = Counter((c.target, c.due) for c in term.checks if c.kind.value == "maintenance")
    for target in week.case.mastered:
        known = week.past[target.id]
        if not any(known.of(c).status == "met" for c in known.possible_combinations):
            continue
        dates = maintenance_dates(week.case, target, week.rows.get(target.id, []))
        of_week = {Week.of(due): due for due, _ in dates if first < due <= last}
        for due in of_week.values():
            if told[target.id, due] != 1:
                yield f"Maintenance of target {target.id} is due on {due}, and told {told[target.id, due]} times."


def _maintenance(week: AuditContext, term: Term, target: Target, check: TermCheck) -> Iterator[str]:
    opens = dict(maintenance_dates(week.case, target, week.rows.get(target.id, []))).get(check.due)
    if opens is None:
        yield f"Maintenance of target {target.id} is told as due on {check.due}, which is no date of it."
    elif check.probe and term.last_day(check.probe) < opens:
        yield f"Maintenance of target {target.id} before {opens} does not answer its date."
    if check.probe and not may_be_repeated(week, target, check.probe.combination):
        yield f"{', '.join(check.probe.combination)} of target {target.id} cannot be repeated for maintenance."


def _retest(week: AuditContext, term: Term, target: Target, check: TermCheck) -> Iterator[str]:
    if check.probe is None:
        return
    known, day = week.past[target.id].of(check.probe.combination), term.last_day(check.probe)
    if not known.retest_due or (known.retest_from and day < known.retest_from):
        yield f"No retest of {', '.join(check.probe.combination)} of target {target.id} is due then."


def _baseline(week: AuditContext, term: Term, target: Target, check: TermCheck) -> Iterator[str]:
    if target.state.value != "teaching":
        yield f"A baseline probe of target {target.id} is told as due."
    elif check.probe and check.probe.combination not in untaught(week, target):
        yield f"{', '.join(check.probe.combination)} of target {target.id} was taught or probed."
