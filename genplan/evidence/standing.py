"""The standing of each combination: what its latest probe says, and whether teaching followed a failure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from genplan.case import Combination, PassMark, Target
from genplan.evidence.log import Log, Result, ResultKind


class Status(StrEnum):
    UNTESTED = "untested"
    TAUGHT = "taught"
    MET = "met"
    NOT_MET = "not met"


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What is known of a combination.

    status      by the latest row that says something
    tested      some probe or maintenance probe was run, met or not
    retest_due  not met, and taught since
    last_date   of the row that decided
    correct     of the latest test
    trials      of the latest test
    """

    status: Status = Status.UNTESTED
    tested: bool = False
    retest_due: bool = False
    last_date: date | None = None
    correct: int | None = None
    trials: int | None = None

    @property
    def waits_for_teaching(self) -> bool:
        """Not met, and no teaching in it recorded since: no plan may hold it."""
        return self.status is Status.NOT_MET


UNTESTED = Standing()


def standings(target: Target, log: Log) -> Mapping[Combination, Standing]:
    """The standing of every combination that a row or `taught` speaks of; all others are `UNTESTED`."""
    history: dict[Combination, list[Result]] = defaultdict(list)
    for result in log.of_target(target.id):
        history[result.combination].append(result)
    found = {c: standing_of(rows, target.pass_mark) for c, rows in history.items()}
    for combination in target.combinations():
        if found.get(combination, UNTESTED).status is Status.UNTESTED and was_taught(target, combination):
            found[combination] = Standing(status=Status.TAUGHT)
    return found


def was_taught(target: Target, combination: Combination) -> bool:
    """Whether `taught` names the whole combination; one that leaves out a dimension names none."""
    return any(len(p) == len(target.dimensions) and target.matches(combination, p) for p in target.taught)


def standing_of(rows: list[Result], pass_mark: PassMark) -> Standing:
    """The standing after these rows of one combination, given in order of time."""
    standing = UNTESTED
    for row in rows:
        if row.kind is ResultKind.TEACHING:
            standing = _after_teaching(standing, row)
        elif row.kind.is_test and row.trials:
            met = pass_mark.is_met_by(row.correct or 0, row.trials)
            status = Status.MET if met else Status.NOT_MET
            standing = Standing(
                status=status,
                tested=True,
                retest_due=False,
                last_date=row.date,
                correct=row.correct or 0,
                trials=row.trials,
            )
    return standing


def _after_teaching(before: Standing, row: Result) -> Standing:
    if before.status is Status.MET:
        return before
    failed = before.retest_due or before.status is Status.NOT_MET
    return Standing(
        status=Status.TAUGHT,
        tested=before.tested,
        retest_due=failed,
        last_date=row.date,
        correct=before.correct,
        trials=before.trials,
    )
