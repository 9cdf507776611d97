"""What the sittings of a plan show of what is owed, counted once more."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date, timedelta

from genplan.audit.choices_left import left_of
from genplan.audit.context import AuditContext
from genplan.audit.history import Shown, as_shown, shown_by
from genplan.audit.maintenance_dates import maintenance_dates
from genplan.audit.shown_tuples import fresh_in_plan
from genplan.case import Target, Wish
from genplan.plan import DatedTuple

WEEKS_AHEAD = 8
"""How far a plan looks ahead for later chances."""


def new_tuples(matter: AuditContext) -> float:
    """New tuples of the sittings that this plan decides, each as often as its learner's weight says."""
    total = 0.0
    for target in matter.case.targets.values():
        total += matter.case.learners[target.learner].needs * len(fresh_in_plan(matter, target))
    return total


def wished(matter: AuditContext) -> float:
    """New tuples that some wish asks for, shown in time for it."""
    return sum(
        any(asks_for(target, wish, shown) and _in_time(matter, wish, day) for wish in target.first)
        for target in matter.case.targets.values()
        for shown, day in first_days(matter, target).items()
    )


def dated(matter: AuditContext) -> float:
    """New tuples of wishes that are told to have their last chance in this week; where it follows a term, what is told
    to have its turn."""
    if matter.plan.turns is not None:
        return shown_in_time(matter, matter.plan.turns)
    last = frozenset(matter.plan.last_chances)
    return sum(
        any(
            (target.id, n) in last and asks_for(target, w, shown) and _in_time(matter, w, day)
            for n, w in enumerate(target.first)
        )
        for target in matter.case.targets.values()
        for shown, day in first_days(matter, target).items()
    )


def last_chances(matter: AuditContext) -> Iterator[str]:
    """A wish without a date, or with one that is far off, is not at its last chance; one whose date is over with this
    week is, if something that it asks for is open."""
    if not matter.plan.objectives:
        return
    marked = set(matter.plan.last_chances)
    for target in matter.case.mastered:
        still_open = left_of(matter, target).open
        for n, wish in enumerate(target.first):
            told, by = (target.id, n) in marked, wish.by or date.max
            marked.discard((target.id, n))
            never = by > matter.sunday + timedelta(weeks=WEEKS_AHEAD)
            always = by <= matter.sunday and any(asks_for(target, wish, t) for t in still_open)
            if told and never:
                yield f"Target {target.id}: wish {n + 1} is told as at its last chance, and has time."
            elif always and not told:
                yield f"Target {target.id}: wish {n + 1} has its last chance in this week, and it is not told."
    for id_, n in sorted(marked):
        yield f"Target {id_}: there is no wish {n + 1} to have a last chance."


def first_days(matter: AuditContext, target: Target) -> dict[Shown, date]:
    """The new tuples, each with the day on which a sitting shows it first."""
    days: dict[Shown, date] = {}
    for s in matter.by_target.get(target.id, []):
        for probe in s.probes:
            if probe.target == target.id and probe.kind.value not in ("teaching", "baseline") and not s.begun:
                for shown in shown_by(target, probe.combination):
                    days[shown] = min(days.get(shown, date.max), s.start.date())
    fresh = fresh_in_plan(matter, target)
    return {shown: day for shown, day in days.items() if shown in fresh}


def shown_in_time(matter: AuditContext, some: Collection[DatedTuple]) -> int:
    """How many of these new tuples of targets are shown by their days of the week."""
    first = {id_: first_days(matter, matter.case.targets[id_]) for id_ in {id_ for id_, _, _ in some}}
    return sum(
        first[id_].get(as_shown(matter.case.targets[id_], values), date.max)
        <= matter.monday.date() + timedelta(days=until)
        for id_, values, until in some
    )


def _in_time(matter: AuditContext, wish: Wish, day: date) -> bool:
    """Not after the wish's date; once that has passed, any day is late and none is too late."""
    passed = wish.by is not None and wish.by < max(matter.monday.date(), matter.plan.now.date())
    return wish.by is None or passed or day <= wish.by


def asks_for(target: Target, wish: Wish, shown: Shown) -> bool:
    """A wish asks for the tuples that hold as much of it as a tuple can."""
    held = sum(wish.pattern.get(target.dimensions[at].name) == value for at, value in shown)
    return held == min(len(wish.pattern), target.strength)


def due(matter: AuditContext) -> float:
    """Retests, baseline probes, maintenance probes: one that is overdue, its date before this week, counts twice."""
    return sum(_worth(matter, kind, target) for kind, target in _kinds(matter))


def _kinds(matter: AuditContext) -> Iterator[tuple[str, Target]]:
    for s in matter.new:
        for probe in s.probes:
            yield probe.kind.value, matter.case.targets[probe.target]


def _worth(matter: AuditContext, kind: str, target: Target) -> int:
    if kind == "maintenance":
        monday = matter.monday.date()
        return 2 if _latest_due(matter, target, monday + timedelta(days=6)) < monday else 1
    return 1 if kind in ("retest", "baseline") else 0


def _latest_due(matter: AuditContext, target: Target, by: date) -> date:
    dates = maintenance_dates(matter.case, target, matter.rows.get(target.id, []))
    return next((day for day, _ in reversed(dates) if day <= by), by)
