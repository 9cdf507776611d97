"""What the week of a caseload comes to, objective by objective, and what is proven of it as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, isclose, nan

from genplan.coverage.tally import fewest_at_least
from genplan.plan import COMFORT, FEWEST, Objective, ObjectiveName, StageStatus
from genplan.planning.bottlenecks import Bottlenecks, lagrangian_bound
from genplan.planning.caseload_problem import Caseload
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search_settings import SETTINGS


def objectives_together(best: BestSoFar, workers: Workers, scarcity: Bottlenecks) -> tuple[Objective, ...]:
    """All objectives in their order, each with what is proven of all learners together.

    Alone each stage is bounded given the stages before it, so the sums bound the whole only while every learner is at
    what was proven of it alone in all stages before. After the first that falls short, what the week shows is bounded
    without regard to the stages before, and of comfort only what follows by counting is proven: the bound is endless
    where that is nothing.

    Of comfort the objectives of `alone.ADDING_UP` add up. With r_i the changes, further probes, sittings or probes of
    learner i in a week of all, the whole has sum_i r_i of them; of sittings at least that, since alone the journeys of
    adults who see several learners are not counted. The largest load does not add up, nor what comes after it: a week
    with the same largest load need not have the least load of each learner."""
    load, alone, objectives, at_best = best.load, best.alone, [], True
    proven = best.proven_of(load.learners)
    for name, value in best.values.items():
        summed = proven.get(name, inf)
        if name in COMFORT:
            bound = max(_counted(load, name, value), proven.get(name, -inf) if at_best else -inf)
        elif name is ObjectiveName.SHARES:
            bound = float(any(most > 0 for most in best.most.values()))
        elif at_best and name is ObjectiveName.NEW_TUPLES and value < summed:
            bound = min(summed, lagrangian_bound(load, workers, alone, scarcity))
        else:
            bound = summed if at_best else _bound_by_itself(load, workers, alone, name)
        at_best = at_best and (name is ObjectiveName.SHARES or isclose(value, summed))
        objectives.append(_objective(name, value, bound, reached=_reached(best, name)))
    return tuple(objectives)


def _objective(name: ObjectiveName, value: float, bound: float, *, reached: bool) -> Objective:
    sense = "fewest" if name in FEWEST else "most"
    if not reached:
        return Objective(name=name, sense=sense, value=nan, bound=bound, status=StageStatus.NOT_REACHED)
    status = StageStatus.OPTIMAL if isclose(value, bound, abs_tol=1e-6) else StageStatus.BEST_SO_FAR
    return Objective(name=name, sense=sense, value=value, bound=bound, status=status)


def _reached(best: BestSoFar, name: ObjectiveName) -> bool:
    return name is not ObjectiveName.FURTHER_PROBES or best.further.keys() == best.seats.keys()


def _bound_by_itself(
    load: Caseload, workers: Workers, alone: Mapping[str, Outcome], name: ObjectiveName
) -> float:
    """The most of one objective that the learners could have alone, with no other before it. Of new tuples, and of what
    was told, it is counted: a search was measured to give a bound lower by one to three in a hundred."""
    problems = {i: load.problem((i,), (), {}) for i in load.learners}
    counted = {i: counted_bounds(p)[name] for i, p in problems.items()}
    if name in (ObjectiveName.TOLD, ObjectiveName.NEW_TUPLES):
        return sum(counted.values())
    left = [i for i, o in alone.items() if (found := o.objective(name)) and found.value < counted[i]]
    jobs = [
        SolveJob(problem=problems[i], goals=(name,), start=alone[i].seats, effort=SETTINGS.by_itself_effort)
        for i in left
    ]
    known = sum(counted[i] for i in load.learners if i not in left)
    return known + sum(o.bound(name) for o in workers.answers(run_solve, jobs))


def _counted(load: Caseload, name: ObjectiveName, value: float) -> float:
    """What no week can go below, by counting alone: none below 0, which is told where it is reached."""
    if name is not ObjectiveName.FURTHER_PROBES:
        return 0.0 if value == 0 else -inf
    week_most = load.case.policy.probes_per_target_per_week
    return float(sum(max(0, fewest_at_least(n.open) - week_most) for n in load.needs))
