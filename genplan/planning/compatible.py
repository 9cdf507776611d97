"""Whether seats that were planned apart can all be kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case import Case
from genplan.rules.placed_sittings import PlacedSitting
from genplan.rules.together import between_learners


def fits(case: Case, new: Iterable[PlacedSitting], others: Sequence[PlacedSitting]) -> bool:
    """Whether the new seats (of learners who have none in `others`) break no rule that people, places or sets share."""
    together = list(others)
    for seat in new:
        if conflict(case, seat, together):
            return False
        together.append(seat)
    return True


def keep_what_fits(
    case: Case, new: Iterable[PlacedSitting], others: Sequence[PlacedSitting]
) -> tuple[PlacedSitting, ...]:
    """The new seats, in order, less those that conflict with others or with one kept before."""
    kept: list[PlacedSitting] = []
    for seat in sorted(new):
        if not conflict(case, seat, [*others, *kept]):
            kept.append(seat)
    return tuple(kept)


def conflict(case: Case, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> bool:
    """Whether the seat cannot be held beside the others, for an adult, the location or a material set."""
    return next(between_learners(case, seat, others), None) is not None
