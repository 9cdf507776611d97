"""Why there is no way at all to show something before its date, whatever else is planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from genplan.case import Combination
from genplan.coverage.tuples import Tuple
from genplan.plan.term import NoWay
from genplan.planning.openings import Hours, openings_of
from genplan.planning.term.building import problem_of
from genplan.planning.term.meetings import Starts
from genplan.planning.term.problem import Wanted
from genplan.planning.term.wanted import TermFacts, combinations_from

Shown = Mapping[Combination, tuple[Tuple, ...]]
"""Combinations that a new probe may hold in the first week, each with what it shows."""


def without_a_way(facts: TermFacts, wanted: Wanted, tuples: Iterable[Tuple]) -> Mapping[Tuple, NoWay]:
    """What stands in the way of each of these, for which no week up to the date has a place."""
    missing = frozenset(tuples)
    if not missing:
        return {}
    need = next(n for n in facts.ground.needs if n.id == wanted.target)
    longest = facts.case.learners[wanted.learner].limits.sitting_minutes
    if longest is not None and need.target.minutes + facts.case.policy.settle_minutes > longest:
        return dict.fromkeys(sorted(missing), NoWay.TOO_LONG)
    at_once = {c: shows for c, shows, week in combinations_from(facts, need, missing) if not week}
    hours = {t: NoWay.NO_HOURS for shows in at_once.values() for t in shows}
    hours |= _but_for_the_first_week(facts, wanted, at_once)
    found = {t: hours.get(t, NoWay.WAITS) for t in sorted(missing)}
    return found | dict.fromkeys(_but_for_what_was_told(facts, wanted, missing), NoWay.TOLD)


def _but_for_what_was_told(facts: TermFacts, wanted: Wanted, missing: frozenset[Tuple]) -> list[Tuple]:
    """What has a way before the date if no week stays as people were told of it."""
    if not facts.told:
        return []
    problem, _ = problem_of(replace(facts, told={}), (wanted,))
    return [t for t in sorted(missing) if problem.ways(wanted, t)]


def _but_for_the_first_week(facts: TermFacts, wanted: Wanted, shown: Shown) -> Mapping[Tuple, NoWay]:
    """What has hours before the date, in the first week, in which an adult who is new to the child has nobody beside,
    or in which somebody wished no sitting of the two. Later weeks know of neither."""
    free = facts.ground.free
    alone, asked = replace(free, acquainted=None), replace(free, barred={})
    found: dict[Tuple, NoWay] = {}
    for eased, why in (
        (replace(alone, barred={}), NoWay.NOT_WISHED),
        (asked, NoWay.NOT_WISHED),
        (alone, NoWay.NO_COMPANION),
    ):
        if eased != free:
            found |= dict.fromkeys(_with_hours(facts, wanted, shown, eased), why)
    return found


def _with_hours(facts: TermFacts, wanted: Wanted, shown: Shown, free: Hours) -> set[Tuple]:
    """What could be shown in the first week up to the date if these were the hours."""
    case, week = facts.case_in(0), facts.weeks[0]
    starting = Starts(case, week, openings_of(case, free, wanted.learner, facts.seats_in(0)))
    return {
        t
        for combination, shows in shown.items()
        if any(wanted.is_in_time(0, o.day) for o, _ in starting.of(wanted.target, combination))
        for t in shows
    }
