"""The coverage matrix: one row a combination, with what is known of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination
from genplan.case.possible import obstacle
from genplan.coverage.tally import Tally
from genplan.evidence.standing import Standing

NOT_POSSIBLE = "not possible"


@dataclass(frozen=True)
class MatrixRow:
    """`status` is 'taught', 'untested', 'met', 'not met' or 'not possible'; `why` is the rule's sentence for the last,
    or what the combination waits for."""

    learner: str
    target: str
    combination: Combination
    status: str
    standing: Standing
    why: str = ""


def matrix(case: Case, count: Tally, on: date) -> tuple[MatrixRow, ...]:
    """A row for every combination of the target's values, then for every other one that was run all the same."""
    target = count.target
    listed = target.combinations()
    extra = sorted(set(count.standings) - set(listed))
    return tuple(_row(case, count, c, on) for c in listed) + tuple(
        MatrixRow(
            target.learner,
            target.id,
            c,
            NOT_POSSIBLE,
            count.standing(c),
            "a value in it is not among those that the target varies",
        )
        for c in extra
    )


def _row(case: Case, count: Tally, combination: Combination, on: date) -> MatrixRow:
    target, standing = count.target, count.standing(combination)
    against = obstacle(case, target, combination, on)
    if against:
        return MatrixRow(target.learner, target.id, combination, NOT_POSSIBLE, standing, against.sentence)
    why = ""
    if standing.waits_for_teaching:
        why = "waits for teaching in it before it is probed again"
    elif standing.retest_due:
        why = "taught since it was not met: due for a retest"
    return MatrixRow(target.learner, target.id, combination, standing.status.value, standing, why)
