"""The week as part of the whole: what the smallest designs say of a week, and a week that stays on the shortest way.

The objectives take the best coverage of this week first. With many dimensions that can cost a whole probe later: four
probes show at most 74 of the 84 pairs of seven two-valued dimensions, but no six probes that begin so show all 84,
and six do. So where a week leads off the shortest way, it is planned again from the probes of a smallest design, and
that week is taken if what it shows less this week is under half a probe's worth for each probe that it saves. With
few dimensions a tuple less is felt and a probe saved is one of many: there the week's coverage decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import comb

from genplan.case import Target
from genplan.plan import Beside, Objective, ProbeKind, StageStatus
from genplan.planning.commitments import Seat, of_learners
from genplan.planning.figures import new_tuples
from genplan.planning.hearing import Say, silent
from genplan.planning.needs import TargetNeed
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.solver.design import Design, smallest_design
from genplan.planning.solver.stages import solve
from genplan.planning.thinning import thinned

DESIGN_WORK = 4.0
"""Solver work for one target's smallest design; those of up to 6x5x4x3 values take less."""

MANY_TUPLES = 10
"""Tuples shown by one probe from which on the shortest way is looked for: pairs of five dimensions, triples of five."""

UP_TO_NEW_TUPLES = ("due", "dated", "wished", "shares", "new tuples")

Designs = Mapping[str, Design]


def design_of(need: TargetNeed) -> Design:
    """The smallest design for all that a target has open before the week."""
    return smallest_design(need.columns(), DESIGN_WORK)


def solve_whole(problem: Problem, start: Sequence[Seat], effort: float = 1.0, say: Say = silent) -> Outcome:
    """Solves with all objectives, and once more from the smallest designs where that saves probes in later weeks."""
    designs = {n.id: design_of(n) for n in problem.needs}
    fewest = {i: d.at_least for i, d in designs.items()}
    whole = replace(problem, fewest=fewest)
    thin = replace(whole, needs=tuple(thinned(n, designs[n.id].combinations) for n in whole.needs))
    outcome = solve(thin, start, effort=effort, say=say)
    if thin.needs != whole.needs:
        outcome = _with_honest_bounds(whole, outcome, None)
    return _shorter_way(whole, designs, outcome, say)


def _shorter_way(problem: Problem, designs: Designs, first: Outcome, say: Say) -> Outcome:
    many = [n for n in problem.needs if _shown_by_a_probe(n.target) >= MANY_TUPLES]
    totals = {n.id: _total(n, first.seats) for n in many}
    astray = {n.id: totals[n.id] for n in many if totals[n.id] > len(designs[n.id].combinations)}
    if not astray:
        return first
    needs = tuple(
        n.with_new_among(designs[n.id].combinations) if n.id in astray else n for n in problem.needs
    )
    say("once more, on the shortest way")
    second = solve(replace(problem, needs=needs), first.seats, say=say)
    if not _is_better(problem, astray, first, second):
        return first
    return _with_honest_bounds(problem, second, first)


def _total(need: TargetNeed, seats: Sequence[Seat]) -> int:
    """Probes of new combinations in the seats, and the fewest known that finish the target after them."""
    probes = [
        p.combination for s in seats for p in s.probes if p.target == need.id and p.kind == ProbeKind.NEW
    ]
    further = smallest_design(need.columns(need.open - new_tuples(need, seats)), DESIGN_WORK)
    return len(probes) + len(further.combinations)


def _is_better(problem: Problem, astray: Mapping[str, int], first: Outcome, second: Outcome) -> bool:
    """`astray` holds the whole number of probes by the first outcome, of each target off the shortest way."""
    for name in ("due", "dated", "told", "wished", "shares"):
        if _value(second, name) < _value(first, name):
            return False
    needs = [n for n in problem.needs if n.id in astray]
    saved = sum(astray[n.id] - _total(n, second.seats) for n in needs)
    little = max(_shown_by_a_probe(n.target) for n in needs) / 2
    return saved > 0 and _value(first, "new tuples") - _value(second, "new tuples") < saved * little


def _shown_by_a_probe(target: Target) -> int:
    return comb(len(target.dimensions), target.strength)


def _value(outcome: Outcome, name: str) -> float:
    objective = outcome.objective(name)
    return objective.value if objective else 0.0


def _with_honest_bounds(problem: Problem, outcome: Outcome, first: Outcome | None) -> Outcome:
    """What is proven of all weeks, not only of those with the choices that the search was given: up to the new tuples
    by the first search, or else by counting; further probes by the smallest designs; of the later stages nothing."""
    week_most = problem.case.policy.probes_per_target_per_week
    told = of_learners(problem.told, problem.learners)
    bounds = {
        "told": float(sum(4 + len(s.probes) + (s.beside_as is Beside.COMPANION) for s in told)),
        "further probes": float(sum(max(0, f - week_most) for f in problem.fewest.values())),
    }
    if first:
        bounds |= {o.name: o.bound for o in first.objectives if o.name in UP_TO_NEW_TUPLES}
    else:
        bounds |= _counted_bounds(problem, outcome)
    return replace(
        outcome, objectives=tuple(_bounded(o, bounds.get(o.name, 0.0)) for o in outcome.objectives)
    )


def _counted_bounds(problem: Problem, outcome: Outcome) -> dict[str, float]:
    """Bounds that hold whichever new probes were looked at; what is due does not depend on them."""
    week_most = problem.case.policy.probes_per_target_per_week
    shown = sum(
        problem.case.learners[n.target.learner].weight
        * min(len(n.open), week_most * _shown_by_a_probe(n.target))
        for n in problem.needs
    )
    due, shares = outcome.objective("due"), outcome.objective("shares")
    return {
        "due": due.bound if due else 0.0,
        "dated": float(sum(len(n.dated) for n in problem.needs)),
        "wished": float(sum(len(n.wished) for n in problem.needs)),
        "shares": 1.0 if shares and shares.bound else 0.0,
        "new tuples": shown / 100,
    }


def _bounded(objective: Objective, bound: float) -> Objective:
    proven = abs(objective.value - bound) < 1e-6
    return replace(objective, bound=bound, status=StageStatus.OPTIMAL if proven else StageStatus.BEST_SO_FAR)
