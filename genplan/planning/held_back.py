"""New probes that wait, where the policy asks for it: where skills break, or one has lapsed where it was taught."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from genplan.case import Case, Combination, Target
from genplan.case.targets import TargetState
from genplan.coverage.tally import Tally
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Log
from genplan.evidence.mastery import lapses
from genplan.rules.limits import Kind, Limit


def what_new_probes_wait_for(case: Case, target: Target, log: Log, count: Tally) -> dict[Combination, Limit]:
    """For each possible combination in which no new probe may be run this week the reason."""
    if case.policy.new_wait_after_lapse and lapses(target, log, count.standings):
        return dict.fromkeys(count.possible_combinations, Limit(Kind.LAPSED))
    if not case.policy.new_wait_where_it_breaks:
        return {}
    found: dict[Combination, Limit] = {}
    for dimension, value in values_that_break(case, target.learner, log):
        if dimension in target.dimension_names:
            for combination in count.possible_combinations:
                if target.value(combination, dimension) == value:
                    found.setdefault(combination, Limit(Kind.BREAKS, value=(dimension, value)))
    return found


def values_that_break(case: Case, learner: str, log: Log) -> tuple[tuple[str, str], ...]:
    """Each dimension and value that the learner's skills are met less often with, and with which nothing was met again
    yet after it had failed."""
    targets = [t for t in case.targets_of(learner) if t.state is TargetState.MASTERED]
    found = where_it_breaks(targets, log).found
    again = {holds for t in targets for holds in _met_again(t, log)} if found else set()
    return tuple((x.dimension, x.value) for x in found if (x.dimension, x.value) not in again)


def _met_again(target: Target, log: Log) -> Iterator[tuple[str, str]]:
    """The dimensions and values of combinations that were met after they had failed."""
    outcomes: dict[Combination, list[bool]] = defaultdict(list)
    for row in effective_tests(log.of_target(target.id)):
        outcomes[row.combination].append(row.meets(target.pass_mark))
    for combination, met in outcomes.items():
        if False in met and True in met[met.index(False) :]:
            yield from zip(target.dimension_names, combination, strict=True)
