"""Why there is no way at all to show something before its date, whatever else is planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from genplan.coverage.tuples import Tuple
from genplan.plan.term import NoWay
from genplan.planning.term.problem import Wanted
from genplan.planning.term.wanted import TermFacts, combinations_from


def without_a_way(facts: TermFacts, wanted: Wanted, tuples: Iterable[Tuple]) -> Mapping[Tuple, NoWay]:
    """What stands in the way of each of these, for which no week up to the date has a place."""
    missing = frozenset(tuples)
    if not missing:
        return {}
    need = next(n for n in facts.ground.needs if n.id == wanted.target)
    longest = facts.case.learners[wanted.learner].limits.sitting_minutes
    if longest is not None and need.target.minutes + facts.case.policy.settle_minutes > longest:
        return dict.fromkeys(sorted(missing), NoWay.TOO_LONG)
    at_once = {t for _, shows, week in combinations_from(facts, need, missing) if not week for t in shows}
    return {t: NoWay.NO_HOURS if t in at_once else NoWay.WAITS for t in sorted(missing)}
