"""Which wishes the week that people were told of keeps already: nothing has to be planned for these any more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind, sitting_id
from genplan.keeping.wished_moves import arrived, moved_from
from genplan.plan import Sitting


def kept_already(wishes: Iterable[PlannersWish], told: Sequence[Sitting]) -> frozenset[PlannersWish]:
    """`told` are all sittings of the week that people hold to be planned, and the wishes those for the week."""
    wishes = list(wishes)
    came = arrived(wishes, told)

    def is_kept(wish: PlannersWish) -> bool:
        match wish.kind:
            case WishKind.HOLD:
                return moved_from(wish, told) is not None
            case WishKind.NOT:
                there = moved_from(wish, told)
                return there is None or there in came.values()
            case WishKind.MOVE | WishKind.ADD:
                return wish in came
            case WishKind.RATHER:
                return any(_is_rather(wish, s) for s in told)
        return not any(_are_together(wish, day) for day in _days(wish, told))

    return frozenset(filter(is_kept, wishes))


def _is_rather(wish: PlannersWish, s: Sitting) -> bool:
    assert wish.start is not None
    assert wish.end is not None
    begins, ends = s.start.replace(tzinfo=None), s.end.replace(tzinfo=None)
    return (s.learner, s.adult) == (wish.learner, wish.adult) and wish.start <= begins and ends <= wish.end


def _days(wish: PlannersWish, told: Iterable[Sitting]) -> Iterator[list[Sitting]]:
    """The sittings of each day of the wish."""
    for day, of_day in groupby(sorted(told, key=lambda s: s.start), key=lambda s: s.start.date()):
        if wish.covers(day):
            yield list(of_day)


def _are_together(wish: PlannersWish, of_day: Sequence[Sitting]) -> bool:
    """Whether a day has both of two that are to be apart, or what is to be once a day twice."""
    things = [_thing(text) for text in wish.two]
    one, other = ([s for s in of_day if _is_of(thing, s)] for thing in things)
    return len(one) > 1 if things[0] == things[1] else bool(one and other)


def _thing(text: str) -> str | tuple[str, str]:
    """The id of a target, or of a sitting's id the adult and the mark of the child."""
    named = sitting_id(text)
    return text if named is None else (named.adult, named.mark)


def _is_of(thing: str | tuple[str, str], s: Sitting) -> bool:
    if isinstance(thing, str):
        return any(p.target == thing for p in s.probes)
    return thing == (s.adult, mark_of(s.learner))
