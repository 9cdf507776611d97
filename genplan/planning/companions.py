"""Who can sit beside an adult who has not worked with a learner yet, or who may not teach, and when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from genplan.case import Case
from genplan.case.second_adults import may_be_there
from genplan.case.windows import Windows, intersect, merge, subtract
from genplan.rules.clashes import kept_from
from genplan.rules.placed_sittings import PlacedSitting, Seated


@dataclass(frozen=True, order=True)
class CompanionWindow:
    """A stretch in which a second adult can sit beside: somebody who knows the learner beside one who is new to it, or
    who may teach beside one who may not. From minute `start` of the week up to `end`, which is not part of it. A
    sitting may have this companion if it lies wholly within."""

    adult: str
    start: int
    end: int


def adult_at(case: Case, windows: Windows, own: Iterable[PlacedSitting], location: str) -> Windows:
    """What an adult's seats leave of the windows for a sitting at the location, with the way to and from them."""
    return subtract(windows, [kept_from(case, s, location) for s in own])


def company(
    case: Case,
    adults: Mapping[str, Windows],
    who: Iterable[str],
    learner: str,
    location: str,
    taken: Iterable[PlacedSitting] = (),
) -> dict[str, Windows]:
    """When each of `who` can be beside a sitting of the learner at the location; `adults` are their usable minutes."""
    seated = Seated(tuple(taken)).by_adult
    return {
        adult: adult_at(case, adults[adult], seated.get(adult, ()), location)
        for adult in sorted(who)
        if may_be_there(case, adult, learner, location)
    }


def anybody(windows: Mapping[str, Windows]) -> Windows:
    return merge(w for own in windows.values() for w in own)


def company_in(windows: Mapping[str, Windows], start: int, end: int) -> tuple[CompanionWindow, ...]:
    """Each stretch of `[start, end)` in which one of them can be there throughout."""
    inside = merge([(start, end)])
    return tuple(
        CompanionWindow(a, w.start, w.end) for a, own in windows.items() for w in intersect(own, inside)
    )
