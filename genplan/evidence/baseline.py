"""What a skill did where nobody has taught it: baseline probes, kept apart from everything else.

A combination that is met later may have been there all along. Only a probe from before the teaching can tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import attrgetter

from genplan.case import Combination, Target, TargetState
from genplan.evidence.effective_rows import corrected_by, effective_probes
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.where_taught import is_named_as_taught

_kind = attrgetter("kind")


@dataclass(frozen=True, kw_only=True)
class BaselineSeen:
    """The latest baseline probe of a combination from before anybody taught or tested it."""

    on: date
    met: bool
    correct: int
    trials: int


def baselines(target: Target, log: Log) -> Mapping[Combination, BaselineSeen]:
    """The combinations of a target with a baseline probe that came in time: one after teaching cannot tell what was
    there before it."""
    rows = log.of_target(target.id)
    found: dict[Combination, BaselineSeen] = {}
    if not _has_any(rows):
        return found
    late = late_baselines(target, rows)
    for row in _baseline_probes(rows):
        if row.line not in late:
            found[row.combination] = BaselineSeen(
                on=row.date,
                met=row.meets(target.pass_mark),
                correct=row.correct or 0,
                trials=row.trials or 0,
            )
    return found


def _has_any(rows: Sequence[Result]) -> bool:
    """Most targets have none, and many rows."""
    return ResultKind.BASELINE in map(_kind, rows)


def baseline_run(target: Target, log: Log) -> frozenset[Combination]:
    """The combinations with a baseline probe, in time or too late."""
    return frozenset(r.combination for r in _baseline_probes(log.of_target(target.id)))


def _baseline_probes(rows: Sequence[Result]) -> tuple[Result, ...]:
    """Those that count."""
    if not _has_any(rows):
        return ()
    return tuple(r for r in effective_probes(rows) if r.kind is ResultKind.BASELINE)


def late_baselines(target: Target, results: Iterable[Result]) -> Mapping[int, Result | None]:
    """Line of a baseline probe of the target that came too late -> the row of the same combination that was there
    before it; None where `taught` names the combination and the skill was mastered by then, or nobody says when."""
    rows = [r for r in results if r.target == target.id]
    if not _has_any(rows):
        return {}
    gone = corrected_by(rows)
    first: dict[Combination, Result] = {}
    found: dict[int, Result | None] = {}
    for row in sorted(rows, key=lambda r: r.moment):
        if row.kind is not ResultKind.BASELINE:
            if row.kind is not ResultKind.NOT_RUN and row.line not in gone:
                first.setdefault(row.combination, row)
        elif row.combination in first:
            found[row.line] = first[row.combination]
        elif _is_mastered(target, row.date) and is_named_as_taught(target, row.combination):
            found[row.line] = None
    return found


def _is_mastered(target: Target, day: date) -> bool:
    if target.state is TargetState.TEACHING:
        return False
    return target.mastered_on is None or day >= target.mastered_on
