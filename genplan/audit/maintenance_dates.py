"""When maintenance probes are due, worked out once more."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from genplan.case import Case, Target
from genplan.evidence.log import Result


def maintenance_rows(rows_of_target: Iterable[Result]) -> list[Result]:
    """The maintenance probes in order of time, without those that a later line of the same moment
    corrects."""
    tests = [r for r in rows_of_target if r.kind.value in ("probe", "maintenance")]
    latest: dict[object, int] = {}
    for r in tests:
        key = (r.combination, r.date, r.time)
        latest[key] = max(r.line, latest.get(key, 0))
    valid = [r for r in tests if latest[r.combination, r.date, r.time] == r.line]
    return sorted((r for r in valid if r.kind.value == "maintenance"), key=lambda r: (r.date, r.line))


def maintenance_dates(
    case: Case, target: Target, rows_of_target: Iterable[Result]
) -> list[tuple[date, date]]:
    """For each date that is or was due: that date, and the day from which on a probe answers it."""
    if target.mastered_on is None:
        return []
    tolerance, ladder = case.policy.maintenance_tolerance_days, []
    steps = sorted(set(target.maintenance_days))
    for before, days in zip([0, *steps], steps, strict=False):
        day = target.mastered_on + timedelta(days)
        early = min(tolerance, (days - before) // 2)
        ladder.append(
            (day, max(day - timedelta(max(early, day.weekday())), day - timedelta(days - before - 1)))
        )
    if not case.policy.maintenance_after_lapse_days:
        return ladder
    return _with_lapses(case, target, ladder, maintenance_rows(rows_of_target))


def _with_lapses(
    case: Case, target: Target, ladder: list[tuple[date, date]], rows: list[Result]
) -> list[tuple[date, date]]:
    """After a probe that was not met one is due again, if that is before the first date of the ladder that the probe
    came too soon for. Nothing up to that day answers a date of the ladder after it; it is itself answered in its week,
    after the lapse and after any date before it."""
    mark, own = target.pass_mark, dict(ladder)
    brought: dict[date, date] = {}
    for r in rows:
        if (r.correct or 0) * mark.trials >= mark.correct * (r.trials or 1):
            continue
        again = r.date + timedelta(case.policy.maintenance_after_lapse_days)
        too_soon = [due for due in own if own[due] > r.date]
        if too_soon and again >= min(too_soon):
            continue
        passed = [due for due in (*own, *brought) if due < again]
        brought[again] = max(again - timedelta(again.weekday()), max((r.date, *passed)) + timedelta(1))
        for due in too_soon:
            own[due] = max(own[due], again + timedelta(1))
    return sorted((*own.items(), *brought.items()), key=lambda one: one[1])
