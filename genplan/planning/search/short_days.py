"""One day of a learner who falls short, planned again with those whose sittings are in its way there.

It is a small problem, and what everybody has on other days is sure to stay. So it is tried before whole weeks are.
"""

from __future__ import annotations

from dataclasses import dataclass

from genplan.planning.openings import Opening
from genplan.planning.rivals import rivals
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.bottleneck_days import plan_anew
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class ShortDay:
    """A day of the week (0 is Monday) of a learner who falls short."""

    learner: str
    day: int

    def has(self, thing: PlacedSitting | Opening) -> bool:
        return thing.day == self.day


def days_of_the_short(best: BestSoFar) -> list[ShortDay]:
    openings = best.load.openings
    return [ShortDay(i, day) for i in best.short for day in sorted({o.day for o in openings[i]})]


def make_room(best: BestSoFar, short: ShortDay) -> Move | None:
    """Those with most sittings in the way there take part. None: the learner has the day to itself."""
    others = rivals(best.load, short.learner, best.seats, short.has)[: SETTINGS.day_rivals]
    group = tuple(sorted((short.learner, *others)))
    return plan_anew(best, short, group, short.has, short.has) if others else None
