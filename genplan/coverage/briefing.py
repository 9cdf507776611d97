"""What waits for adults to be briefed: the tuples that would open if they were."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from itertools import chain

from genplan.case import Case, Target
from genplan.case.targets import ADULT
from genplan.coverage.tally import Tally, tally
from genplan.evidence.log import Log


@dataclass(frozen=True)
class BriefingWanted:
    """`tuples` of the target are open and possible only once this adult is briefed on it."""

    adult: str
    target: str
    tuples: int


def briefings_wanted(
    case: Case, target: Target, log: Log, on: date, count: Tally | None = None
) -> tuple[BriefingWanted, ...]:
    """For each adult whom the target varies and who is not briefed on it, counted by tallying again as if
    that adult alone were. The most first; those for whom nothing would open are left out. `count` is the tally as it
    is, where it is known."""
    adults = target.values_of(ADULT)
    unbriefed = [a for a in adults if not case.adults[a].is_briefed_on(target.id)]
    if not unbriefed:
        return ()
    now = (count or tally(case, target, log, on)).open
    found = []
    for adult in unbriefed:
        then = tally(briefed(case, adult, target.id), target, log, on).open
        found.append(BriefingWanted(adult, target.id, len(then - now)))
    return tuple(sorted((w for w in found if w.tuples), key=lambda w: (-w.tuples, w.adult)))


def all_briefings_wanted(case: Case, log: Log, on: date) -> tuple[BriefingWanted, ...]:
    """Of all mastered targets, in their order."""
    return tuple(chain.from_iterable(briefings_wanted(case, t, log, on) for t in case.mastered))


def briefed(case: Case, adult_id: str, target: str) -> Case:
    """The case as if one adult more were briefed on the target."""
    adult = case.adults[adult_id]
    known = frozenset({target}) | (adult.briefed_on or frozenset())
    return replace(case, adults={**case.adults, adult_id: replace(adult, briefed_on=known)})
