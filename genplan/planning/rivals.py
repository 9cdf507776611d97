"""Whose sittings are in the way of a learner: those with its adults, or at its places, while it could be there, and
those that somebody wishes apart from its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from genplan.planning.caseload_problem import Caseload, Seats
from genplan.planning.openings import Opening
from genplan.rules.placed_sittings import PlacedSitting
from genplan.rules.wishes import is_wished_apart_from


def rivals(
    load: Caseload,
    learner: str,
    seats: Seats,
    counts: Callable[[PlacedSitting | Opening], bool] = lambda thing: True,
) -> list[str]:
    """The other learners with sittings in this one's openings, who has most of them first; before them who has what is
    wished apart, since that takes whole days. Of sittings and openings only those that `counts` are looked at."""
    openings = [o for o in load.openings[learner] if counts(o)]
    found = {}
    for other, own in seats.items():
        if other != learner:
            near = [s for s in own if counts(s)]
            apart = sum(is_wished_apart_from(load.case, learner, s) for s in near)
            found[other] = (apart, sum(_is_in_the_way(s, openings) for s in near))
    return sorted((i for i, n in found.items() if any(n)), key=lambda i: (*(-n for n in found[i]), i))


def _is_in_the_way(seat: PlacedSitting, openings: Sequence[Opening]) -> bool:
    start, end, adults, location = seat.start, seat.end, seat.adults, seat.location
    return any(
        o.start < end and start < o.end and (o.adult in adults or o.location == location) for o in openings
    )
