"""What is due of everybody at once, before anybody's week is planned, where there is not room for all of it.

Of all that may be run so little is due that one problem holds it of many learners. Where they come one after the other,
who is first takes, for what is not due, the only hour in which another could have had what is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from genplan.plan import ObjectiveName
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.opened_up import FIRST, what_matters
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search.best_so_far import BestSoFar, by_learner
from genplan.planning.search.loop import Operator, improved
from genplan.planning.search_settings import SETTINGS

Group = tuple[str, ...]


def searched(best: BestSoFar, workers: Workers, operators: Sequence[Operator]) -> BestSoFar:
    """The week that the operators find. They begin from the sittings for what is due only where not everybody can have
    what it would have alone: else most often each finds it in its own turn, and better placed. Where the turns took
    somebody's only hour for it all the same, they begin once more from there."""
    with workers.clock.step("what is due"):
        due = with_what_is_due(best, workers)
    is_scarce = any(_is_short(due, i) for i in best.load.learners)
    found = improved(due if is_scarce else best, workers, operators)
    if is_scarce or workers.budget.is_over or _of_what_is_due(found) >= _of_what_is_due(due):
        return found
    return max(found, improved(due, workers, operators), key=lambda week: week.worth)


def with_what_is_due(best: BestSoFar, workers: Workers) -> BestSoFar:
    """The week with sittings for what is due, of everybody at once; the very same where nothing is."""
    found = best
    workers.progress(PhaseProgress(Phase.TOGETHER))
    for group in everybody_at_once(best):
        job = _what_is_due(found, group)
        if job and not workers.budget.is_over:
            seats = by_learner(group, workers.answer(run_solve, job).seats)
            found = found.with_seats(seats) if found.has_room_for(group, sum(seats.values(), ())) else found
    return found


def _of_what_is_due(week: BestSoFar) -> tuple[float, ...]:
    """What the week comes to in what goes before all else, in the order of the objectives."""
    return tuple(value for name, value in week.values.items() if name in FIRST)


def everybody_at_once(best: BestSoFar) -> list[Group]:
    """All learners in the order of their turns, in groups that are not too large for one problem."""
    learners, most = tuple(best.wanted), SETTINGS.due_at_once
    return [learners[at : at + most] for at in range(0, len(learners), most)]


def _is_short(best: BestSoFar, learner: str) -> bool:
    alone = best.alone.get(learner)
    if alone is None:
        return False
    return any(o.value > best.own[learner][name] for name in FIRST if (o := alone.objective(name)))


def _what_is_due(best: BestSoFar, group: Group) -> SolveJob | None:
    """None: nothing is due."""
    load = best.load
    problem = load.sparing(group, best.others(group), {})
    needs = tuple(what_matters(load, n) for n in problem.needs)
    if not any(n.choices for n in needs):
        return None
    goals = (name for name in FIRST if name is not ObjectiveName.RATHER or load.rather)
    return SolveJob(
        problem=replace(problem, needs=needs),
        goals=load.ordered(*goals, *load.left_to_others),
        effort=SETTINGS.due_effort,
    )
