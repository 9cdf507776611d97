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
    tolerance = case.policy.maintenance_tolerance_days
    ladder = sorted(set(target.maintenance_days))
    dates = []
    for before, days in zip([0, *ladder], ladder, strict=False):
        day = target.mastered_on + timedelta(days)
        dates.append((day, day - timedelta(min(tolerance, (days - before) // 2))))
    if case.policy.maintenance_after_lapse_days:
        dates += _after_lapses(case, target, dates, maintenance_rows(rows_of_target))
    return dates


def _after_lapses(
    case: Case, target: Target, ladder: list[tuple[date, date]], rows: list[Result]
) -> list[tuple[date, date]]:
    mark, found = target.pass_mark, []
    for r in rows:
        if (r.correct or 0) * mark.trials < mark.correct * (r.trials or 1):
            day = r.date + timedelta(case.policy.maintenance_after_lapse_days)
            later = [due for due, opens in ladder if opens > r.date]
            if not later or day < min(later):
                found.append((day, day))
    return found
