"""Rules of teaching: no probe of a target on a day after it was taught, and who has to sit beside.

That a probe right after teaching would say little of what the child can do by itself is common practice, no source; a
policy can say otherwise.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from genplan.case import Case, Target
from genplan.case.second_adults import teachers_beside
from genplan.case.targets import ADULT, Combination
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting


def taught_before(
    case: Case,
    target: str,
    seat: PlacedSitting,
    own: Iterable[PlacedSitting],
    recorded_teachings: Collection[int] = (),
) -> Limit | None:
    """No probe of a target in a sitting that begins after one of the same day in which it is taught; `own` are the
    learner's others, `recorded_teachings` the days on which it was taught without a sitting, before what is ahead."""
    if case.policy.probe_after_teaching:
        return None
    here = {p.is_probe for p in seat.probes if p.target == target}
    there = [(o, p) for o in own if o.day == seat.day for p in o.probes if p.target == target]
    probed_late = any(not p.is_probe and o.start < seat.start for o, p in there) or (
        seat.day in recorded_teachings
    )
    taught_early = any(p.is_probe and o.start > seat.start for o, p in there)
    if (True in here and probed_late) or (False in here and taught_early):
        return Limit(Kind.AFTER_TEACHING)
    return None


def teachers_wanted(case: Case, target: Target, combination: Combination) -> tuple[str, ...]:
    """Who can teach a combination from beside, where its adult may not teach it; empty where nobody is needed."""
    alone = case.adults[target.value(combination, ADULT)].may_teach(target.id)
    return () if alone else teachers_beside(case, target, combination)


def may_all_be_taught(case: Case, seat: PlacedSitting) -> bool:
    """Whether for each teaching in the seat its adult, or whoever sits beside, may teach it."""
    return all(
        case.adults[seat.adult].may_teach(p.target)
        or seat.beside in teachers_beside(case, case.targets[p.target], p.combination)
        for p in seat.probes
        if not p.is_probe
    )
