"""Maintenance: which probe is due, and what became of each that was. The intervals, the tolerance and what
follows a lapse are settings: common practice, no source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from genplan.case import Combination, Policy, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import Standing, Status, was_taught


@dataclass(frozen=True)
class MaintenanceDue:
    """`due` is the date from which the probe is owed, `opens` the first day on which one answers it, `days` the
    interval after mastery it stands for. `instead_of` is a date of the same week that nobody answered, and that gave
    way to it."""

    target: str
    due: date
    opens: date
    days: int
    instead_of: date | None = None


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
    that a lapse and not the ladder set the date. `until`: when the next falls due; unanswered, it then gives way.
    `before_too`: the one run is also the late answer to the date before it."""

    due: date
    days: int
    opens: date
    state: CheckState
    after_lapse: bool
    runs: tuple[Result, ...]
    tolerance: int
    until: date | None
    before_too: bool = False

    @property
    def timing(self) -> str:
        """'early', 'on time' or 'late' by the first run; empty where none was run."""
        if not self.runs:
            return ""
        off = (self.runs[0].date - self.due).days
        return "early" if off < 0 else "late" if off > self.tolerance else "on time"


@dataclass(frozen=True, kw_only=True)
class _Date:
    """`due` is when a probe is due, `opens` the first day on which one answers it; `after_lapse`: a lapse set it."""

    due: date
    opens: date
    after_lapse: bool = False


def maintenance_due(
    target: Target, log: Log, by: date, policy: Policy | None = None
) -> MaintenanceDue | None:
    """The maintenance probe owed by the end of the day `by`: the latest date that is not after `by`, unless
    one was run that answers it. A date that was missed gives way once the next falls due."""
    runs = _runs(target, log)
    reached = [d for d in _dates(target, runs, policy or Policy()) if d.due <= by]
    if target.mastered_on is None or not reached:
        return None
    owed = reached[-1]
    if any(r.date >= owed.opens for r in runs):
        return None
    before = [d for d in reached[:-1] if _monday(d.due) == _monday(owed.due)]
    gave_way = before[-1].due if before and not any(r.date >= before[-1].opens for r in runs) else None
    return MaintenanceDue(target.id, owed.due, owed.opens, (owed.due - target.mastered_on).days, gave_way)


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
    answers = _answers(dates, runs)
    checks = []
    for i, one in enumerate(dates):
        following = dates[i + 1] if i + 1 < len(dates) else None
        own = answers[i]
        until = following.due if following else None
        gave_way = following is not None and (
            following.due <= today or any(r.date >= following.opens for r in runs)
        )
        state = _state(target, own, one.due <= today, gave_way)
        days, tolerance = (one.due - mastered_on).days, rule.maintenance_tolerance_days
        checks.append(
            MaintenanceCheck(
                one.due,
                days,
                one.opens,
                state,
                one.after_lapse,
                own,
                tolerance,
                until,
                before_too=bool(i and own and answers[i - 1][-1:] == own),
            )
        )
    return tuple(checks)


def _answers(dates: Sequence[_Date], runs: Sequence[Result]) -> list[tuple[Result, ...]]:
    """The runs that answer each date. One before a date's day, while the date before it still waits, is the late answer
    to that one; it answers both where it is the only one, as a plan holds one probe for two dates of a week."""
    ends = (*(d.opens for d in dates[1:]), date.max)
    found = [
        tuple(r for r in runs if one.opens <= r.date < end) for one, end in zip(dates, ends, strict=False)
    ]
    for i in range(1, len(dates)):
        if not found[i - 1] and found[i] and found[i][0].date < dates[i].due:
            found[i - 1] = found[i][:1]
            found[i] = found[i][1:] or found[i]
    return found


def to_repeat(
    target: Target, known: Mapping[Combination, Standing], possible: Iterable[Combination], monday: date
) -> frozenset[Combination]:
    """The possible combinations that a maintenance probe may repeat in the week from `monday` on: those that are met.
    What `taught` names and nobody probed is repeated, too, while nothing was met before the week; there the skill was
    mastered. What was met within the week takes none of these away, since people may have been told of them. A
    combination with teaching alone is never repeated: its probe is a first one."""
    standings = {c: known[c] for c in possible if c in known}
    met = {c for c, s in standings.items() if s.status is Status.MET}
    if any((standings[c].last_date or monday) < monday for c in met):
        return frozenset(met)
    named = {c for c, s in standings.items() if s.status is Status.TAUGHT and was_taught(target, c)}
    return frozenset(met | {c for c in named if not standings[c].tested})


def _state(target: Target, runs: tuple[Result, ...], reached: bool, missed: bool) -> CheckState:
    if runs:
        return CheckState.MET if runs[-1].meets(target.pass_mark) else CheckState.LAPSED
    if missed:
        return CheckState.MISSED
    return CheckState.DUE if reached else CheckState.AHEAD


def _runs(target: Target, log: Log) -> list[Result]:
    rows = log.of_target(target.id)
    gone = corrected_of(target, log)
    return [r for r in rows if r.kind is ResultKind.MAINTENANCE and r.line not in gone]


def _dates(target: Target, runs: Iterable[Result], policy: Policy) -> list[_Date]:
    """The ladder's dates and those that lapses bring, in the order in which probes answer them."""
    dates = _ladder(target, policy.maintenance_tolerance_days)
    nearer = policy.maintenance_after_lapse_days
    for run in sorted(runs, key=lambda r: r.date):
        if not nearer or run.meets(target.pass_mark):
            continue
        again = run.date + timedelta(days=nearer)
        coming = next((d for d in dates if d.opens > run.date and not d.after_lapse), None)
        if coming is None or again < coming.due:
            dates = _with_lapse(dates, run.date, again)
    return dates


def _with_lapse(dates: Iterable[_Date], run: date, again: date) -> list[_Date]:
    """The dates with one that a lapse on the day `run` brings. It is answered by no probe up to that lapse or up to the
    date before it; those that are still to come by none up to it."""
    before = max([run, *(d.due for d in dates if d.due < again)])
    brought = _Date(due=again, opens=_opens(again, before, 0), after_lapse=True)
    later = [d for d in dates if d.opens > run and d.due > again]
    rest = [d for d in dates if d not in later and d != brought]
    return [*rest, brought, *(replace(d, opens=max(d.opens, again + timedelta(days=1))) for d in later)]


def _ladder(target: Target, tolerance: int) -> list[_Date]:
    """A probe may answer a date early by the tolerance, but by no more than half the time since the date
    before."""
    if target.mastered_on is None:
        return []
    dates, before = [], target.mastered_on
    for days in sorted(set(target.maintenance_days)):
        due = target.mastered_on + timedelta(days=days)
        dates.append(_Date(due=due, opens=_opens(due, before, min(tolerance, (due - before).days // 2))))
        before = due
    return dates


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _opens(due: date, before: date, early: int) -> date:
    """The first day that answers a date: the Monday of its week, so that a plan of the week can hold the probe on any
    day, or `early` days before it; but after the date `before` it."""
    return max(min(_monday(due), due - timedelta(days=early)), before + timedelta(days=1))
