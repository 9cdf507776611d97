"""The coverage matrix: one row a combination, with what is known of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination
from genplan.case.possible import Obstacle, obstacle_to_any
from genplan.coverage.tally import Tally
from genplan.evidence.baseline import BaselineSeen
from genplan.evidence.standing import Standing

NOT_POSSIBLE = "not possible"


@dataclass(frozen=True)
class MatrixRow:
    """`status` is 'taught', 'untested', 'met', 'not met' or 'not possible'; `obstacle` says why for the last. `on` is
    the day that is looked from, if it is known; `instead_of` are the failures for which it is taught this week though
    it was never probed; `baseline` is what was seen of it before it was taught."""

    learner: str
    target: str
    combination: Combination
    status: str
    standing: Standing
    obstacle: Obstacle | None = None
    on: date | None = None
    instead_of: tuple[Combination, ...] = ()
    baseline: BaselineSeen | None = None


def matrix(case: Case, count: Tally, on: date) -> tuple[MatrixRow, ...]:
    """A row for every combination of the target's values, then for every other one that was run all the same. The
    tally is of the day `on`: what is possible stands in it."""
    listed, possible = count.target.combinations(), set(count.possible_combinations)
    return tuple(
        _row(count, c, None if c in possible else obstacle_to_any(case, count.target, c, on), on)
        for c in (*listed, *sorted(set(count.standings) - set(listed)))
    )


def rows_by_target(rows: Iterable[MatrixRow]) -> Mapping[str, Sequence[MatrixRow]]:
    """Only of targets with a row."""
    found: dict[str, list[MatrixRow]] = {}
    for row in rows:
        found.setdefault(row.target, []).append(row)
    return found


def _row(count: Tally, combination: Combination, against: Obstacle | None, on: date) -> MatrixRow:
    target, standing = count.target, count.standing(combination)
    status = NOT_POSSIBLE if against else standing.status.value
    seen = count.baselines.get(combination)
    return MatrixRow(target.learner, target.id, combination, status, standing, against, on, baseline=seen)
