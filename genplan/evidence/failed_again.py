"""What was taught after it was not met, and was not met again. It is told, and nothing follows from it by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import takewhile

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Result
from genplan.evidence.standing import UNTESTED, standings


@dataclass(frozen=True, kw_only=True)
class FailedAgain:
    """The latest test of a combination was not met although what it waited for had been taught.

    times         tests after teaching that were not met, one after the other since it was last met
    on            day of the latest test, with its counts
    taught_since  it was taught once more, so that its retest is due
    """

    target: str
    combination: Combination
    times: int
    on: date
    correct: int
    trials: int
    taught_since: bool


def failed_again(target: Target, log: Log) -> Mapping[Combination, FailedAgain]:
    """By combination. Teaching counts as it does for a retest, there or elsewhere; some of what the target asks for is
    enough, where the probe came sooner."""
    return log.once(_failed_again, target)


def _failed_again(target: Target, log: Log) -> dict[Combination, FailedAgain]:
    gone = corrected_of(target, log)
    rows = tuple(r for r in log.of_target(target.id) if r.line not in gone)
    tests: dict[Combination, list[Result]] = {r.combination: [] for r in rows}
    for row in [r for r in rows if r.kind.is_test and r.trials]:
        tests[row.combination].append(row)
    found = {}
    for combination, of_it in tests.items():
        since = _not_met_since(target, of_it)
        times = sum(_was_taught_before(target, rows, test) for test in since[1:])
        if times:
            last = since[-1]
            found[combination] = FailedAgain(
                target=target.id,
                combination=combination,
                times=times,
                on=last.date,
                correct=last.correct or 0,
                trials=last.trials or 0,
                taught_since=standings(target, log).get(combination, UNTESTED).retest_due,
            )
    return found


def _not_met_since(target: Target, tests: list[Result]) -> list[Result]:
    """Those of the tests of a combination after the last that was met, in order of time."""
    not_met = takewhile(lambda row: not row.meets(target.pass_mark), reversed(tests))
    return list(not_met)[::-1]


def _was_taught_before(target: Target, rows: tuple[Result, ...], test: Result) -> bool:
    """Whether something had been taught since the failure before: the log is read as it stood then."""
    then = Log(tuple(r for r in rows if r.moment < test.moment))
    standing = standings(target, then).get(test.combination, UNTESTED)
    return standing.retest_due or standing.teachings > 0
