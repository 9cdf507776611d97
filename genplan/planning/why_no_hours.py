"""Who lacks what, where the people and the place of a combination are never free together."""

from __future__ import annotations

from collections.abc import Sequence

from genplan.case import Case, Target
from genplan.case.targets import ADULT, LOCATION
from genplan.case.week import DAYS, MINUTES_PER_DAY
from genplan.case.windows import Windows, intersect
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours, split_at_midnight


def no_common_hours(case: Case, free: Hours, target: Target, choices: Sequence[Choice]) -> str:
    """A sentence for combinations of one target none of which has an hour this week."""
    meetings = sorted(
        {(target.value(c.combination, ADULT), target.value(c.combination, LOCATION)) for c in choices}
    )
    sentences = sorted(
        {_why(case, free, target.learner, adult, location, target.minutes) for adult, location in meetings}
    )
    return "; ".join(sentences[:3]) + ("; and so on" if len(sentences) > 3 else "")


def _why(case: Case, free: Hours, learner: str, adult: str, location: str, minutes: int) -> str:
    """The narrowest true sentence: one of the three has no hours, or two of them never meet, or all three do not; and
    the days on which they would, if the policy planned them."""
    needed = case.policy.settle_minutes + minutes
    elsewhen = _on_other_days(case, learner, adult, location, needed)
    return _narrowest(case, free, learner, adult, location, needed) + elsewhen


def _narrowest(case: Case, free: Hours, learner: str, adult: str, location: str, needed: int) -> str:
    week = "in what is left of this week" if free.begun else "this week"
    child, person, place = (
        case.learners[learner].alias,
        case.called(ADULT, adult),
        case.called(LOCATION, location),
    )
    hers, theirs, its = free.learners[learner], free.adults[adult], free.locations[location]
    shut = f" ({', '.join(free.shut[location])})" if location in free.shut else ""
    for who, windows in ((child, hers), (person, theirs)):
        if not _long_enough(windows, needed):
            return f"{who} is not free {week} for the {needed} minutes it takes"
    if not _long_enough(its, needed):
        return f"{place} is not open {week} for the {needed} minutes it takes{shut}"
    both = intersect(hers, theirs)
    if not _long_enough(both, needed):
        return f"{child} and {person} are never free at the same time {week}{_enough(both, needed)}"
    for who, windows in ((child, hers), (person, theirs)):
        there = intersect(windows, its)
        if not _long_enough(there, needed):
            return f"{place} is never open {week}{_enough(there, needed)} while {who} is free{shut}"
    if free.needs_companion(adult, learner) and _long_enough(intersect(both, its), needed):
        if not (free.acquainted or {}).get(learner):
            return f"nobody has worked with {child} yet who could sit beside an adult who has not"
        return (
            f"{person} has not worked with {child} yet, and nobody who has can sit beside at {place} {week}"
        )
    return f"{child} and {person} are never free together for {needed} minutes {week} while {place} is open"


def _on_other_days(case: Case, learner: str, adult: str, location: str, needed: int) -> str:
    """Days that the policy leaves out and on which the usual hours of all three meet."""
    usual = intersect(
        intersect(case.learners[learner].free.in_week(), case.adults[adult].free.in_week()),
        case.locations[location].open.in_week(),
    )
    days = sorted({w.start // MINUTES_PER_DAY for w in split_at_midnight(usual) if w.length >= needed})
    left_out = [DAYS[d] for d in days if d not in case.policy.days]
    return (
        f" (on {' and '.join(left_out)} it could be, but the policy plans no checks then)" if left_out else ""
    )


def _enough(windows: Windows, needed: int) -> str:
    """What has to be said where there are some minutes, but too few."""
    return f" for the {needed} minutes it takes" if windows else ""


def _long_enough(windows: Windows, minutes: int) -> bool:
    return any(w.length >= minutes for w in split_at_midnight(windows))
