"""Which combinations are owed teaching, and how often, worked out once more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

from genplan.audit.context import AuditContext
from genplan.audit.history import answers, counts, in_time, is_test, taught_elsewhere
from genplan.audit.only_failed import Suspect, holds
from genplan.audit.possible import fits
from genplan.audit.who_may_teach import can_be_taught
from genplan.case import Combination, Target
from genplan.evidence.log import Result
from genplan.plan import Probe, Sitting


def teachings(matter: AuditContext, target: str, *, begun: bool | None = None) -> list[tuple[Sitting, Probe]]:
    """What the plan teaches of a target, in order of time; `begun` picks sittings that have begun, or the rest."""
    return [
        (s, p)
        for s in dict.fromkeys(matter.by_target.get(target, []))
        if begun in (None, s.begun)
        for p in s.probes
        if p.target == target and not p.kind.is_probe
    ]


def names_in_teaching(matter: AuditContext, target: Target) -> frozenset[Combination]:
    """Of a target that is still taught: what may be taught of it this week."""
    possible = matter.past[target.id].possible_combinations
    return frozenset(
        c
        for c in possible
        if any(fits(target, c, p) for p in target.taught) and can_be_taught(matter.case, target, c)
    )


def times_left(matter: AuditContext, target: Target, combination: Combination) -> int:
    """How often a combination is still taught before its retest. What sits in a sitting that has begun counts as
    taught, until a row says what became of it."""
    paid = _had(matter, target, combination)
    paid += sum(p.combination == combination for p in unwritten(matter, target))
    return max(0, target.teachings_before_retest - paid)


def _had(matter: AuditContext, target: Target, combination: Combination) -> int:
    """How many of the teachings that it is owed, or that others are for which it is taught, are written down."""
    known = matter.past[target.id].of(combination)
    return known.teachings if known.tested else _lessons_for_others(matter, target, combination)


def times_left_in_week(matter: AuditContext, target: Target) -> int:
    """The same of the sessions of a week that a target is owed while its state is teaching."""
    rows = taught_this_week(matter, target.id)
    paid = sum(counts(target, r) for r in rows) + len(list(unwritten(matter, target)))
    return max(0, target.teaching_per_week - paid)


def is_short_of(matter: AuditContext, target: Target, combination: Combination) -> bool:
    """Whether the plan teaches it less often than it is owed."""
    ahead = [p.combination for _, p in teachings(matter, target.id, begun=False)]
    if target.state.value == "teaching":
        return len(ahead) < times_left_in_week(matter, target)
    return ahead.count(combination) < times_left(matter, target, combination)


def taught_this_week(matter: AuditContext, target: str) -> list[Result]:
    monday = matter.monday.date()
    rows = matter.rows.get(target, [])
    return [r for r in rows if r.kind.value == "teaching" and monday <= r.date <= matter.sunday]


def unwritten(matter: AuditContext, target: Target) -> Iterator[Probe]:
    """What is taught in sittings that have begun, where no row says yet what became of it: that it was not run, too."""
    rows = (r for r in matter.rows.get(target.id, []) if r.kind.value in ("teaching", "not run"))
    written = {(r.combination, r.date) for r in rows}
    for s, p in teachings(matter, target.id, begun=True):
        if (p.combination, s.start.date()) not in written:
            yield p


def as_begun(matter: AuditContext, target: Target) -> list[Combination]:
    """What had some of the teachings that it is owed, most first, and then what people were told is taught; where that
    is alike in the order of the target's values."""
    told = {
        p.combination for s in matter.kept for p in s.probes if p.target == target.id and not p.kind.is_probe
    }
    had = {c: _had(matter, target, c) for c in product(*(d.values for d in target.dimensions))}
    begun = [c for c in had if had[c] or c in told]
    return sorted(begun, key=lambda c: (-had[c], c not in told))


