"""Which adults have worked with a learner already, and which have probed a target."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from genplan.case import Case
from genplan.case.targets import ADULT
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Log, ResultKind


def familiar_adults(case: Case, log: Log) -> Mapping[str, frozenset[str]]:
    """Learner id -> the adults with a probe, a maintenance probe or teaching of the learner in the log, and those whom
    the case names under `taught` of one of its targets. A probe that was not run acquaints nobody."""
    found: dict[str, set[str]] = defaultdict(set)
    for target in case.targets.values():
        found[target.learner].update(pattern[ADULT] for pattern in target.taught if ADULT in pattern)
        for row in log.of_target(target.id):
            if row.kind is not ResultKind.NOT_RUN:
                found[target.learner].add(target.value(row.combination, ADULT))
    return {learner: frozenset(found.get(learner, ())) for learner in case.learners}


def who_has_probed(log: Log) -> frozenset[tuple[str, str]]:
    """Adults with a target of which they have run a probe."""
    return frozenset((row.combination[0], row.target) for row in effective_tests(log.results))
