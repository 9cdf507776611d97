"""Whether seats that were planned apart can all be kept: the rules between learners, on plain values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case import Case
from genplan.planning.commitments import Seat, of_adult


def fits(case: Case, new: Iterable[Seat], others: Sequence[Seat]) -> bool:
    """Whether the new seats (of learners who have none in `others`) break no rule that people, places or sets share."""
    together = list(others)
    for seat in new:
        if conflict(case, seat, together):
            return False
        together.append(seat)
    return True


def keep_what_fits(case: Case, new: Iterable[Seat], others: Sequence[Seat]) -> tuple[Seat, ...]:
    """The new seats, in order, less those that conflict with others or with one kept before."""
    kept: list[Seat] = []
    for seat in sorted(new):
        if not conflict(case, seat, [*others, *kept]):
            kept.append(seat)
    return tuple(kept)


def conflict(case: Case, seat: Seat, others: Sequence[Seat]) -> bool:
    """Whether the seat cannot be held beside the others, for the adult, the location or a material set."""
    same_day = [o for o in others if o.day == seat.day]
    return (
        any(adult_conflict(case, seat, of_adult(others, a), a) for a in seat.adults)
        or _location_conflict(case, seat, [o for o in same_day if o.location == seat.location])
        or any(_set_conflict(case, name, seat, same_day) for name in sorted(seat.material_sets))
    )


def adult_conflict(case: Case, seat: Seat, others: Sequence[Seat], adult: str) -> bool:
    """Whether the adult, who is in all of `others`, cannot be in the seat as well."""
    limits = case.adults[adult].limits
    today = [o for o in others if o.day == seat.day]
    if any(_too_near(seat, o, case.travel.minutes(seat.location, o.location)) for o in today):
        return True
    if limits.sittings_per_day is not None and len(today) >= limits.sittings_per_day:
        return True
    minutes = seat.minutes + sum(o.minutes for o in others)
    return limits.minutes_per_week is not None and minutes > limits.minutes_per_week


def _location_conflict(case: Case, seat: Seat, others: Sequence[Seat]) -> bool:
    return most_at_once(seat, others) >= case.locations[seat.location].capacity


def _set_conflict(case: Case, name: str, seat: Seat, others: Sequence[Seat]) -> bool:
    users = [o for o in others if name in o.material_sets]
    copies = case.material_sets[name].copies
    if most_at_once(seat, users) >= copies:
        return True
    return copies == 1 and any(
        _too_near(seat, o, case.travel.minutes(seat.location, o.location)) for o in users
    )


def _too_near(one: Seat, other: Seat, way: int) -> bool:
    return one.start < other.end + way and other.start < one.end + way


def most_at_once(seat: Seat, others: Sequence[Seat]) -> int:
    """The most of the others that go on at the same moment while the seat does."""
    moments = [seat.start] + [o.start for o in others if seat.start < o.start < seat.end]
    return max(sum(o.start <= m < o.end for o in others) for m in moments)
