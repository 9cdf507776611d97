"""Who lacks what, where the people and the place of a combination are never free together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from genplan.case import Case, Target
from genplan.case.targets import ADULT, LOCATION
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Windows, intersect
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, split_at_midnight
from genplan.rules.limits import Kind, Limit

TOLD_AT_MOST = 3


def no_common_hours(case: Case, free: Hours, target: Target, choices: Sequence[Choice]) -> Limit:
    """The reason for combinations of one target none of which has an hour this week: a part for each pair of adult and
    place, the first few in the order of what they are about."""
    meetings = {(target.value(c.combination, ADULT), target.value(c.combination, LOCATION)) for c in choices}
    lacking = {
        _lack(case, free, target.learner, adult, location, target.minutes) for adult, location in meetings
    }
    parts = sorted(lacking, key=lambda part: _order(case, part))
    return Limit(Kind.HOURS, parts=tuple(parts[:TOLD_AT_MOST]), more=len(parts) > TOLD_AT_MOST)


def _lack(case: Case, free: Hours, learner: str, adult: str, location: str, minutes: int) -> Limit:
    """The narrowest truth: one of the three has no hours, or two of them never meet, or all three do not; and the days
    on which they would, if the policy planned them."""
    needed = case.policy.settle_minutes + minutes
    days = _on_other_days(case, learner, adult, location, needed)
    found = _narrowest(free, learner, adult, location, needed)
    return replace(found, figure=needed, begun=free.begun, days=days)


def _narrowest(free: Hours, learner: str, adult: str, location: str, needed: int) -> Limit:
    hers, theirs, its = free.learners[learner], free.adult_at(adult, location), free.locations[location]
    shut = free.shut.get(location, ())
    if not _long_enough(hers, needed):
        return Limit(Kind.LEARNER_NOT_FREE, learner=learner)
    if not _long_enough(theirs, needed):
        return Limit(Kind.ADULT_NOT_FREE, adult=adult)
    if not _long_enough(its, needed):
        return Limit(Kind.LOCATION_SHUT, location=location, shut=shut)
    both = intersect(hers, theirs)
    if not _long_enough(both, needed):
        return Limit(Kind.PEOPLE_APART, learner=learner, adult=adult, some=bool(both))
    if not _long_enough(there := intersect(hers, its), needed):
        return Limit(
            Kind.LOCATION_AND_LEARNER, location=location, learner=learner, some=bool(there), shut=shut
        )
    if not _long_enough(there := intersect(theirs, its), needed):
        return Limit(Kind.LOCATION_AND_ADULT, location=location, adult=adult, some=bool(there), shut=shut)
    if free.needs_companion(adult, learner) and _long_enough(intersect(both, its), needed):
        if not (free.acquainted or {}).get(learner):
            return Limit(Kind.NOBODY_KNOWN, learner=learner)
        return Limit(Kind.NO_COMPANION, adult=adult, learner=learner, location=location)
    return Limit(Kind.NEVER_ALL, adult=adult, learner=learner, location=location)


def _on_other_days(case: Case, learner: str, adult: str, location: str, needed: int) -> tuple[int, ...]:
    """Days that the policy leaves out and on which the usual hours of all three meet."""
    usual = intersect(
        intersect(case.learners[learner].free.in_week(), case.adults[adult].free.in_week()),
        case.locations[location].open.in_week(),
    )
    days = sorted({w.start // MINUTES_PER_DAY for w in split_at_midnight(usual) if w.length >= needed})
    return tuple(d for d in days if d not in case.policy.days)


def _order(case: Case, part: Limit) -> tuple[str, int, str, str, bool, tuple[int, ...]]:
    """By the name of whom or what it is about, then the wider thing first."""
    child = case.learners[part.learner].alias if part.learner else ""
    person = case.called(ADULT, part.adult) if part.adult else ""
    place = case.called(LOCATION, part.location) if part.location else ""
    match part.kind:
        case Kind.PEOPLE_APART | Kind.NEVER_ALL:
            about = (child, 0, person, place)
        case Kind.LEARNER_NOT_FREE:
            about = (child, 1, "", "")
        case Kind.NO_COMPANION:
            about = (person, 0, place, "")
        case Kind.ADULT_NOT_FREE:
            about = (person, 1, "", "")
        case Kind.LOCATION_SHUT:
            about = (place, 2, "", "")
        case Kind.NOBODY_KNOWN:
            about = ("", 3, "", "")
        case _:
            about = (place, 0 if part.some else 1, child or person, "")
    return *about, part.some, part.days


def _long_enough(windows: Windows, minutes: int) -> bool:
    return any(w.length >= minutes for w in split_at_midnight(windows))
