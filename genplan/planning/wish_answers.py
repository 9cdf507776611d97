"""What became of each wish for the week, once it is planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from genplan.case.targets import ADULT
from genplan.case.windows import intersect, merge
from genplan.case.wishes_of_planners import Rather, WishKind
from genplan.plan import Objective, ObjectiveName, Sitting, StageStatus, Unkept, WishAnswer
from genplan.planning.assemble import seat_of
from genplan.planning.figures import is_held
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.week_context import WeekContext
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting, of_learner


def answers_to_wishes(
    ground: WeekContext, sittings: Sequence[Sitting], objectives: Sequence[Objective]
) -> tuple[WishAnswer, ...]:
    """Each with the sitting by which it is kept, or what stands in its way; in the order in which they were wished."""
    if not ground.decided.answers:
        return ()
    seats = {seat_of(ground.case, ground.week, s): s.id for s in sittings}
    proven = any(o.name is ObjectiveName.RATHER and o.status is StageStatus.OPTIMAL for o in objectives)
    asked = sorted(ground.decided.answers, key=lambda answer: answer.wish.number)
    return tuple(_answer(ground, answer, seats, proven=proven) for answer in asked)


def _answer(
    ground: WeekContext, answer: WishAnswer, seats: Mapping[PlacedSitting, str], *, proven: bool
) -> WishAnswer:
    wish, decided = answer.wish, ground.decided
    if seat := decided.kept_by.get(wish):
        return replace(answer, sitting=seats[seat])
    if wish.kind is not WishKind.RATHER:
        return answer
    rather = decided.wanted[wish]
    if held := next((id_ for seat, id_ in sorted(seats.items()) if is_held(rather, [seat])), ""):
        return replace(answer, kept=True, sitting=held, stay=_with_others(ground, rather, seats))
    return without_a_way(ground, answer) or replace(answer, why=Unkept.NOT_FOUND, proven=proven)


def _with_others(ground: WeekContext, rather: Rather, seats: Mapping[PlacedSitting, str]) -> tuple[str, ...]:
    """What the learner's people were told of in the stretch with other adults on a day, and that is held in part or
    whole: a wish for somebody takes nobody else away."""
    told = {
        (s.adult, s.day)
        for s in of_learner((*ground.told, *ground.held_as_told), rather.learner)
        if s.adult != rather.adult
    }
    return tuple(
        id_
        for seat, id_ in sorted(seats.items())
        if seat.learner == rather.learner
        and (seat.adult, seat.day) in told
        and rather.start <= seat.start
        and seat.end <= rather.end
    )


def without_a_way(ground: WeekContext, answer: WishAnswer) -> WishAnswer | None:
    """What is told of a sitting that somebody would rather have and no plan can give as things are; None: that one
    might, or that what stays as it is gives it."""
    if answer.kept or not (limit := _in_every_way(ground, ground.decided.wanted[answer.wish])):
        return None
    return replace(answer, why=Unkept.RULES, limits=(limit,))


def _in_every_way(ground: WeekContext, rather: Rather) -> Limit | None:
    """What stands against every sitting of the two in the stretch, whatever else is planned; None: nothing does."""
    stretch, free = merge([(rather.start, rather.end)]), ground.free
    choices = [
        c
        for n in ground.needs
        if n.target.learner == rather.learner
        for c in n.choices
        if n.target.value(c.combination, ADULT) == rather.adult
    ]
    if not choices:
        return Limit(Kind.NOT_OWED)
    if not intersect(free.learners[rather.learner], stretch):
        return Limit(Kind.LEARNER_THEN, learner=rather.learner)
    if not intersect(free.adults[rather.adult], stretch):
        return Limit(Kind.ADULT_THEN, adult=rather.adult)
    ways = InsertionFinder(ground.case, free, ground.begun_seats)
    found = [
        limits
        for c in choices
        for old, new, limits in ways.each(c)
        if old is None and rather.start <= new.start and new.end <= rather.end
    ]
    if not found:
        return Limit(Kind.NOWHERE_THEN, adult=rather.adult, learner=rather.learner)
    every = frozenset.intersection(*found)
    return min(every, key=lambda limit: limit.order) if every else None
