"""One day of a scarce adult or place, shared out anew.

It goes to those who have some of it now, and to those who have fewer new tuples than they could and can use it. Their
sittings elsewhere and on other days stay. So the problem is small, though many learners are in it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace

from genplan.case.targets import ADULT, LOCATION
from genplan.plan import COVERAGE, ObjectiveName
from genplan.planning.jobs import SolveJob
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Opening
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting

DAY_GOALS = tuple(name for name in COVERAGE if name is not ObjectiveName.SHARES)


@dataclass(frozen=True)
class BottleneckDay:
    """A day of the week (0 is Monday) of what is scarce: the adult or the location, as `kind` says, of this id."""

    kind: str
    id: str
    day: int

    def holds(self, seat: PlacedSitting) -> bool:
        return self.day == seat.day and self._uses(seat)

    def offers(self, opening: Opening) -> bool:
        return self.day == opening.day and self._uses(opening)

    def serves(self, need: TargetNeed) -> bool:
        dimension = ADULT if self.kind == "adult" else LOCATION
        return any(need.target.value(c.combination, dimension) == self.id for c in need.choices)

    def _uses(self, thing: PlacedSitting | Opening) -> bool:
        return self.id == (thing.adult if self.kind == "adult" else thing.location)


def scarce_days(best: BestSoFar) -> list[BottleneckDay]:
    return [BottleneckDay(*named, day) for day in range(7) for named in sorted(best.scarce)]


def share_out(best: BestSoFar, crowd: BottleneckDay) -> Move | None:
    """The day for those who have some of it and for those who miss most. None: nobody misses anything for it."""
    load, seats = best.load, best.seats
    missing = {
        i: (best.most.get(i, 0) - best.own[i]["shown"] + best.owed(i)) * load.case.learners[i].weight
        for i in seats
    }
    served = {n.target.learner for n in load.needs if crowd.serves(n)}
    there = [i for i in sorted(seats) if any(map(crowd.holds, seats[i]))]
    wanting = [
        i
        for i in sorted(served.difference(there), key=lambda i: (-missing[i], i))
        if missing[i] > 0 and any(map(crowd.offers, load.openings[i]))
    ][: SETTINGS.join_at_most]
    if not wanting and not any(missing[i] > 0 for i in there):
        return None
    return plan_anew(best, crowd, tuple(sorted((*there, *wanting))), crowd.holds, crowd.offers)


def plan_anew(
    best: BestSoFar,
    subject: Hashable,
    group: tuple[str, ...],
    is_freed: Callable[[PlacedSitting], bool],
    is_offered: Callable[[Opening], bool],
) -> Move:
    """What the group has of a day, or has room for in it, planned again; its other sittings stay."""
    load, seats = best.load, best.seats
    stay = tuple(s for i in group for s in seats[i] if not is_freed(s))
    own = tuple(s for i in group for s in seats[i] if is_freed(s))
    problem = load.problem(group, (*best.others(group), *stay), {})
    problem = replace(
        problem,
        openings=tuple(filter(is_offered, problem.openings)),
        needs=tuple(n.beside(s for s in stay if s.learner == n.target.learner) for n in problem.needs),
    )
    job = SolveJob(problem=problem, goals=load.objectives(*DAY_GOALS), start=own, effort=SETTINGS.day_effort)
    return Move(subject=subject, group=group, free=load.free, stay=stay, solves=(job,))
