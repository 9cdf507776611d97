"""Which limits stand in the ways of running something, and which of them is told: the strongest that stands in every
way; where none does, the most frequent ones."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from genplan.case import Target
from genplan.planning.insertion_finder import Alike, InsertionFinder
from genplan.planning.needs import Choice
from genplan.planning.why_no_hours import no_common_hours
from genplan.rules.limits import LESS_URGENT, Kind, Limit

Blocks = dict[Alike, "Block"]


@dataclass(frozen=True)
class Block:
    """The limits in the ways of one choice, up to the first way in which nothing stands; none where people and place
    never meet."""

    ways: tuple[frozenset[Limit], ...]

    @property
    def clear(self) -> bool:
        return bool(self.ways) and not self.ways[-1]

    @cached_property
    def every(self) -> frozenset[Limit]:
        """Those that stand in every way."""
        return frozenset.intersection(*self.ways) if self.ways else frozenset()

    @cached_property
    def often(self) -> Counter[Limit]:
        """In how many ways each stands."""
        return Counter(chain.from_iterable(self.ways))


def block_of(ways: InsertionFinder, choice: Choice) -> Block:
    found: list[frozenset[Limit]] = []
    for limits in ways.of(choice):
        found.append(limits)
        if not limits:
            break
    return Block(tuple(found))


def reason_for(
    ways: InsertionFinder, target: Target, choices: Sequence[Choice], blocks: Blocks | None = None
) -> Limit:
    """The strongest limit that stands in every way of running one of these; where none does, the most frequent ones.
    `blocks` holds what was found of choices before, and of others like them."""
    known: Blocks = {} if blocks is None else blocks
    own = []
    for choice in choices:
        alike = ways.alike(choice)
        block = known[alike] if alike in known else known.setdefault(alike, block_of(ways, choice))
        if block.clear:
            return LESS_URGENT
        own.append(block)
    met = [b for b in own if b.ways]
    if not met:
        return no_common_hours(ways.case, ways.free, target, choices)
    return strongest(met)


def strongest(met: Sequence[Block]) -> Limit:
    if every := frozenset.intersection(*(b.every for b in met)):
        return min(every, key=lambda limit: limit.order)
    often = Counter[Limit]()
    for block in met:
        often.update(block.often)
    parts = sorted(often, key=lambda limit: (-often[limit], limit.order))
    return Limit(Kind.SEVERAL, parts=tuple(parts[:2]))


def least_in_the_way(ways: Iterable[frozenset[Limit]]) -> dict[frozenset[Limit], int]:
    """What stands in the ways in which no more stands than in some other, with in how many of all ways just that
    does: a limit beside another that is enough by itself keeps nothing out."""
    found = Counter(ways)
    return {one: n for one, n in found.items() if not any(other < one for other in found)}


def enough_to_be_gone(least: dict[frozenset[Limit], int]) -> Limit:
    """The reason that is true of it alone: the limit that stands by itself in the least of every way, so that without
    it there would be one. Where different ways have different ones, the most frequent; where none stands by itself,
    those that stand together."""
    alone = Counter({next(iter(one)): n for one, n in least.items() if len(one) == 1})
    if not alone:
        fewest = min(least, key=lambda one: (len(one), -least[one], sorted(limit.order for limit in one)))
        return Limit(Kind.SEVERAL, parts=_by_order(fewest), some=True)
    if len(least) == 1:
        return next(iter(alone))
    often = Counter[Limit]()
    for one, n in least.items():
        often.update(dict.fromkeys(one, n))
    parts = sorted(often, key=lambda limit: (limit not in alone, -often[limit], limit.order))
    return Limit(Kind.SEVERAL, parts=tuple(parts[:2]))


def _by_order(limits: Iterable[Limit]) -> tuple[Limit, ...]:
    return tuple(sorted(limits, key=lambda limit: limit.order))
