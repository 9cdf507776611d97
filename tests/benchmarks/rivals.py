"""The ways to a week that the benchmark compares: the planner, a careful person's, and one model of the whole caseload.

Each answers the same question: the new tuples of the week, weighted by need, under all rules, with nothing due.
"""

from __future__ import annotations

import heapq
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor
from typing import Any

from genplan.case import Case
from genplan.case.people import NEEDS_SCALE
from genplan.coverage.tuples import Tuple
from genplan.evidence.log import Log
from genplan.planning.budget import ENDLESS
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.openings import openings_of
from genplan.planning.planner import plan_week
from genplan.planning.solver_pool import process_pool
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.rules.placed_sittings import PlacedSitting
from tests.benchmarks.parts import without_dimension_cuts
from tests.fixtures.random_cases import CASELOAD, WEEK, now_of, random_case

CUTS = ("stretches_hold_their_minutes", "days_hold_their_probes")
"""Rules that follow from others: the linear relaxation needs to be told. A third cut is in the coverage."""


@dataclass(frozen=True)
class Found:
    """The weighted new tuples of the week that was found, and what is proven that no week can pass: None where the way
    proves nothing. `proven`: the way itself said that there is no better one."""

    value: float
    bound: float | None
    proven: bool
    sizes: str = ""


def caseload(learners: int, seed: int, **size: float) -> Case:
    """New learners: no maintenance and no wish takes hours from new tuples, so all that is compared is coverage."""
    case = random_case(seed, **{**CASELOAD, "learners": learners, **size})
    targets = {i: replace(t, first=(), maintenance_days=()) for i, t in case.targets.items()}
    return replace(case, targets=targets)


def by_planner(case: Case, seconds: float) -> Found:
    """`genplan plan` as it is: all objectives, reasons and designs too, in as many processes as there are cores."""
    with process_pool() as pool:
        plan = plan_week(case, Log(), WEEK, now_of(case), {}, (), pool, lambda _: None, ENDLESS).plan
    objective = next(o for o in plan.objectives if o.name == "new tuples")
    return Found(objective.value, objective.bound, objective.value == objective.bound)


def by_greed(case: Case, seconds: float) -> Found:
    """One probe after the other, each time the one that shows most for those who need most, in the first way that
    nothing stands in: what a careful person with a list would do."""
    ground = _ground(case)
    choices = {(c.target, c.combination): c for n in ground.needs for c in n.choices if c.shows}
    weight = {n.id: case.learners[n.target.learner].needs for n in ground.needs}
    shown: dict[str, set[Tuple]] = defaultdict(set)

    def gain(target: str, shows: tuple[Tuple, ...]) -> float:
        return weight[target] * len(set(shows) - shown[target])

    # what a probe would show only shrinks, so the first whose place in the queue is still true shows most
    queue = [(-gain(c.target, c.shows), *key) for key, c in choices.items()]
    heapq.heapify(queue)
    known = {i: openings_of(case, ground.free, i) for i in case.learners}
    seats: list[PlacedSitting] = []
    ways = InsertionFinder(case, ground.free, seats, known)
    while queue:
        worth, *key = heapq.heappop(queue)
        choice = choices[key[0], key[1]]
        now = gain(choice.target, choice.shows)
        if now and now < -worth:
            heapq.heappush(queue, (-now, *key))
        if not now or now < -worth:
            continue
        free = ((old, new) for old, new, limits in ways.each(choice) if not limits)
        if found := next(free, None):
            seats = [s for s in seats if s != found[0]] + [found[1]]
            ways = InsertionFinder(case, ground.free, seats, known)
            shown[choice.target].update(choice.shows)
    return Found(sum(weight[t] * len(s) for t, s in shown.items()), None, False, f"{len(seats)} sittings")


def _ground(case: Case) -> WeekContext:
    return week_context_of(case, Log(), WEEK, now_of(case), {}, ())


