"""Looking ahead: the log as it would be once planned probes were run and met, and planned teachings held."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from genplan.case import Combination
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Probe, ProbeKind, Sitting

_KINDS = {
    ProbeKind.MAINTENANCE: ResultKind.MAINTENANCE,
    ProbeKind.TEACHING: ResultKind.TEACHING,
    ProbeKind.BASELINE: ResultKind.BASELINE,
}


def optimistic_log(log: Log, sittings: Iterable[Sitting]) -> Log:
    """The log with a row for each planned probe or teaching, all trials correct, by the count of its observer too; one
    that a row of its day speaks of already has none."""
    line = max((r.line for r in log.results), default=1)
    rows = []
    for sitting in sittings:
        for probe in sitting.probes:
            day, lesson = sitting.start.date(), not probe.kind.is_probe
            what, at = (probe.target, probe.combination, day), sitting.start
            if not log.speaks_of(*what, teaching=lesson, at=at, starts=_named(log, *what, at)):
                line += 1
                rows.append(_row(line, sitting, probe))
    return Log.of((*log.results, *rows)) if rows else log


def _named(log: Log, target: str, combination: Combination, day: date, at: datetime) -> list[datetime]:
    """The moments of which rows say that it was not run then, whether or not the sittings of then are known."""
    if not log.speaks_of(target, combination, day):
        return []
    rows = (r for r in log.of_target(target) if (r.combination, r.date) == (combination, day))
    off = {r.time for r in rows if r.kind is ResultKind.NOT_RUN and r.time}
    return [datetime.combine(day, then, at.tzinfo) for then in off]


def _row(line: int, sitting: Sitting, probe: Probe) -> Result:
    kind = _KINDS.get(probe.kind, ResultKind.PROBE)
    at = sitting.start
    return Result(
        line=line,
        date=at.date(),
        time=at.time(),
        target=probe.target,
        kind=kind,
        combination=probe.combination,
        trials=probe.trials,
        correct=probe.trials,
        observer=sitting.observer if probe.kind.is_probe else "",
        observer_correct=probe.trials if sitting.observer and probe.kind.is_probe else None,
        planned=True,
    )
