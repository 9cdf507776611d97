"""The plan of a caseload: one problem where it is small, else a search from the week that each would have alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import nan

from genplan.case.targets import ADULT, LOCATION
from genplan.plan import AS_TOLD, COMFORT, COVERAGE, Objective, StageStatus
from genplan.planning.alone import most_tuples, plan_alone, proven_of, size_alone, with_comfort
from genplan.planning.bottlenecks import bottlenecks_in, by_loss
from genplan.planning.caseload_problem import Caseload, Seats, all_seats
from genplan.planning.compatible import keep_what_fits
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.figures import new_tuples, values_in
from genplan.planning.jobs import SolveJob, Workers, run_design, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.probe_insertion import best_inserted
from genplan.planning.problem import Problem
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.proven_together import objectives_together
from genplan.planning.search.best_so_far import BestSoFar, by_learner
from genplan.planning.search.due_first import searched
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import OPERATORS
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class _Apart:
    """The caseload with what is proven of its days; each learner's week as if there were no other; the most new tuples
    that each could have so; whether comfort was looked for, too."""

    load: Caseload
    alone: Mapping[str, Outcome]
    most: Mapping[str, int]
    comfort: bool


def plan_caseload(load: Caseload, workers: Workers) -> Outcome:
    """The week of all learners. One, or a few small ones, are one problem; a large caseload is searched with the
    operators. Where the clock ends the search, what it left lying is inserted."""
    searching = _searching(workers)
    if len(load.learners) < 2:
        return _of_one(load, workers, searching)
    apart = _apart(load, searching, comfort=_looks_small(load))
    return _together(apart, workers, searching) or _by_operators(apart, workers, searching)


def plan_as_one(load: Caseload, workers: Workers) -> Outcome | None:
    """The same as one problem; None where it is too large for that, or there is no time left."""
    searching = _searching(workers)
    if len(load.learners) < 2:
        return _of_one(load, workers, searching)
    most = SETTINGS.joint_variables
    small = _looks_small(load) and size_alone(load, searching, most) <= most
    return _together(_apart(load, searching), workers, searching) if small else None


def _searching(workers: Workers) -> Workers:
    return replace(workers, budget=workers.budget.keeping(SETTINGS.kept_share, SETTINGS.kept_seconds))


def _of_one(load: Caseload, workers: Workers, searching: Workers) -> Outcome:
    workers.progress(PhaseProgress(Phase.SEARCHING))
    return _as_one(load, workers, searching, replace(_whole_job(load, {}), by_days=True), {})


def _apart(load: Caseload, searching: Workers, *, comfort: bool = True) -> _Apart:
    with searching.clock.step("alone"):
        alone = plan_alone(load, searching, comfort=comfort)
    load = replace(load, day_most={key: most for o in alone.values() for key, most in o.day_most.items()})
    return _Apart(load, alone, {i: most_tuples(load, i, o) for i, o in alone.items()}, comfort)


def _together(apart: _Apart, workers: Workers, searching: Workers) -> Outcome | None:
    load, alone = apart.load, apart.alone
    if sum(o.variables for o in alone.values()) > SETTINGS.joint_variables or searching.budget.is_over:
        return None
    workers.progress(PhaseProgress(Phase.TOGETHER))
    job = _whole_job(load, apart.most)
    start = all_seats(_what_fits(load, {}, {i: o.seats for i, o in alone.items()}))
    proven = proven_of(list(alone.values()), len(alone))
    job = replace(job, problem=replace(job.problem, proven=proven), start=start)
    return _as_one(load, workers, searching, job, alone)


def _looks_small(load: Caseload) -> bool:
    """Whether it may be one problem: by about how many variables it has, before any is built."""
    choices = Counter(
        (n.target.learner, n.target.value(c.combination, ADULT), n.target.value(c.combination, LOCATION))
        for n in load.needs
        for c in n.choices
    )
    openings = [o for own in load.openings.values() for o in own]
    about = sum(n for o in openings if (n := choices[o.learner, o.adult, o.location]))
    return about <= SETTINGS.joint_variables


def _whole_job(load: Caseload, alone: Mapping[str, int]) -> SolveJob:
    problem, goals = load.problem(load.learners, (), alone), load.objectives_of_all(*COVERAGE, *COMFORT)
    return SolveJob(problem=problem, goals=goals, as_part=True, aloud=True)


def _as_one(
    load: Caseload, workers: Workers, searching: Workers, job: SolveJob, alone: Mapping[str, Outcome]
) -> Outcome:
    """One problem solved. A search that ended before a proof may have left room: what fits there is inserted, and the
    search goes on from that while there is time."""
    with workers.clock.step("all together"):
        found = searching.answer(run_solve, job)
    if found.shows_the_most or found.shortest_way:
        return found
    starts: list[Seats] = [by_learner(load.learners, found.seats)]
    if searching.budget.is_over:
        starts += [_what_fits(load, {}, {i: o.seats for i, o in alone.items()}), workers.at_the_least]
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
        fewest = value <= o.value if o.name in AS_TOLD else True
        conditional = conditional and (value >= o.value if o.sense == "most" else fewest)
    return replace(found, seats=seats, objectives=tuple(objectives), repeatable=False)


def _by_operators(apart: _Apart, everybody: Workers, workers: Workers) -> Outcome:
    load, alone, most = apart.load, apart.alone, apart.most
    with workers.clock.step("what is scarce"):
        scarcity = bottlenecks_in(load, workers, alone)
    wanted = by_loss(load, alone, scarcity)
    best = BestSoFar(load=load, most=most, alone=alone, wanted=wanted, scarce=tuple(sorted(scarcity.room)))
    best = best.with_seats(dict.fromkeys(load.learners, ()))
    best = searched(best, workers, [o for o in OPERATORS if not o.comfort])
    starts = [best.seats]
    if workers.budget.is_over:
        starts += [_what_fits(load, best.seats, wanted), everybody.at_the_least]
    with workers.clock.step("inserting"):
        workers.progress(PhaseProgress(Phase.INSERTING))
        best = best.with_seats(best_inserted(load, everybody, starts, most))
    if not apart.comfort and best.shows_the_most and not workers.budget.is_over:
        # only then does what is proven of the comfort of each add up
        with workers.clock.step("alone once more"):
            best = replace(best, alone=with_comfort(load, workers, alone, best.seats))
    best = improved(best, workers, [o for o in OPERATORS if o.comfort])
    with workers.clock.step("what is left for later"):
        best = _with_designs(best, workers)
    with workers.clock.step("what is proven"):
        objectives = objectives_together(best, workers, scarcity)
    # a search is cut short by the budget alone
    repeatable = all(o.repeatable for o in alone.values()) and not workers.budget.is_over
    if not repeatable:
        objectives = tuple(map(_stopped, objectives))
    return Outcome(
        seats=tuple(sorted(all_seats(best.seats))),
        objectives=objectives,
        seconds={},
        variables=sum(o.variables for o in alone.values()),
        constraints=sum(o.constraints for o in alone.values()),
        repeatable=repeatable,
        alone=most,
    )


def _with_designs(best: BestSoFar, workers: Workers) -> BestSoFar:
    """The further probes of learners for whom no search looked for them, while there is time: a design each target."""
    missing = best.seats.keys() - best.further.keys()
    left = [n for n in best.load.needs if n.target.learner in missing]
    if workers.budget.is_over:
        return best
    columns = [n.columns(n.open - new_tuples(n, best.seats[n.target.learner])) for n in left]
    further = dict.fromkeys((n.target.learner for n in left), 0.0)
    for need, design in zip(left, workers.answers(run_design, columns), strict=True):
        further[need.target.learner] += len(design.combinations)
    return best.with_seats({}, further)


def _what_fits(load: Caseload, seats: Seats, wanted: Seats) -> Seats:
    """The seats, and for who has none what can still be had of those that are wanted."""
    found = dict(seats)
    for learner, own in wanted.items():
        if not found.get(learner):
            found[learner] = keep_what_fits(load.case, own, (*load.begun, *all_seats(found)))
    return found


def _stopped(objective: Objective) -> Objective:
    """What ran out of work in a search that the clock ended might have gone on."""
    if objective.status is not StageStatus.BEST_SO_FAR:
        return objective
    return replace(objective, status=StageStatus.STOPPED)
