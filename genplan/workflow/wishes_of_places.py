"""What is wished already, and another place for a sitting: what was wished of the sitting itself gives way to the place
that is taken; what reaches further than the sitting is not contradicted by it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind, sitting_id
from genplan.keeping.wished_moves import arrived

if TYPE_CHECKING:
    from genplan.plan import Sitting


def note_of(sitting: str) -> str:
    """By which what was put in for a sitting is known again."""
    return f"in the place of {sitting}"


def of_itself(
    wishes: Iterable[PlannersWish], told: Sequence[Sitting], asked: Sitting
) -> tuple[PlannersWish, ...]:
    """What is wished of a sitting: that it stays, moves or is not to be, what was put in for it, and
    what was put in and told as this very sitting."""
    wishes = tuple(wishes)
    came = {w for w, there in arrived(wishes, told).items() if there.id == asked.id}
    return tuple(w for w in wishes if w.sitting == asked.id or w.note == note_of(asked.id) or w in came)


def against(
    wishes: Iterable[PlannersWish], week: Week, others: Sequence[Sitting], asked: Sitting, place: Sitting
) -> tuple[PlannersWish, ...]:
    """What of the wishes a sitting keeps where people were told of it, and would not keep at the place: rather somebody
    else, whom no other sitting of the week is with, and two sittings apart, of which the place is on the other's day.
    Two skills apart are a rule for each place that is offered."""

    def broken(wish: PlannersWish) -> bool:
        if wish.kind is WishKind.RATHER:
            return _is_rather(wish, asked) and not any(_is_rather(wish, s) for s in (place, *others))
        return wish.kind is WishKind.APART and any(_beside(wish, others, asked, place))

    return tuple(w for w in wishes if w.holds_in(week) and broken(w))


def _is_rather(wish: PlannersWish, sitting: Sitting) -> bool:
    assert wish.start is not None
    assert wish.end is not None
    start, end = (moment.replace(tzinfo=None) for moment in (sitting.start, sitting.end))
    people = (sitting.learner, sitting.adult) == (wish.learner, wish.adult)
    return people and wish.start <= start and end <= wish.end


def _beside(
    wish: PlannersWish, others: Sequence[Sitting], asked: Sitting, place: Sitting
) -> Iterator[Sitting]:
    """The sittings on the day of the place from which the wish keeps the one that is asked about."""
    day = place.start.date()
    if asked.id not in wish.two or not wish.covers(day):
        return
    (other,) = (text for text in wish.two if text != asked.id) if len(set(wish.two)) == 2 else (asked.id,)
    if named := sitting_id(other):
        meant = (named.mark, named.adult, day)
        yield from (s for s in others if (mark_of(s.learner), s.adult, s.start.date()) == meant)
    else:
        yield from (s for s in others if s.start.date() == day and any(p.target == other for p in s.probes))
