"""Which rows speak of a probe when several do, and the log as it stood on a day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from operator import attrgetter

from genplan.case import Target
from genplan.evidence.log import Log, Result, lessons_replaced

Probe = tuple[str, tuple[str, ...], date, object]


_one_probe = attrgetter("target", "combination", "date", "time", "kind.is_test")
"""The same, and what a row does not correct although it speaks of it: a baseline probe is none of the tests."""
_where_and_when = attrgetter("combination", "date", "time")


def probe_of(result: Result) -> Probe:
    """What makes two rows speak of one probe: target, combination, date and time, or both without a time."""
    return result.target, result.combination, result.date, result.time


def corrected_by(results: Iterable[Result]) -> dict[int, int]:
    """Line of a test or lesson -> line of the row that corrects it: the last that speaks of the same one."""
    rows = tuple(results)
    return _tests_corrected(rows) | lessons_replaced(rows)


def _tests_corrected(rows: Iterable[Result]) -> dict[int, int]:
    probes = [r for r in rows if r.kind.is_probe]
    if len(set(map(_where_and_when, probes))) == len(probes):  # as nearly always of one target
        return {}
    lines: dict[object, list[int]] = defaultdict(list)
    for result in probes:
        lines[_one_probe(result)].append(result.line)
    several = [(of_one, max(of_one)) for of_one in lines.values() if len(of_one) > 1]
    return {line: last for of_one, last in several for line in of_one if line != last}


def corrected_of(target: Target, log: Log) -> Mapping[int, int]:
    """`corrected_by` of all rows of a target, looked for once."""
    return log.once(_corrected_of, target)


def _corrected_of(target: Target, log: Log) -> dict[int, int]:
    rows, replaced = log.all_of_target(target.id), log.lessons_replaced
    lessons = {r.line: replaced[r.line] for r in rows if r.line in replaced} if replaced else {}
    return _tests_corrected(rows) | lessons


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