def one_model(case: Case, cuts: bool) -> Any:
    """All learners' variables and rules in one model, made for new tuples; the empty week is its start. With the cuts
    each day of each learner is solved first, as the planner does."""
    from genplan.planning.solver.covering import link_coverage
    from genplan.planning.solver.daily_capacity import daily_capacities
    from genplan.planning.solver.objectives import new_tuples
    from genplan.planning.solver.rules import RULES
    from genplan.planning.solver.search import nothing_chosen
    from genplan.planning.solver.variables import build_variables

    load = _ground(case).caseload
    problem = load.problem(load.learners, (), {})
    if cuts:
        problem = replace(problem, day_most=daily_capacities(problem))
    v = build_variables(problem)
    if cuts:
        link_coverage(v)
    else:
        with without_dimension_cuts():
            link_coverage(v)
    for rule in RULES:
        if cuts or rule.__name__ not in CUTS:
            rule(v)
    v.model.maximize(new_tuples(v))
    nothing_chosen(v.model)
    return v


def by_cp_sat(case: Case, seconds: float, cuts: bool, own: bool = False) -> Found:
    """One model. With the solver's own settings all cores are used; `own` are the planner's: one worker."""
    from ortools.sat.python import cp_model

    from genplan.planning.solver.search import new_solver

    v = one_model(case, cuts)
    solver = new_solver(float("inf")) if own else cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(v.model)
    answered = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    value = solver.objective_value if answered else 0.0
    bound = floor(solver.best_objective_bound + 1e-6)
    return Found(value / NEEDS_SCALE, bound / NEEDS_SCALE, status == cp_model.OPTIMAL, _sizes(v))


def by_mip(case: Case, seconds: float, cuts: bool) -> Found:
    """The same model, translated for HiGHS. Its answer counts only if CP-SAT finds that it keeps all constraints."""
    from tests.benchmarks.as_mip import as_mip, by_highs

    v = one_model(case, cuts)
    mip = as_mip(v.model.proto)
    found = by_highs(mip, len(v.model.proto.variables), seconds)
    value = value_in(v, found.values) if found.values else 0.0
    sizes = f"{len(mip.low)} columns, {len(mip.rows)} rows"
    return Found(value / NEEDS_SCALE, floor(found.bound + 1e-6) / NEEDS_SCALE, found.proven, sizes)


def value_in(v: Any, values: tuple[int, ...]) -> float:
    """The objective of these values of all variables. Raises ValueError where they break a constraint."""
    from ortools.sat.python import cp_model

    v.model.clear_hints()
    for index, value in enumerate(values):
        v.model.proto.solution_hint.vars.append(index)
        v.model.proto.solution_hint.values.append(value)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.fix_variables_to_their_hinted_value = True
    if solver.solve(v.model) != cp_model.OPTIMAL:
        raise ValueError("the other solver's answer breaks a rule")
    return float(solver.objective_value)


def _sizes(v: Any) -> str:
    proto = v.model.proto
    return f"{len(proto.variables)} variables, {len(proto.constraints)} constraints"


@dataclass(frozen=True)
class Way:
    """`up_to` is how many learners it is tried with if nobody says otherwise."""

    words: str
    run: Callable[[Case, float], Found]
    up_to: int


WAYS = {
    "planner": Way("the planner", by_planner, 300),
    "greedy": Way("one probe at a time", by_greed, 300),
    "cp-sat-plain": Way("one CP-SAT model, no cuts", lambda c, s: by_cp_sat(c, s, False), 60),
    "cp-sat-cuts": Way("one CP-SAT model, cuts", lambda c, s: by_cp_sat(c, s, True), 60),
    "cp-sat-own": Way("one CP-SAT model, cuts, 1 worker", lambda c, s: by_cp_sat(c, s, True, True), 60),
    "highs-plain": Way("one HiGHS model, no cuts", lambda c, s: by_mip(c, s, False), 60),
    "highs-cuts": Way("one HiGHS model, cuts", lambda c, s: by_mip(c, s, True), 60),
}


def run(way: str, case: Case, seconds: float) -> tuple[Found, float]:
    """What a way finds in a case, and the seconds that it took. A single model may search for `seconds`."""
    began = time.perf_counter()
    found = WAYS[way].run(case, seconds)
    return found, time.perf_counter() - began
