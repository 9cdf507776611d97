"""Sittings that somebody wished elsewhere: which one a wish to move means, and whether people were told of it there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case.sitting_ids import SittingId, mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.plan import Sitting


def moved_from(wish: PlannersWish, sittings: Iterable[Sitting]) -> Sitting | None:
    """The sitting that is to move: by when it was to begin, if that is said, or else by its id."""
    named = SittingId.parse(wish.sitting)
    return next(
        (
            s
            for s in sittings
            if (mark_of(s.learner), s.adult, s.start.date()) == (named.mark, named.adult, _day(named))
            and (s.id == wish.sitting if wish.at is None else s.start.replace(tzinfo=None) == wish.at)
        ),
        None,
    )


def moved_to(wish: PlannersWish, sittings: Iterable[Sitting]) -> Sitting | None:
    """The sitting that stands where it is to move to."""
    named = SittingId.parse(wish.sitting)
    place = named.mark, wish.adult or named.adult, wish.start
    return next(
        (
            s
            for s in sittings
            if (mark_of(s.learner), s.adult, s.start.replace(tzinfo=None)) == place
            and wish.location in ("", s.location)
        ),
        None,
    )


def put_in(wish: PlannersWish, sittings: Iterable[Sitting]) -> Sitting | None:
    """The sitting that somebody decided by hand, where one stands there with what was put in."""
    place, values = (wish.learner, wish.adult, wish.location, wish.start), {v for _name, v in wish.values}
    return next(
        (
            s
            for s in sittings
            if (s.learner, s.adult, s.location, s.start.replace(tzinfo=None)) == place
            and any(p.target == wish.target and values <= {*p.combination} for p in s.probes)
        ),
        None,
    )


def arrived(wishes: Iterable[PlannersWish], told: Sequence[Sitting]) -> dict[PlannersWish, Sitting]:
    """The moves that people were told of already, and what was put in, each with the sitting it led to: one stands
    there, and it is known to have come from there; or where it came from none stands, or only one that came there in
    such a way itself."""
    wishes = list(wishes)
    added = ((w, put_in(w, told)) for w in wishes if w.kind is WishKind.ADD)
    found = {wish: there for wish, there in added if there}
    left = [w for w in wishes if w.kind is WishKind.MOVE]
    while new := {w: there for w in left if (there := _arrived(w, told, found.values()))}:
        found |= new
        left = [w for w in left if w not in new]
    return found


def _arrived(wish: PlannersWish, told: Sequence[Sitting], came: Iterable[Sitting]) -> Sitting | None:
    before, after = moved_from(wish, told), moved_to(wish, told)
    if after is None or after == before:
        return None
    return after if _came_from(wish, after) or before is None or before in came else None


def _came_from(wish: PlannersWish, there: Sitting) -> bool:
    """Whether it is known that this is the sitting that was to move."""
    if there.moved_from is None:
        return False
    id_, start = there.moved_from
    return id_ == wish.sitting if wish.at is None else start.replace(tzinfo=None) == wish.at


def moves(
    wishes: Sequence[PlannersWish], before: Sequence[Sitting], after: Sequence[Sitting]
) -> set[tuple[str, str]]:
    """The sittings of two plans that are the same one, moved as somebody wished: the ids before and after."""
    done = arrived(wishes, before)
    left = [w for w in wishes if w.kind is WishKind.MOVE and w not in done]
    both = ((moved_from(w, before), moved_to(w, after)) for w in left)
    return {(one.id, other.id) for one, other in both if one and other}


def _day(named: SittingId) -> object:
    return named.week.days[named.weekday]
