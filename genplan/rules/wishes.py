"""Rules of what whoever plans the weeks wishes: two things that are not to be on one day."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations

from genplan.case import Case
from genplan.case.wishes_of_planners import Apart, Thing
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting


def is_of(thing: Thing, seat: PlacedSitting) -> bool:
    """Whether a sitting is one of these, or holds something of the target."""
    if thing.target:
        return any(p.target == thing.target for p in seat.probes)
    return (seat.adult, seat.learner) == (thing.adult, thing.learner)


def wished_apart(case: Case, seat: PlacedSitting, others: Iterable[PlacedSitting]) -> Limit | None:
    """Two things that are wished apart would be on the day of the seat, one of them in it."""
    near = [o for o in others if o.day == seat.day] if case.apart else []
    for apart in case.apart:
        if seat.day in apart.days and _meet(apart, seat, near):
            one, other = apart.one, apart.other
            value = (one.target, one.adult, one.learner, other.target, other.adult, other.learner)
            return Limit(Kind.WISHED_APART, value=value)
    return None


def _meet(apart: Apart, seat: PlacedSitting, near: Iterable[PlacedSitting]) -> bool:
    one, other = is_of(apart.one, seat), is_of(apart.other, seat)
    if apart.one == apart.other:
        return one and any(is_of(apart.one, o) for o in near)
    return (
        (one and other)
        or (one and any(is_of(apart.other, o) for o in near))
        or (other and any(is_of(apart.one, o) for o in near))
    )


def is_wished_apart_from(case: Case, learner: str, seat: PlacedSitting) -> bool:
    """Whether somebody wishes the sitting, of another learner, apart from something of this one's on the same day."""

    def is_of_learner(thing: Thing) -> bool:
        return learner == (case.targets[thing.target].learner if thing.target else thing.learner)

    return any(
        seat.day in apart.days
        and any(is_of(a, seat) and is_of_learner(b) for a, b in permutations((apart.one, apart.other)))
        for apart in case.apart
    )
