"""The plan of a caseload: alone, in turn, in groups, finished; and what is proven of the whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isnan, nan

from genplan.case.people import NEEDS_SCALE
from genplan.coverage.tally import fewest_at_least
from genplan.plan import COMFORT, COVERAGE, Objective, ObjectiveName, StageStatus
from genplan.planning.bottleneck_days import reallocate_days
from genplan.planning.bottlenecks import Bottlenecks, bottlenecks_in, by_loss, lagrangian_bound
from genplan.planning.competitor_groups import Seats, improve_groups
from genplan.planning.construction import Caseload, all_seats, construct_in_turn, finish, plan_alone
from genplan.planning.displacement import displace
from genplan.planning.figures import (
    counted_bounds,
    coverage_values,
    sittings_and_journeys,
    told_value,
    values_in,
)
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.probe_insertion import best_inserted
from genplan.planning.problem import Problem
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting, of_learner


def plan_caseload(load: Caseload, workers: Workers) -> Outcome:
    """The week of all learners. One, or a few small ones, are one problem; a large caseload is taken in turns. Where
    the clock ends the search, what it left lying is inserted."""
    searching = replace(workers, budget=workers.budget.keeping(SETTINGS.kept_share, SETTINGS.kept_seconds))
    if len(load.learners) < 2:
        workers.progress(PhaseProgress(Phase.SEARCHING))
        job = _whole_job(load, {}, by_days=True)
        return _as_one(load, workers, searching, job, {})
    alone = plan_alone(load, searching)
    load = replace(load, day_most={key: most for o in alone.values() for key, most in o.day_most.items()})
    most = {i: _most_tuples(load, i, o) for i, o in alone.items()}
    if sum(o.variables for o in alone.values()) <= SETTINGS.joint_variables and not searching.budget.is_over:
        workers.progress(PhaseProgress(Phase.TOGETHER))
        return _as_one(load, workers, searching, _whole_job(load, most, by_days=False), alone)
    return _in_turns(load, workers, searching, alone, most)


def _whole_job(load: Caseload, alone: Mapping[str, int], *, by_days: bool) -> SolveJob:
    problem, goals = load.problem(load.learners, (), alone), load.objectives(*COVERAGE, *COMFORT)
    return SolveJob(problem=problem, goals=goals, as_part=True, by_days=by_days, aloud=True)


def _as_one(
    load: Caseload, workers: Workers, searching: Workers, job: SolveJob, alone: Mapping[str, Outcome]
) -> Outcome:
    """One problem solved. A search that ended before a proof may have left room: what fits there is inserted, and the
    search goes on from that while there is time."""
    found = searching.answer(run_solve, job)
    if found.shows_the_most or found.shortest_way:
        return found
    starts = [_by_learner(load, found.seats)]
    if searching.budget.is_over:
        kept = construct_in_turn(load, searching, {i: o.seats for i, o in alone.items()}) if alone else {}
        starts += [kept, dict(workers.at_the_least)]
    seats = best_inserted(load, workers, starts, job.problem.alone)
    if seats == starts[0]:
        return found
    if not searching.budget.is_over:
        problem = replace(job.problem, day_most=found.day_most)
        return searching.answer(
            run_solve, replace(job, problem=problem, start=all_seats(seats), by_days=False)
        )
    return _counted_anew(job.problem, found, tuple(sorted(all_seats(seats))))


def _counted_anew(problem: Problem, found: Outcome, seats: tuple[PlacedSitting, ...]) -> Outcome:
    """The outcome with other seats, which are no worse up to the new tuples. What cannot be counted on them was not
    looked at; what comes after an objective that is worse now is bounded by counting."""
    values, counted, objectives, conditional = values_in(problem, seats), counted_bounds(problem), [], True
    for o in found.objectives:
        bound = o.bound if conditional else counted.get(o.name, 0.0)
        if o.name not in values:
            objectives.append(replace(o, value=nan, bound=bound, status=StageStatus.NOT_REACHED))
            continue
        value = values[o.name]
        status = StageStatus.OPTIMAL if value == bound else StageStatus.STOPPED
        objectives.append(replace(o, value=value, bound=bound, status=status))
        conditional = conditional and (value >= o.value if o.sense == "most" else True)
    return replace(found, seats=seats, objectives=tuple(objectives), repeatable=False)


def _by_learner(load: Caseload, seats: Sequence[PlacedSitting]) -> dict[str, tuple[PlacedSitting, ...]]:
    return {i: of_learner(seats, i) for i in load.learners}


def _most_tuples(load: Caseload, learner: str, alone: Outcome) -> int:
    """The most new tuples that were proven possible for a learner alone, counted once each: in whole numbers, since 17
    tuples at 1.2 each are 16.999 by division."""
    return round(NEEDS_SCALE * alone.bound(ObjectiveName.NEW_TUPLES)) // load.case.learners[learner].weight


def _in_turns(
    load: Caseload,
    everybody: Workers,
    workers: Workers,
    alone: Mapping[str, Outcome],
    most: Mapping[str, int],
) -> Outcome:
    scarcity = bottlenecks_in(load, workers, alone)
    seats: Seats = construct_in_turn(load, workers, by_loss(load, alone, scarcity))
    workers.found(all_seats(seats), sum(most.values()))
    seats = displace(load, workers, seats, alone, most)
    workers.found(all_seats(seats), sum(most.values()))
    seats = reallocate_days(load, workers, seats, most, scarcity.room)
    workers.found(all_seats(seats), sum(most.values()))
    seats = improve_groups(load, workers, seats, most)
    workers.found(all_seats(seats), sum(most.values()))
    starts: list[Seats] = [seats] if not workers.budget.is_over else [seats, everybody.at_the_least]
    seats = best_inserted(load, everybody, starts, most)
    finished = finish(load, workers, seats, most)
    everything = tuple(sorted(s for o in finished.values() for s in o.seats))
    coverage = _coverage(load, workers, everything, alone, most, scarcity)
    objectives = (*coverage, *_comfort(load, everything, finished))
    seconds: dict[str, float] = {}
    repeatable = all(o.repeatable for o in (*alone.values(), *finished.values()))
    if not repeatable or workers.budget.is_over:
        objectives = tuple(map(_stopped, objectives))
    for outcome in (*alone.values(), *finished.values()):
        for name, taken in outcome.seconds.items():
            seconds[name] = seconds.get(name, 0.0) + taken
    outcomes = finished.values()
    return Outcome(
        seats=everything,
        objectives=objectives,
        seconds=seconds,
        variables=sum(o.variables for o in outcomes),
        constraints=sum(o.constraints for o in outcomes),
        repeatable=repeatable and not workers.budget.is_over,
        alone=most,
    )


def _stopped(objective: Objective) -> Objective:
    """What ran out of work in a search that the clock ended might have gone on."""
    if objective.status is not StageStatus.BEST_SO_FAR:
        return objective
    return replace(objective, status=StageStatus.STOPPED)


def _coverage(
    load: Caseload,
    workers: Workers,
    seats: tuple[PlacedSitting, ...],
    alone: Mapping[str, Outcome],
    most: Mapping[str, int],
    scarcity: Bottlenecks,
) -> tuple[Objective, ...]:
    """The coverage objectives with the sum of what each learner could reach alone as their bound; new tuples with what
    is proven of all together, where that is less.

    Alone each stage is bounded given the stages before it, so the sums bound the whole only while it is as good in
    all stages before. After the first that falls short the new tuples are bounded without regard to the others."""
    values = coverage_values(load.case, load.week, load.needs, seats, most)
    objectives, conditional = [], True
    for name in COVERAGE:
        if name is ObjectiveName.WISHED and load.week_begun:
            # what people were told comes before what can wait in a week that has begun, alone and together
            told = sum(o.bound(ObjectiveName.TOLD) for o in alone.values())
            conditional = conditional and told_value(load.told, seats, load.learners) >= told
        shape = next(o.objective(name) for o in alone.values())
        assert shape is not None
        value = values[name]
        if name is ObjectiveName.SHARES:
            bound = 1.0 if any(most.values()) else 0.0
        elif conditional:
            bound = sum(o.bound(name) for o in alone.values())
            if name is ObjectiveName.NEW_TUPLES and value < bound:
                bound = min(bound, lagrangian_bound(load, workers, alone, scarcity))
            conditional = abs(value - bound) < 1e-6
        else:
            bound = _bound_by_itself(load, workers, name)
        status = StageStatus.OPTIMAL if abs(value - bound) < 1e-6 else StageStatus.BEST_SO_FAR
        objectives.append(Objective(name=name, sense=shape.sense, value=value, bound=bound, status=status))
    return tuple(objectives)


def _bound_by_itself(load: Caseload, workers: Workers, name: ObjectiveName) -> float:
    """The most of one objective that the learners could have alone, with no other before it."""
    jobs = [SolveJob(problem=load.problem((i,), (), {}), goals=(name,)) for i in load.learners]
    return sum(o.bound(name) for o in workers.answers(run_solve, jobs))


def _comfort(
    load: Caseload, seats: tuple[PlacedSitting, ...], finished: Mapping[str, Outcome]
) -> tuple[Objective, ...]:
    """The later objectives. They are the best for each learner with the others as they are; of the whole week only
    what follows from single targets is proven."""
    shapes = next(iter(finished.values())).objectives
    names = [o.name for o in shapes if o.name not in (*COVERAGE, ObjectiveName.TOLD)]
    week_most = load.case.policy.probes_per_target_per_week
    counted = {
        ObjectiveName.SITTINGS: float(sittings_and_journeys(seats)),
        ObjectiveName.PROBES: float(sum(len(s.probes) for s in seats)),
    }
    further = float(sum(max(0, fewest_at_least(n.open) - week_most) for n in load.needs))
    objectives = []
    for name in names:
        found = [objective for o in finished.values() if (objective := o.objective(name))]
        together = max if name is ObjectiveName.LOADS else sum
        value = counted.get(name, float(together([o.value for o in found])))
        if isnan(value) or (name not in counted and any(o.status is StageStatus.NOT_REACHED for o in found)):
            objectives.append(
                Objective(
                    name=name,
                    sense=found[0].sense,
                    value=nan,
                    bound=0.0,
                    status=StageStatus.NOT_REACHED,
                )
            )
            continue
        bound = min(value, further if name is ObjectiveName.FURTHER_PROBES else 0.0)
        status = StageStatus.OPTIMAL if value == bound else StageStatus.BEST_SO_FAR
        objectives.append(Objective(name=name, sense=found[0].sense, value=value, bound=bound, status=status))
    return tuple(objectives)
