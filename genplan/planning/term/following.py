"""A week that follows a term: what of its dates has its turn in this week."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from genplan.coverage.tuples import Tuple
from genplan.planning.needs import TargetNeed
from genplan.planning.week_context import WeekContext

if TYPE_CHECKING:
    from genplan.plan.term import Term


def following(ground: WeekContext, term: Term | None) -> WeekContext:
    """The week's facts where its first claim, of all that has a date, are the turns of a term that begins with it. What
    the term has no room for is wished still, and no more: it would take the room of a date that can be kept. A term
    that keeps nothing, be it that the clock ended its search, has nothing to say of the week."""
    if term is None or not term.kept:
        return ground
    return replace(ground, needs=tuple(_with_turns(need, term) for need in ground.needs))


def _with_turns(need: TargetNeed, term: Term) -> TargetNeed:
    """What the term has of its kept dates in the first week, and what of them has no room in a later one by the hours
    of the target alone."""
    turns: dict[Tuple, int] = {}
    for found in term.dates:
        if found.target != need.id or not found.is_kept:
            continue
        for probe in term.serving(found):
            if probe.week == 0:
                turns |= {t: max(probe.last, turns.get(t, 0)) for t in probe.shows & found.tuples}
        wish = need.target.first[found.place]
        for due in need.wishes:
            if due.wish == wish and due.last_chance:
                turns |= {t: max(due.until, turns.get(t, 0)) for t in due.tuples}
    return replace(need, turns=tuple(sorted((t, day) for t, day in turns.items() if t in need.open)))
