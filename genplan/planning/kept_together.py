"""The sittings that several wishes bring together, and what stands between them.

A sitting that moves holds as many of its probes as fit: first one of each is found beside all that is held and added,
then each takes what else there is room for, in its order. Why one of each is enough to know whether all fit (own
derivation): rules are upper limits or ask for gaps, and a sitting with fewer probes begins when it did and ends sooner.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.planning.needs import Choice
from genplan.planning.sittings_by_hand import ByHand, Moved, Place
from genplan.planning.wish_claims import Claim
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting

MOST_TRIED = 2000
"""Sittings with one probe that are tried for those that move together; few wishes need more than a handful."""


@dataclass
class Together:
    """Judges wishes together. `all_tried`: no search for room was cut short, so what does not fit cannot."""

    by_hand: ByHand
    all_tried: bool = True

    def seats_of(self, claims: Sequence[Claim]) -> dict[PlacedSitting, list[Claim]]:
        """The sittings of these wishes, each with its wishes: what is to be in one place at one time is one sitting."""
        return self._seats(self._with_apart(claims), claims)

    def against(self, claims: Sequence[Claim]) -> dict[PlannersWish, tuple[Limit, ...]]:
        """For each of the wishes that cannot be kept beside the others what stands in its way."""
        by_hand = self._with_apart(claims)
        seats, found = self._seats(by_hand, claims), dict[PlannersWish, tuple[Limit, ...]]()
        for seat, wishes in seats.items():
            others = [s for s in seats if s is not seat]
            limits = {*by_hand.limits_of(seat, others), *_not_wished(seat, wishes, claims)}
            if limits:
                found |= {c.wish: tuple(sorted(limits, key=lambda x: x.order)) for c in wishes}
        if limit := next(by_hand.apart_already(), None):
            found |= {c.wish: (limit,) for c in claims if c.apart}
        return found

    def _with_apart(self, claims: Iterable[Claim]) -> ByHand:
        apart = tuple(sorted({c.apart for c in claims if c.apart}))
        return replace(self.by_hand, case=replace(self.by_hand.case, apart=apart))

    def _seats(self, by_hand: ByHand, claims: Iterable[Claim]) -> dict[PlacedSitting, list[Claim]]:
        by_place: dict[Place, list[Claim]] = {}
        for claim in claims:
            if place := claim.place:
                by_place.setdefault(place, []).append(claim)
        found: dict[PlacedSitting, list[Claim]] = {}
        moving: list[list[Claim]] = []
        for several in by_place.values():
            if all(c.moved for c in several):
                moving.append(several)
            for seat, own in _in_one_place(by_hand, several):
                found.setdefault(seat, []).extend(own)
        filled = self._filled(by_hand, tuple(found), [_as_one(several) for several in moving])
        return found | dict(zip(filled, moving, strict=True))

    def _filled(
        self, by_hand: ByHand, there: Sequence[PlacedSitting], moving: Sequence[Moved]
    ) -> list[PlacedSitting]:
        """The sittings that move, each with as much as fits; where they do not fit at all, with one thing each."""
        held = self._one_each(by_hand, there, moving, iter(range(MOST_TRIED)))
        if held is None:
            return [by_hand.holding(one, one.choices[:1]) for one in moving]
        seats = [by_hand.holding(one, [choice]) for one, choice in zip(moving, held, strict=True)]
        for at, (one, first) in enumerate(zip(moving, held, strict=True)):
            others, own = (*there, *seats[:at], *seats[at + 1 :]), [first]
            for choice in one.choices:
                if len(own) == one.most or choice.target in {c.target for c in own}:
                    continue
                more = by_hand.holding(one, [*own, choice])
                if _fits(by_hand, more, others):
                    seats[at] = more
                    own.append(choice)
        return seats

    def _one_each(
        self,
        by_hand: ByHand,
        there: Sequence[PlacedSitting],
        moving: Sequence[Moved],
        tries: Iterator[int],
    ) -> list[Choice] | None:
        """For each sitting that moves the first thing of it with which all fit; None: there is none, or it was not
        found in so many tries."""
        if not moving:
            return []
        for choice in moving[0].choices:
            if next(tries, None) is None:
                self.all_tried = False
                return None
            seat = by_hand.holding(moving[0], [choice])
            if _fits(by_hand, seat, there):
                rest = self._one_each(by_hand, (*there, seat), moving[1:], tries)
                if rest is not None:
                    return [choice, *rest]
        return None


def _fits(by_hand: ByHand, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> bool:
    return next(by_hand.limits_of(seat, others), None) is None


def _not_wished(seat: PlacedSitting, wishes: Iterable[Claim], claims: Iterable[Claim]) -> Iterator[Limit]:
    """Other wishes by which the sitting is not to be. One that moves away leaves its place to another that moves there:
    so two can change places."""
    own = {c.wish for c in wishes}
    moves_here = any(c.kind is WishKind.MOVE for c in own)
    for claim in claims:
        if moves_here and claim.wish.kind is WishKind.MOVE:
            continue
        if claim.gone and claim.wish not in own and claim.gone.is_place_of(seat):
            yield Limit(Kind.NOT_WISHED, adult=seat.adult, learner=seat.learner, figure=seat.day)


def _as_one(several: Sequence[Claim]) -> Moved:
    """Sittings that move to one place are one there."""
    moved = [c.moved for c in several if c.moved]
    choices = dict.fromkeys(choice for one in moved for choice in one.choices)
    return Moved(moved[0].place, tuple(choices), sum(one.most for one in moved))


def _in_one_place(
    by_hand: ByHand, claims: Sequence[Claim]
) -> Iterator[tuple[PlacedSitting, Sequence[Claim]]]:
    """What is held is as it was; else what is added is in it, and nothing else; what was moved there is that sitting.
    An added probe that what is held does not have is a sitting of its own, which clashes with it."""
    held = [c.seat for c in claims if c.seat and c.wish.kind is not WishKind.ADD]
    added = [c for c in claims if c.wish.kind is WishKind.ADD]
    others = [c for c in claims if c.wish.kind is not WishKind.ADD]
    if held:
        within = [c for c in added if c.seat and set(c.seat.probes) <= set(held[0].probes)]
        yield held[0], [*others, *within]
        added, others = [c for c in added if c not in within], []
    if added:
        yield by_hand.together([c.seat for c in added if c.seat]), [*added, *others]
