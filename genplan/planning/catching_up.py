"""Which tuples have to be shown before their date and not in a later week, and by which day of this week, so that there
is a day left in it on which they can be caught up."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace

from genplan.case import Case, Week
from genplan.coverage.tuples import Tuple
from genplan.planning.needs import LAST_DAY, Choice, TargetNeed, WishDue
from genplan.planning.wishes import OpeningsIn, is_near, starts_of


def with_catching_up(case: Case, need: TargetNeed, week: Week, openings_in: OpeningsIn) -> TargetNeed:
    """The same need with the last day for each tuple that has its last chance this week, by its wish or since no later
    week has hours in which it could be shown by the date. Hours alone count, before anything is planned. Left out is
    what only one day of the week has hours for, and what a date that has passed asked for."""
    found: dict[Tuple, int] = {}
    this_week = _days(case, need, need.choices, week, openings_in)
    for due in need.wishes:
        if not _is_ahead(due, week):
            continue
        later = frozenset() if due.last_chance else _shown_later(case, need, due, week, openings_in)
        for tuple_ in due.tuples - later:
            days = [d for d in this_week.get(tuple_, ()) if d <= due.until]
            if len(days) > 1:
                found[tuple_] = min(max(days) - 1, found.get(tuple_, LAST_DAY))
    return replace(need, catch_up=tuple(sorted(found.items())))


def _is_ahead(due: WishDue, week: Week) -> bool:
    """Whether its date is near, and lies ahead: a date that has passed leaves all days of the week."""
    by = due.wish.by
    return by is not None and is_near(by, week) and due.until == min(LAST_DAY, (by - week.monday).days)


def _shown_later(
    case: Case, need: TargetNeed, due: WishDue, week: Week, openings_in: OpeningsIn
) -> frozenset[Tuple]:
    """What some later week has hours for by the date."""
    found, later, by = set[Tuple](), week.next(), due.wish.by
    while by is not None and later.monday <= by and not found >= due.tuples:
        days = _days(case, need, need.new_sooner_or_later, later, openings_in)
        found |= {t for t, on in days.items() if min(on) <= (by - later.monday).days}
        later = later.next()
    return frozenset(found)


def _days(
    case: Case, need: TargetNeed, choices: Iterable[Choice], week: Week, openings_in: OpeningsIn
) -> Mapping[Tuple, set[int]]:
    """The days of a week on which each tuple could be shown in a sitting of its own."""
    found: dict[Tuple, set[int]] = defaultdict(set)
    minutes = case.policy.settle_minutes + need.target.minutes
    wanted = {t for w in need.wishes for t in w.tuples}
    showing = [c for c in choices if wanted.intersection(c.shows)]
    for opening in openings_in(week, need.target.learner):
        for choice in showing:
            if starts_of(case, need, choice.combination, week, opening, minutes):
                for tuple_ in choice.shows:
                    found[tuple_].add(opening.day)
    return found
