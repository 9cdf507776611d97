"""Which wishes have their last chance this week: it takes the hours of the weeks after it to know."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

from genplan.case import Week
from genplan.case.targets import ADULT, LOCATION
from genplan.coverage.tally import fewest_at_least
from genplan.plan import ProbeKind
from genplan.planning.needs import TargetNeed, WishDue
from genplan.planning.openings import Opening

LOOK_AHEAD_WEEKS = 8

OpeningsIn = Callable[[Week, str], tuple[Opening, ...]]
"""(week, learner) -> that learner's openings in the week, before anything is planned."""


def with_last_chances(need: TargetNeed, week: Week, most_a_week: int, openings_in: OpeningsIn) -> TargetNeed:
    """The same need, each wish marked whether this week is its last chance: fewer later weeks with an opening before
    its date than it needs at `most_a_week` probes a week. A wish whose date has passed is at its last chance."""
    return replace(
        need,
        wishes=tuple(
            replace(w, last_chance=_is_last_chance(need, w, week, most_a_week, openings_in))
            for w in need.wishes
        ),
    )


def _is_last_chance(
    need: TargetNeed, wish: WishDue, week: Week, most_a_week: int, openings_in: OpeningsIn
) -> bool:
    by = wish.wish.by
    if by is None or by > week.sunday + timedelta(weeks=LOOK_AHEAD_WEEKS):
        return False
    weeks_needed = -(-fewest_at_least(wish.tuples) // most_a_week)
    later = week.next()
    while later.monday <= by and weeks_needed > 0:
        if _has_opening(need, wish, later, by, openings_in):
            weeks_needed -= 1
        later = later.next()
    return weeks_needed > 0


def _has_opening(need: TargetNeed, wish: WishDue, week: Week, by: date, openings_in: OpeningsIn) -> bool:
    target = need.target
    meetings = {
        (target.value(c.combination, ADULT), target.value(c.combination, LOCATION))
        for c in need.of_kind(ProbeKind.NEW)
        if wish.tuples.intersection(c.shows)
    }
    return any(
        (o.adult, o.location) in meetings and week.days[o.day] <= by
        for o in openings_in(week, target.learner)
    )
