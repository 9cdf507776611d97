"""One learner after the other on what the others left, who would lose most without what is scarce first.

Who can still have the seats that it would like best gets them; anybody else is searched for anew, from what still fits
of them or from what it has.
"""

from __future__ import annotations

from dataclasses import replace

from genplan.planning.compatible import keep_what_fits
from genplan.planning.jobs import SolveJob
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS


def everybody(best: BestSoFar) -> list[str]:
    return list(best.wanted)


def give_a_turn(best: BestSoFar, learner: str) -> Move:
    load, wanted, others = best.load, best.wanted[learner], best.others({learner})
    group = (learner,)
    if best.has_room_for(group, wanted):
        return Move(subject=learner, group=group, free=load.free, stay=wanted)
    starts = (keep_what_fits(load.case, wanted, (*load.begun, *others)), best.seats[learner])
    job = SolveJob(
        problem=replace(load.sparing(group, others, {}), proven=best.proven_of(group)),
        goals=load.sparing_objectives,
        start=max(starts, key=lambda own: best.with_seats({learner: own}).worth),
        effort=SETTINGS.turn_effort,
    )
    return Move(subject=learner, group=group, free=load.free, solves=(job,))
