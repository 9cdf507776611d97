"""What the hours of this week and of later ones say: last chances of wishes, and what adults can give."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta
from math import ceil

from every_week import DAY, Given, Owed, Shown, begun, now_minute, together
from planning_cases import WEEK

from genplan.case import Window, Wish

LOOKED_AHEAD = 8
Asked = frozenset[tuple[str, Shown]]
"""(target, what is to be shown)."""


def asked(own: Owed, wish: Wish) -> frozenset[Shown]:
    """What is open and holds as much of the wish as so many dimensions can."""
    enough = min(len(wish.pattern), own.target.strength)
    return frozenset(s for s in own.open if len(s & set(wish.pattern.items())) == enough)


def wished(everything: Iterable[Owed]) -> Asked:
    return frozenset((o.target.id, s) for o in everything for w in o.target.first for s in asked(o, w))


def at_last_chance(given: Given, everything: Iterable[Owed]) -> Asked:
    return frozenset(
        (o.target.id, s)
        for o in everything
        for w in o.target.first
        if _is_last_chance(given, o, w)
        for s in asked(o, w)
    )


def _is_last_chance(given: Given, own: Owed, wish: Wish) -> bool:
    """Whether fewer later weeks than it takes have an hour for it before its date."""
    wanted = asked(own, wish)
    if wish.by is None or not wanted or wish.by > WEEK.sunday + timedelta(weeks=LOOKED_AHEAD):
        return False
    # one probe shows one of each set of dimensions
    probes = max(Counter(frozenset(name for name, _ in shown) for shown in wanted).values())
    weeks = ceil(probes / given.case.policy.probes_per_target_per_week)
    mondays = [WEEK.monday + timedelta(weeks=n) for n in range(1, LOOKED_AHEAD + 1)]
    return sum(_has_hour(given, own, wanted, monday, wish.by) for monday in mondays) < weeks


def _has_hour(given: Given, own: Owed, wanted: frozenset[Shown], monday: date, by: date) -> bool:
    return any(
        monday + timedelta(days=w.start // DAY) <= by
        for c, shown in own.new.items()
        if wanted & shown
        for w in together(given.case, own.target.learner, *c[:2])
    )


def can_give(given: Given, everything: Iterable[Owed]) -> dict[str, int]:
    """For adults who can be met: the limit of the week, or the minutes in which somebody could be met."""
    found = {}
    for adult in given.case.adults.values():
        meetings = {(o.target.learner, c[1]) for o in everything for _, c, _ in o.choices if c[0] == adult.id}
        minutes = {m for learner, at in meetings for m in _meeting(given, everything, learner, adult.id, at)}
        if minutes:
            found[adult.id] = adult.limits.minutes_per_week or len(minutes)
    return found


def _meeting(given: Given, everything: Iterable[Owed], learner: str, adult: str, location: str) -> set[int]:
    """The minutes still ahead in which there is time for a sitting of these, beside those that have begun."""
    case, grid = given.case, given.case.policy.start_every_minutes
    shortest = case.policy.settle_minutes + min(
        case.targets[t].minutes
        for o in everything
        for t, c, _ in o.choices
        if (o.target.learner, *c[:2]) == (learner, adult, location)
    )
    windows = together(case, learner, adult, location)
    free = {m for w in windows for m in range(*w) if m >= now_minute(given)}
    for s in begun(given):
        way = case.travel.minutes(s.location, location)
        gap = max(case.policy.rest_minutes, way) if s.learner == learner else way
        full = s.location == location and case.locations[location].capacity == 1
        if s.learner == learner or s.adult == adult or full:
            free -= set(range(s.start - gap, s.end + gap))
    runs = [w for w in _runs(free) if -(-w.start // grid) * grid + shortest <= w.end]
    return {m for w in runs for m in range(*w)}


def _runs(minutes: set[int]) -> list[Window]:
    starts = sorted(m for m in minutes if m - 1 not in minutes or m % DAY == 0)
    ends = sorted(m + 1 for m in minutes if m + 1 not in minutes or (m + 1) % DAY == 0)
    return [Window(s, e) for s, e in zip(starts, ends, strict=True)]
