"""Which rows speak of a probe when several do, and the log as it stood on a day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from genplan.evidence.log import Log, Result, corrected_by


def effective_tests(results: Iterable[Result]) -> tuple[Result, ...]:
    """The probes and maintenance probes that count, each once, in the order given: without corrected rows."""
    rows = tuple(results)
    gone = corrected_by(rows)
    return tuple(r for r in rows if r.kind.is_test and r.trials and r.line not in gone)


def effective_probes(results: Iterable[Result]) -> tuple[Result, ...]:
    """The same with baseline probes: all that the child was asked."""
    rows = tuple(results)
    gone = corrected_by(rows)
    return tuple(r for r in rows if r.kind.is_probe and r.trials and r.line not in gone)


def log_until(log: Log, day: date) -> Log:
    """The log as far as the end of a day."""
    if not log.results or log.results[-1].date <= day:
        return log
    return Log(tuple(r for r in log.results if r.date <= day))
