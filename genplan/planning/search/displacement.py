"""A learner who has fewer new tuples than it could gets the week that was found for it alone.

Those who are in its way are planned anew on what is left. They often lose nothing: another adult or another hour does
as well. Those who give way are planned one after the other, each beside the ones before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from genplan.planning.compatible import fits, keep_what_fits
from genplan.planning.jobs import SolveJob
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting
from genplan.rules.wishes import wished_apart


def worst_off(best: BestSoFar) -> Sequence[str]:
    return best.short_of_new


def give_what_is_wanted(best: BestSoFar, learner: str) -> Move | None:
    """What it takes for the learner to have the seats that are wanted. None: too many would have to give way."""
    load, wanted = best.load, best.wanted[learner]
    rivals = _rivals(best, learner, wanted)
    stay: list[PlacedSitting] = [*load.begun, *wanted, *best.others({learner, *rivals})]
    away = []
    for other in rivals:
        if fits(load.case, best.seats[other], stay):
            stay += best.seats[other]
        else:
            away.append(other)
    if len(away) > SETTINGS.give_way_at_most:
        return None
    beside = (*best.others({learner, *away}), *wanted)
    solves = tuple(
        SolveJob(
            problem=replace(load.sparing((i,), beside, {}), proven=best.proven_of((i,))),
            goals=load.sparing_objectives,
            start=keep_what_fits(load.case, best.seats[i], (*load.begun, *beside)),
            effort=SETTINGS.give_way_effort,
        )
        for i in away
    )
    return Move(subject=learner, group=(learner, *away), free=load.free, stay=wanted, solves=solves)


def _rivals(best: BestSoFar, learner: str, wanted: Sequence[PlacedSitting]) -> list[str]:
    """Whose seats share an adult with the wanted ones, on the same day a set, or the place at the same time, or are
    wished apart from them."""
    near = set()
    for seat in best.others({learner}):
        for own in wanted:
            if (
                not set(own.adults).isdisjoint(seat.adults)
                or (own.day == seat.day and not own.material_sets.isdisjoint(seat.material_sets))
                or (own.location == seat.location and own.start < seat.end and seat.start < own.end)
                or wished_apart(best.load.case, own, (seat,))
            ):
                near.add(seat.learner)
    return sorted(near)
