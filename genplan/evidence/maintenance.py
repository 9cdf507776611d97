"""Maintenance: which probe is due, and what became of each that was. The intervals, the tolerance and what
follows a lapse are settings: common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from genplan.case import Policy, Target
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.valid import corrected_by


@dataclass(frozen=True)
class MaintenanceDue:
    """`due` is the date from which the probe is owed, `days` the interval after mastery it stands for."""

    target: str
    due: date
    days: int


class CheckState(StrEnum):
    """`LAPSED`: run and not met. `MISSED`: the next fell due before it was run."""

    MET = "met"
    LAPSED = "lapsed"
    MISSED = "missed"
    DUE = "due"
    AHEAD = "ahead"


@dataclass(frozen=True)
class MaintenanceCheck:
    """One date that is, was or will be due. `runs` are the maintenance probes that answer it, in order of
    time; `state` is by the latest. `opens` is the first day on which a probe answers it, `after_lapse` tells
    that a lapse and not the ladder set the date."""

    due: date
    days: int
    opens: date
    state: CheckState
    after_lapse: bool
    runs: tuple[Result, ...]
    tolerance: int

    @property
    def timing(self) -> str:
        """'early', 'on time' or 'late' by the first run; empty where none was run."""
        if not self.runs:
            return ""
        off = (self.runs[0].date - self.due).days
        return "early" if off < 0 else "late" if off > self.tolerance else "on time"


_Date = tuple[date, date, bool]
"""When a probe is due, from which day on one answers it, and whether a lapse set it."""


def maintenance_due(
    target: Target, log: Log, by: date, policy: Policy | None = None
) -> MaintenanceDue | None:
    """The maintenance probe owed by the end of the day `by`: the latest date that is not after `by`, unless
    one was run that answers it. A date that was missed gives way once the next falls due."""
    runs = _runs(target, log)
    reached = [d for d in _dates(target, runs, policy or Policy()) if d[0] <= by]
    if target.mastered_on is None or not reached:
        return None
    due, opens, _ = reached[-1]
    answered = any(r.date >= opens for r in runs)
    return None if answered else MaintenanceDue(target.id, due, (due - target.mastered_on).days)


def maintenance_checks(
    target: Target, log: Log, today: date, policy: Policy | None = None
) -> tuple[MaintenanceCheck, ...]:
    """Every date of the ladder and every check that a lapse brought, with what became of it by the day
    `today`."""
    rule, mastered_on = policy or Policy(), target.mastered_on
    if mastered_on is None:
        return ()
    runs = [r for r in _runs(target, log) if r.date <= today]
    dates = _dates(target, runs, rule)
    checks = []
    for i, (due, opens, after_lapse) in enumerate(dates):
        following = dates[i + 1] if i + 1 < len(dates) else None
        own = tuple(r for r in runs if opens <= r.date and (following is None or r.date < following[1]))
        missed = following is not None and following[0] <= today
        state = _state(target, own, due <= today, missed)
        days, tolerance = (due - mastered_on).days, rule.maintenance_tolerance_days
        checks.append(MaintenanceCheck(due, days, opens, state, after_lapse, own, tolerance))
    return tuple(checks)


def _state(target: Target, runs: tuple[Result, ...], reached: bool, missed: bool) -> CheckState:
    if runs:
        return CheckState.MET if _is_met(target, runs[-1]) else CheckState.LAPSED
    if missed:
        return CheckState.MISSED
    return CheckState.DUE if reached else CheckState.AHEAD


def _runs(target: Target, log: Log) -> list[Result]:
    rows = log.of_target(target.id)
    gone = corrected_by(rows)
    return [r for r in rows if r.kind is ResultKind.MAINTENANCE and r.line not in gone]


def _is_met(target: Target, run: Result) -> bool:
    return bool(run.trials) and target.pass_mark.is_met_by(run.correct or 0, run.trials or 1)


def _dates(target: Target, runs: Iterable[Result], policy: Policy) -> list[_Date]:
    """The ladder's dates and those that lapses bring, in order."""
    ladder = _ladder(target, policy.maintenance_tolerance_days)
    nearer = policy.maintenance_after_lapse_days
    if not nearer:
        return ladder
    brought = []
    for run in runs:
        if _is_met(target, run):
            continue
        again = run.date + timedelta(days=nearer)
        following = next((due for due, opens, _ in ladder if opens > run.date), None)
        if following is None or again < following:
            brought.append((again, again, True))
    return sorted({*ladder, *brought})


def _ladder(target: Target, tolerance: int) -> list[_Date]:
    """A probe may answer a date early by the tolerance, but by no more than half the time since the date
    before."""
    if target.mastered_on is None:
        return []
    dates, before = [], 0
    for days in sorted(set(target.maintenance_days)):
        early = min(tolerance, (days - before) // 2)
        due = target.mastered_on + timedelta(days=days)
        dates.append((due, due - timedelta(days=early), False))
        before = days
    return dates
