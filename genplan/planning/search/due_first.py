"""What is due of everybody at once, before anybody's week is planned.

Of all that may be run so little is due that one problem holds it of many learners. Where they come one after the other,
who is first takes, for what is not due, the only hour in which another could have had what is.
"""

from __future__ import annotations

from dataclasses import replace

from genplan.plan import ObjectiveName
from genplan.planning.jobs import SolveJob
from genplan.planning.opened_up import FIRST, what_matters
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.moves import Move
from genplan.planning.search_settings import SETTINGS

Group = tuple[str, ...]


def everybody_at_once(best: BestSoFar) -> list[Group]:
    """All learners in the order of their turns, in groups that are not too large for one problem."""
    learners, most = tuple(best.wanted), SETTINGS.due_at_once
    return [learners[at : at + most] for at in range(0, len(learners), most)]


def what_is_due(best: BestSoFar, group: Group) -> Move | None:
    """None: nothing is due."""
    load = best.load
    problem = load.sparing(group, best.others(group), {})
    needs = tuple(what_matters(load, n) for n in problem.needs)
    if not any(n.choices for n in needs):
        return None
    goals = (name for name in FIRST if name is not ObjectiveName.RATHER or load.rather)
    job = SolveJob(
        problem=replace(problem, needs=needs),
        goals=load.ordered(*goals, *load.left_to_others),
        start=tuple(s for i in group for s in best.seats[i]),
        effort=SETTINGS.due_effort,
    )
    return Move(subject=group, group=group, free=load.free, solves=(job,))
