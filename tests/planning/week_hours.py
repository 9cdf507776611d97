"""What the hours of this week and of later ones say: last chances of wishes, and what adults can give."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from every_week import DAY, Given, Owed, Shown, begun, now_minute, together
from planning_cases import WEEK

from genplan.case import Window, Wish

LOOKED_AHEAD = 8
Asked = dict[tuple[str, Shown], int]
"""(target, what is to be shown) -> the last day of the week on which that counts."""


def asked(own: Owed, wish: Wish) -> frozenset[Shown]:
    """What is open and holds as much of the wish as so many dimensions can."""
    enough = min(len(wish.pattern), own.target.strength)
    return frozenset(s for s in own.open if len(s & set(wish.pattern.items())) == enough)


def wished(given: Given, everything: Iterable[Owed]) -> Asked:
    return _by_day(given, [(o, w) for o in everything for w in o.target.first])


def at_last_chance(given: Given, everything: Iterable[Owed]) -> Asked:
    every = [(o, w) for o in everything for w in o.target.first]
    return _by_day(given, [(o, w) for o, w in every if _is_last_chance(given, o, w)])


def _by_day(given: Given, wishes: Iterable[tuple[Owed, Wish]]) -> Asked:
    """A date that lies in the week and not before the day of the plan is the last day; any other leaves all."""
    days: dict[tuple[str, Shown], set[int]] = defaultdict(set)
    for own, wish in wishes:
        coming = wish.by is not None and given.now.date() <= wish.by and wish.by in WEEK.days
        for shown in asked(own, wish):
            days[own.target.id, shown].add(WEEK.days.index(wish.by) if coming and wish.by else 6)
    return {key: max(some) for key, some in days.items()}


def _is_last_chance(given: Given, own: Owed, wish: Wish) -> bool:
    """Whether later weeks have room for fewer probes than it takes before its date."""
    wanted = asked(own, wish)
    if wish.by is None or not wanted or wish.by > WEEK.sunday + timedelta(weeks=LOOKED_AHEAD):
        return False
    # one probe shows one of each set of dimensions
    probes = max(Counter(frozenset(name for name, _ in shown) for shown in wanted).values())
    mondays = [WEEK.monday + timedelta(weeks=n) for n in range(1, LOOKED_AHEAD + 1)]
    return sum(_room(given, own, wanted, monday, wish.by) for monday in mondays) < probes


def _room(given: Given, own: Owed, wanted: frozenset[Shown], monday: date, by: date) -> int:
    """How many sittings with one probe of it the week holds, by the hours of every week, and the limits one by one."""
    case, policy = given.case, given.case.policy
    learner = case.learners[own.target.learner]
    minutes = policy.settle_minutes + own.target.minutes
    if learner.limits.sitting_minutes is not None and minutes > learner.limits.sitting_minutes:
        return 0
    whole_week, week_minutes, adults_of_week = 0, 0, set()
    for day in range(7):
        if monday + timedelta(days=day) > by:
            break
        starts: set[int] = set()
        adults: set[str] = set()
        for c, shown in own.new.items():
            for w in together(case, learner.id, *c[:2]) if wanted & shown else ():
                found = {m for m in range(w.start, w.end - minutes + 1) if w.start // DAY == day}
                found = {m for m in found if m % DAY % policy.start_every_minutes == 0}
                starts |= found
                adults |= {c[0]} if found else set()
        held = 0
        free_from = 0
        for m in sorted(starts):
            if m >= free_from:
                held, free_from = held + 1, m + minutes + policy.rest_minutes
        hers = [case.adults[a].limits.sittings_per_day for a in adults]
        for limit in (
            learner.limits.sittings_per_day,
            learner.limits.probes_per_day,
            policy.probes_per_target_per_day,
            None if None in hers else sum(n or 0 for n in hers),
        ):
            held = held if limit is None else min(held, limit)
        whole_week += held
        adults_of_week |= adults
    given_sittings = [case.adults[a].limits.sittings_per_week for a in adults_of_week]
    if None not in given_sittings:
        whole_week = min(whole_week, sum(n or 0 for n in given_sittings))
    if learner.limits.sittings_per_week is not None:
        whole_week = min(whole_week, learner.limits.sittings_per_week)
    given_minutes = [case.adults[a].limits.minutes_per_week for a in adults_of_week]
    if None not in given_minutes:
        week_minutes = sum((n or 0) // minutes for n in given_minutes)
        whole_week = min(whole_week, week_minutes)
    return min(whole_week, policy.probes_per_target_per_week)


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
