"""Which maintenance probe of a target is due. The intervals are a setting: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from genplan.case import Target
from genplan.evidence.log import Log, ResultKind


@dataclass(frozen=True)
class MaintenanceDue:
    """`due` is the date from which the probe is owed, `days` the interval after mastery it stands for."""

    target: str
    due: date
    days: int


def maintenance_due(target: Target, log: Log, by: date) -> MaintenanceDue | None:
    """The maintenance probe owed by the end of the day `by`: the latest date of the ladder that is not after
    `by`, unless one was run from that date on. A date that was missed gives way once the next falls due."""
    if target.mastered_on is None:
        return None
    reached = [d for d in target.maintenance_days if target.mastered_on + timedelta(days=d) <= by]
    if not reached:
        return None
    due = target.mastered_on + timedelta(days=max(reached))
    run = any(r.kind is ResultKind.MAINTENANCE and r.date >= due for r in log.of_target(target.id))
    return None if run else MaintenanceDue(target.id, due, max(reached))
