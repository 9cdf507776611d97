"""A week of which people were told, planned anew so that as few of them as possible have to be told something.

Who has to be told in any case are the people of sittings that cannot be held any more (`still_possible.py`); all other
sittings stay. Where something that is due so has no place, just that is opened up (`opened_up.py`). What was lost is
then won back in sittings of people who are told something anyway: nobody else is planned at all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isclose, isnan, nan

from genplan.case.second_adults import Beside
from genplan.plan import COMFORT, COVERAGE, FEWEST, Objective, ObjectiveName, StageStatus
from genplan.planning.alone import most_tuples
from genplan.planning.caseload import plan_as_one
from genplan.planning.caseload_problem import Caseload, Seats, Settled, all_seats
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.figures import new_tuples
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.observer_options import obstacle_to
from genplan.planning.opened_up import OpenedUp, opened_up
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.recount import largest_load, values_of
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import WON_BACK
from genplan.planning.search_settings import SETTINGS
from genplan.planning.still_possible import held_together
from genplan.planning.told_anew import as_told_before
from genplan.rules.placed_sittings import PlacedSitting, of_learner, of_learners


def plan_anew(load: Caseload, workers: Workers) -> Outcome:
    """The week of all learners with the fewest people told, then the fewest sittings otherwise."""
    searching = replace(workers, budget=workers.budget.keeping(SETTINGS.kept_share, SETTINGS.kept_seconds))
    workers.progress(PhaseProgress(Phase.SEARCHING))
    with workers.clock.step("what stays as told"):
        stay, all_stay = held_together(load)
        opened = opened_up(load, searching, stay, all_stay=all_stay)
    if not opened.only and not searching.budget.is_over and (found := plan_as_one(load, workers)):
        return replace(found, seats=with_observers_told(load, found.seats))
    with workers.clock.step("won back"):
        settled = _settled(load, opened)
        back = _won_back(settled, searching, opened.seats)
    with workers.clock.step("what is left for later"):
        return _whole(load, settled, opened, back, searching)


def _settled(load: Caseload, opened: OpenedUp) -> Caseload:
    """The caseload of those who are told something, beside what stays as it is."""
    learners = {i for kind, i in opened.anew.people if kind == "learner"}
    needs = tuple(n for n in load.needs if n.target.learner in learners)
    held = of_learners(opened.anew.stays, learners)
    others = tuple(s for s in opened.anew.stays if s.learner not in learners)
    settled = Settled(
        held=held,
        others=others,
        adults=frozenset(i for kind, i in opened.anew.people if kind == "adult"),
        can_give=load.can_give,
        load_at_least=largest_load(load, others),
    )
    return replace(load, needs=needs, settled=settled)


@dataclass(frozen=True)
class _Back:
    """What was won back: the seats of those who are planned, what is known of each objective of theirs, and the most
    new tuples that each could have without the others."""

    seats: Seats
    objectives: Mapping[ObjectiveName, Objective]
    most: Mapping[str, int]
    outcomes: tuple[Outcome, ...]


def _won_back(load: Caseload, workers: Workers, begin: Seats) -> _Back:
    """All together where that is one problem, else one after the other."""
    if not load.learners or workers.budget.is_over:
        return _Back({i: begin[i] for i in load.learners}, {}, dict.fromkeys(load.learners, 0), ())
    goals = load.objectives(*COVERAGE, *COMFORT)
    if len(load.learners) == 1:
        (learner,) = load.learners
        found = workers.answer(run_solve, _job(load, (), {}, begin, goals))
        return _Back(
            {learner: found.seats}, _named(found), {learner: most_tuples(load, learner, found)}, (found,)
        )
    jobs = [_job(load, (i,), {}, begin, load.objectives(*COVERAGE)) for i in load.learners]
    alone = dict(zip(load.learners, workers.answers(run_solve, jobs), strict=True))
    most = {i: most_tuples(load, i, o) for i, o in alone.items()}
    if sum(o.variables for o in alone.values()) <= SETTINGS.won_back_variables:
        found = workers.answer(run_solve, _job(load, (), most, begin, goals))
        return _Back({i: of_learner(found.seats, i) for i in load.learners}, _named(found), most, (found,))
    best = BestSoFar(load=load, most=most, alone=alone, seats={})
    best = best.with_seats({i: begin[i] for i in load.learners})
    best = improved(best, workers, WON_BACK)
    return _Back(best.seats, _summed(alone, best), most, tuple(alone.values()))


def _job(
    load: Caseload,
    group: tuple[str, ...],
    most: Mapping[str, int],
    begin: Seats,
    goals: tuple[ObjectiveName, ...],
) -> SolveJob:
    learners = group or load.learners
    start = tuple(s for i in learners for s in begin[i])
    return SolveJob(problem=load.problem(learners, (), most), goals=goals, start=start)


def _named(outcome: Outcome) -> dict[ObjectiveName, Objective]:
    return {o.name: o for o in outcome.objectives}


def _summed(alone: Mapping[str, Outcome], best: BestSoFar) -> dict[ObjectiveName, Objective]:
    """What is known of a week that was searched one learner after the other: no more than each could have alone, as
    long as everybody has that."""
    found: dict[ObjectiveName, Objective] = {}
    counted = _counted(best.load)
    at_best = True
    for name, value in best.values.items():
        bound = counted.get(name, inf if name not in FEWEST else -inf)
        if name is ObjectiveName.SHARES:
            bound = 1.0
        elif at_best and all(o.objective(name) for o in alone.values()):
            bound = sum(o.bound(name) for o in alone.values())
        at_best = at_best and isclose(value, bound, abs_tol=1e-6)
        sense = "fewest" if name in FEWEST else "most"
        reached = name is not ObjectiveName.FURTHER_PROBES or best.further.keys() == best.seats.keys()
        status = StageStatus.BEST_SO_FAR if reached else StageStatus.NOT_REACHED
        value = value if reached else nan
        found[name] = Objective(name=name, sense=sense, value=value, bound=bound, status=status)
    return found


def _counted(load: Caseload) -> Mapping[str, float]:
    """What no week of these learners can pass, by counting alone."""
    bare = Problem(
        case=load.case,
        week=load.week,
        learners=load.learners,
        needs=load.needs,
        openings=(),
        taken=load.begun,
        rather=load.rather,
    )
    return counted_bounds(replace(bare, told=load.told, lost=load.lost, told_anyway=load.told_anyway))


def _whole(load: Caseload, settled: Caseload, opened: OpenedUp, back: _Back, workers: Workers) -> Outcome:
    """Everybody's week, and what is proven of it."""
    others = settled.settled.others if settled.settled else ()
    seats = with_observers_told(load, (*others, *all_seats(back.seats)))
    alone = dict(back.most)
    alone |= {i: _shown(load, i, others) for i in load.learners if i not in alone}
    further = _further(load, settled, others, workers)
    repeatable = all(o.repeatable for o in back.outcomes) and not workers.budget.is_over
    objectives = _of_all(load, opened, back, values_of(load, seats, alone), further)
    return Outcome(
        seats=tuple(sorted(seats)),
        objectives=objectives if repeatable else tuple(map(_stopped, objectives)),
        variables=sum(o.variables for o in back.outcomes),
        constraints=sum(o.constraints for o in back.outcomes),
        repeatable=repeatable,
        alone=alone if len(load.learners) > 1 else {},
    )


