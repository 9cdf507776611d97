"""What the probes of a date wait for: a term counts on it, and nobody knows yet whether it comes about."""

from __future__ import annotations

from collections.abc import Iterable

from genplan.case import Combination
from genplan.evidence.mastery import lapses
from genplan.plan import ProbeKind
from genplan.plan.term import HangsOn
from genplan.planning.needs import TargetNeed
from genplan.planning.term.wanted import TermFacts
from genplan.rules.limits import Kind, Limit


def what_it_hangs_on(
    facts: TermFacts, target: str, combinations: Iterable[Combination]
) -> tuple[HangsOn, ...]:
    """Of new probes of these combinations, each thing once, the strongest first."""
    need, wanted = next(n for n in facts.ground.needs if n.id == target), set(combinations)
    limits = {why for c, why in need.held_back if c.kind is ProbeKind.NEW and c.combination in wanted}
    return tuple(_hangs_on(facts, need, why) for why in sorted(limits, key=lambda w: (w.order, w.value)))


def _hangs_on(facts: TermFacts, need: TargetNeed, why: Limit) -> HangsOn:
    if why.kind is not Kind.LAPSED:
        return HangsOn(limit=why)
    lapsed = tuple(x.combination for x in lapses(need.target, facts.ground.log, need.tally.standings))
    to_teach = any(need.tally.standing(c).waits_for_teaching for c in lapsed)
    return HangsOn(limit=why, lapsed=lapsed, to_teach=to_teach)
