"""What a skill did where nobody has taught it: baseline probes, kept apart from everything else.

A combination that is met later may have been there all along. Only a probe from before the teaching can tell.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import effective_probes
from genplan.evidence.log import Log, ResultKind


@dataclass(frozen=True, kw_only=True)
class BaselineSeen:
    """The latest baseline probe of a combination."""

    on: date
    met: bool
    correct: int
    trials: int


def baselines(target: Target, log: Log) -> Mapping[Combination, BaselineSeen]:
    """The combinations of a target with a baseline probe."""
    found = {}
    for row in effective_probes(log.of_target(target.id)):
        if row.kind is ResultKind.BASELINE:
            correct, trials = row.correct or 0, row.trials or 0
            met = target.pass_mark.is_met_by(correct, trials)
            found[row.combination] = BaselineSeen(on=row.date, met=met, correct=correct, trials=trials)
    return found