def _of_all(
    load: Caseload,
    opened: OpenedUp,
    back: _Back,
    values: Mapping[str, float],
    further: tuple[int, int] | None,
) -> tuple[Objective, ...]:
    """Each objective in its order. Of what comes after people and sittings only what can be counted is proven, but
    where no other choice of these is as good."""
    first = {
        **opened.most,
        ObjectiveName.PEOPLE: opened.fewest,
        ObjectiveName.OTHERWISE: len(load.lost),
        ObjectiveName.SHARES: float(any(back.most.values()) or values[ObjectiveName.SHARES] > 0),
    }
    counted, found = _counted(load), []
    for name in load.objectives_of_all(*COVERAGE, *COMFORT):
        value = values.get(name, nan)
        if name is ObjectiveName.FURTHER_PROBES:
            value = _of_others_too(back, further)
        known = [first[name]] if name in first else [counted[name]] if name in counted else []
        if name in COMFORT and value == 0:
            known.append(0.0)
        if opened.only and (proven := _proven(back, name, value, further)) is not None:
            known.append(proven)
        tightest, nothing = (max, -inf) if name in FEWEST else (min, inf)
        found.append(_objective(name, value, tightest(known, default=nothing)))
    return tuple(found)


def _of_others_too(back: _Back, further: tuple[int, int] | None) -> float:
    """The further probes of all, where somebody looked for them."""
    own = back.objectives.get(ObjectiveName.FURTHER_PROBES)
    if further is None or (back.seats and own is None):
        return nan
    return further[0] + (own.value if own else 0)