def told_as_owed(matter: AuditContext, target: Target) -> frozenset[Combination]:
    """What the plan teaches of the target, or tells as left out."""
    planned = {p.combination for _, p in teachings(matter, target.id, begun=False)}
    names = [d.name for d in target.dimensions]
    for item in matter.plan.left_out:
        values = dict(item.values)
        if item.target == target.id and not item.kind.is_probe and set(values) == set(names):
            planned.add(tuple(values[n] for n in names))
    return frozenset(planned)


def waiting_for_teaching(matter: AuditContext, target: Target) -> frozenset[Combination]:
    past = matter.past[target.id]
    return frozenset(c for c in past.possible_combinations if past.of(c).waits)


def open_suspects(matter: AuditContext, target: Target) -> frozenset[Suspect]:
    """What only failed, of combinations that are answered elsewhere, and was not taught since."""
    return frozenset(s for some in _suspects_by_failure(matter, target).values() for s in some)


def _suspects_by_failure(matter: AuditContext, target: Target) -> dict[Combination, list[Suspect]]:
    rows: dict[Combination, list[Result]] = {}
    for row in matter.rows.get(target.id, []):
        rows.setdefault(row.combination, []).append(row)
    return {
        c: [suspect for suspect, days in answers(target, rows, c).items() if not days]
        for c in waiting_for_teaching(matter, target)
        if taught_elsewhere(target, c)
    }


def _lessons_for_others(matter: AuditContext, target: Target, combination: Combination) -> int:
    """The teachings of what did not fail itself, since the last failure for which it is taught."""
    rows = in_time(matter.rows.get(target.id, []))
    if not any(r.combination == combination and r.kind.value == "teaching" for r in rows):
        return 0
    failed = [
        c
        for c, some in _suspects_by_failure(matter, target).items()
        if any(holds(combination, s) for s in some)
    ]
    tests = [i for i, r in enumerate(rows) if r.combination in failed and is_test(r)]
    since = rows[tests[-1] + 1 :] if tests else []
    return sum(
        r.combination == combination and r.kind.value == "teaching" and counts(target, r) for r in since
    )


def taught(matter: AuditContext) -> float:
    """Each teaching counts one, and one more with which a combination has all that it waits for before its retest."""
    total = 0
    for target in matter.case.targets.values():
        ahead = Counter(p.combination for _, p in teachings(matter, target.id, begun=False))
        total += ahead.total()
        if target.state.value == "mastered":
            total += sum(times >= times_left(matter, target, c) for c, times in ahead.items())
    return total


def weeks_waited(matter: AuditContext) -> float:
    """Whole calendar weeks before this one in which nothing came of what is taught now, each thing counted once."""
    total = 0
    for target in matter.case.targets.values():
        ahead = {p.combination for _, p in teachings(matter, target.id, begun=False)}
        if target.state.value == "teaching":
            lessons = [r for r in matter.rows.get(target.id, []) if r.kind.value == "teaching"]
            days = [r.date for r in lessons if counts(target, r)]
            total += _empty_weeks(matter, max(days, default=None)) if ahead else 0
        else:
            total += sum(_empty_weeks(matter, _failed_on(matter, target, c)) for c in ahead)
    return total


def _failed_on(matter: AuditContext, target: Target, combination: Combination) -> date | None:
    """When it failed last, or else when the first thing did for which it is taught."""
    past = matter.past[target.id]
    if past.of(combination).tested:
        return past.of(combination).last_date
    days = (
        past.of(failed).last_date
        for failed, some in _suspects_by_failure(matter, target).items()
        if any(holds(combination, suspect) for suspect in some)
    )
    return min((day for day in days if day), default=None)


def _empty_weeks(matter: AuditContext, day: date | None) -> int:
    if day is None:
        return 0
    between, monday = 0, matter.monday.date() - timedelta(days=7)
    while monday > day:
        between, monday = between + 1, monday - timedelta(days=7)
    return between
