"""What was taught after it was not met, and was not met again. It is told, and nothing follows from it by itself."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise, takewhile

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Moment, Result, ResultKind
from genplan.evidence.standing import UNTESTED, counts_as_teaching, standings


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
    of_combination: dict[Combination, list[Result]] = defaultdict(list)
    for row in rows:
        of_combination[row.combination].append(row)
    lessons = _lessons(target, rows)
    found = {}
    for combination, own in of_combination.items():
        not_met, times = _not_met_since(target, own), 0
        if len(not_met) < 2:
            continue
        own_lessons = _lessons(target, own)
        for before, test in pairwise(not_met):
            times += _any_between(own_lessons, before, test) or (
                target.is_taught_elsewhere(combination)
                and _any_between(lessons, before, test)
                and _was_due(target, rows, test)
            )
        if times:
            last = not_met[-1]
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


def _not_met_since(target: Target, own: Sequence[Result]) -> list[Result]:
    """The tests of a combination after the last that was met, in order of time."""
    tests = (r for r in reversed(own) if r.kind.is_test and r.trials)
    return list(takewhile(lambda r: not r.meets(target.pass_mark), tests))[::-1]


def _lessons(target: Target, rows: Iterable[Result]) -> list[Moment]:
    """When something was taught that counts, in order."""
    return [r.moment for r in rows if r.kind is ResultKind.TEACHING and counts_as_teaching(target, r)]


def _any_between(lessons: Sequence[Moment], before: Result, test: Result) -> bool:
    return bisect_right(lessons, before.moment) < bisect_left(lessons, test.moment)


def _was_due(target: Target, rows: Iterable[Result], test: Result) -> bool:
    """Whether all that the combination of a test waited for had been taught elsewhere: the log is read as it stood."""
    then = Log(tuple(r for r in rows if r.moment < test.moment))
    return standings(target, then).get(test.combination, UNTESTED).retest_due