def _proven(back: _Back, name: ObjectiveName, value: float, further: tuple[int, int] | None) -> float | None:
    """What the search for those who are planned proves of all: nothing of the others can be otherwise. So what adds up
    over learners is theirs and what those others come to, and where nobody is planned there is no other week."""
    own = back.objectives.get(name)
    if name is ObjectiveName.FURTHER_PROBES:
        least = own.bound if own else None if back.seats else 0.0
        return None if further is None or least is None else further[1] + least
    if not back.seats:
        return value
    if own is None or (name is ObjectiveName.SHARES and len(back.seats) < 2):
        return None
    return own.bound if name in (ObjectiveName.SHARES, ObjectiveName.LOADS) else own.bound + value - own.value


def _objective(name: ObjectiveName, value: float, bound: float) -> Objective:
    status = StageStatus.OPTIMAL if isclose(value, bound, abs_tol=1e-6) else StageStatus.BEST_SO_FAR
    sense = "fewest" if name in FEWEST else "most"
    return Objective(
        name=name,
        sense=sense,
        value=value,
        bound=bound,
        status=StageStatus.NOT_REACHED if isnan(value) else status,
    )


def _stopped(objective: Objective) -> Objective:
    ended = objective.status is StageStatus.BEST_SO_FAR
    return replace(objective, status=StageStatus.STOPPED) if ended else objective


def _shown(load: Caseload, learner: str, seats: Sequence[PlacedSitting]) -> int:
    return sum(len(new_tuples(n, seats)) for n in load.needs if n.target.learner == learner)


def _further(
    load: Caseload, settled: Caseload, others: Sequence[PlacedSitting], workers: Workers
) -> tuple[int, int] | None:
    """The further probes of all who are not planned: the fewest that are known, and that are proven."""
    if workers.budget.is_over:
        return None
    planned = {n.target.learner for n in settled.needs}
    left = [n for n in load.needs if n.target.learner not in planned]
    columns = [n.columns(n.open - new_tuples(n, others)) for n in left]
    designs = workers.designs(left, columns)
    return sum(len(d.combinations) for d in designs), sum(d.at_least for d in designs)


def with_observers_told(load: Caseload, seats: Sequence[PlacedSitting]) -> tuple[PlacedSitting, ...]:
    """The seats, and beside those that stay the observers whom people were told of, as far as they can be there."""
    found = list(seats)
    for at, seat in enumerate(as_told_before(load.told, seats)):
        others = (*load.begun, *found[:at], *found[at + 1 :])
        bare = found[at]
        if seat.beside_as is not Beside.OBSERVER or not obstacle_to(
            load.case, load.free, bare, seat.beside, others
        ):
            found[at] = seat
    return tuple(found)
