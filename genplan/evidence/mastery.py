"""Mastery as the results show it: since when a target that is still taught meets its criterion, and where one that was
mastered is no longer met although it was taught there. Both are told; a state is set by people alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from genplan.case import Combination, Target, TargetState
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.standing import Standing
from genplan.evidence.where_taught import is_named_as_taught


@dataclass(frozen=True)
class CriterionMet:
    """`since` is the day on which the criterion was met on as many days in a row as it asks for; no day of teaching
    after it fell short. `days` are those of the whole row, with their `trials` and those `correct` without help."""

    target: str
    since: date
    days: int
    correct: int
    trials: int


@dataclass(frozen=True)
class Lapse:
    """The latest test of a combination that `taught` names was not met, on the day `on`."""

    target: str
    combination: Combination
    on: date
    correct: int
    trials: int


def criterion_met(target: Target, log: Log) -> CriterionMet | None:
    """None while it is not met, and for a target that is mastered already or has no criterion. What is counted are the
    days on which it was taught with trials, in a row: a day meets the criterion if all its trials together do."""
    mark = target.criterion
    if target.state is not TargetState.TEACHING or mark is None:
        return None
    days = [(day, c, n) for day, (c, n) in sorted(_by_day(target, log).items())]
    short = [i for i, (_, correct, trials) in enumerate(days) if not mark.is_met_by(correct, trials)]
    run = days[short[-1] + 1 :] if short else days
    if len(run) < target.criterion_days:
        return None
    return CriterionMet(
        target.id,
        run[target.criterion_days - 1][0],
        len(run),
        sum(correct for _, correct, _ in run),
        sum(trials for _, _, trials in run),
    )


def _by_day(target: Target, log: Log) -> Mapping[date, tuple[int, int]]:
    found: dict[date, tuple[int, int]] = defaultdict(lambda: (0, 0))
    for row in log.of_target(target.id):
        if row.kind is ResultKind.TEACHING and row.trials:
            correct, trials = found[row.date]
            found[row.date] = correct + (row.correct or 0), trials + row.trials
    return found


def lapses(target: Target, log: Log, known: Mapping[Combination, Standing]) -> tuple[Lapse, ...]:
    """Of a mastered target, by combination; `known` are its standings. It stays one, taught since or not, until a test
    there is met."""
    if target.state is not TargetState.MASTERED:
        return ()
    last = {r.combination: r for r in log.of_target(target.id) if r.kind.is_test and r.trials}
    return tuple(
        Lapse(target.id, c, last[c].date, last[c].correct or 0, last[c].trials or 1)
        for c in sorted(known)
        if known[c].tested and is_named_as_taught(target, c) and not last[c].meets(target.pass_mark)
    )
