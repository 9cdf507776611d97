"""What people feel of a plan, counted once more: sittings, places of a day, days, hours."""

from __future__ import annotations

from collections import Counter
from datetime import date

from genplan.audit.again import told_as_fallen
from genplan.audit.context import DAY, AuditContext
from genplan.plan import Sitting


def sittings_and_places(matter: AuditContext) -> float:
    """Sittings, and for each learner and each adult and day the places used, less one."""
    places: dict[tuple[str, str, date], set[str]] = {}
    for s in matter.new:
        for who in (("learner", s.learner), ("adult", s.adult)):
            places.setdefault((*who, s.start.date()), set()).add(s.location)
    return len(matter.new) + sum(len(p) - 1 for p in places.values())


def changes(matter: AuditContext) -> float:
    """For each new probe the dimensions, beyond one, in which it differs from the nearest combination that was met or
    taught."""
    if not matter.case.policy.prefer.one_change_at_a_time:
        return 0
    total = 0
    for s in matter.new:
        for probe in s.probes:
            known = matter.past[probe.target].known.items()
            near = [c for c, k in known if k.status in ("met", "taught")]
            if near and probe.kind.value == "new":
                total += min(sum(a != b for a, b in zip(probe.combination, c, strict=True)) for c in near) - 1
    return total


def number_of_probes(s: Sitting) -> int:
    """Without what is taught in it."""
    return sum(p.kind.is_probe for p in s.probes)


def fullest_days(matter: AuditContext) -> float:
    """The probes of each learner's fullest day, added up."""
    if not matter.case.policy.prefer.spread_over_days:
        return 0
    probes: Counter[tuple[str, date]] = Counter()
    for s in matter.new:
        probes[s.learner, s.start.date()] += number_of_probes(s)
    return sum(
        max((n for (who, _), n in probes.items() if who == i), default=0) for i in matter.case.learners
    )


def waiting(matter: AuditContext) -> float:
    """Days after Monday on which something due is run, or taught, or something that fell through before."""
    fell = told_as_fallen(matter)
    return sum(
        s.start.weekday()
        for s in matter.new
        for p in s.probes
        if p.kind.value != "new" or (p.target, p.combination) in fell
    )


def early_starts(matter: AuditContext) -> float:
    """Steps of the time grid after midnight, over all that is held."""
    grid = matter.case.policy.start_every_minutes
    return sum(matter.minute(s.start) % DAY / grid for s in matter.new)
