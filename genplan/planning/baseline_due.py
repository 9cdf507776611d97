"""Which baseline probes a skill that is still being taught is owed: of what nobody has taught or tested yet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from genplan.case import Case, Combination, Target
from genplan.coverage.tally import Tally
from genplan.evidence.baseline import baseline_run
from genplan.evidence.log import Log, ResultKind


@dataclass(frozen=True)
class BaselineDue:
    """So many `times`, in combinations of these, each at most once."""

    combinations: tuple[Combination, ...] = ()
    times: int = 0

    def without(self, seated: set[Combination]) -> BaselineDue:
        """What is left of it where these are probed."""
        left = tuple(c for c in self.combinations if c not in seated)
        times = self.times - (len(self.combinations) - len(left))
        return replace(self, combinations=left, times=max(0, min(times, len(left))))


def baseline_due(case: Case, target: Target, log: Log, count: Tally) -> BaselineDue:
    """As many combinations as the policy asks for, less those that have a baseline probe already. Once a combination
    was taught or tested it is too late for one."""
    wanted = case.policy.baseline_per_target
    if not wanted:
        return BaselineDue()
    seen = baseline_run(target, log)
    taught = {r.combination for r in log.of_target(target.id) if r.kind is ResultKind.TEACHING}
    untaught = tuple(
        c
        for c in count.possible_combinations
        if c not in seen
        and c not in taught
        and not count.standing(c).tested
        and not any(target.matches(c, pattern) for pattern in target.taught)
    )
    return BaselineDue(untaught, max(0, min(wanted - len(seen), len(untaught))))
