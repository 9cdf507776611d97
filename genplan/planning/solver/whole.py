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

from genplan.case import Combination, Target
from genplan.plan import Objective, ProbeKind, StageStatus
from genplan.planning.commitments import Seat
from genplan.planning.figures import new_tuples
from genplan.planning.needs import TargetNeed
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.solver.design import Design, smallest_design
from genplan.planning.solver.stages import solve
from genplan.planning.thinning import thinned

DESIGN_WORK = 4.0
"""Solver work for one target's smallest design; the published ones up to 6x5x4x3 values take less."""

MANY_TUPLES = 10
"""Tuples shown by one probe from which on the shortest way is looked for: pairs of five dimensions, triples of five."""

Designs = Mapping[str, Design]


def design_of(need: TargetNeed) -> Design:
    """The smallest design for all that a target has open before the week."""
    return smallest_design([(c.combination, c.shows) for c in need.of_kind(ProbeKind.NEW)], DESIGN_WORK)


def solve_whole(problem: Problem, start: Sequence[Seat], effort: float = 1.0) -> Outcome:
    """Solves with all objectives, and once more from the smallest designs where that saves probes in later weeks."""
    designs = {n.id: design_of(n) for n in problem.needs}
    fewest = {i: d.at_least for i, d in designs.items()}
    whole = replace(problem, fewest=fewest)
    thin = replace(whole, needs=tuple(thinned(n, designs[n.id].combinations) for n in whole.needs))
    outcome = solve(thin, start, effort=effort)
    if thin.needs != whole.needs:
        outcome = _with_honest_bounds(whole, outcome, None)
    return _shorter_way(whole, designs, outcome)


def _shorter_way(problem: Problem, designs: Designs, first: Outcome) -> Outcome:
    many = [n for n in problem.needs if _shown_by_a_probe(n.target) >= MANY_TUPLES]
    astray = {n.id for n in many if _total(n, first.seats) > len(designs[n.id].combinations)}
    if not astray:
        return first
    needs = tuple(_only(n, designs[n.id].combinations) if n.id in astray else n for n in problem.needs)
    second = solve(replace(problem, needs=needs), first.seats)
    if not _is_better(problem, astray, first, second):
        return first
    return _with_honest_bounds(problem, second, first)


def _total(need: TargetNeed, seats: Sequence[Seat]) -> int:
    """Probes of new combinations in the seats, and the fewest known that finish the target after them."""
    probes = [
        p.combination for s in seats for p in s.probes if p.target == need.id and p.kind == ProbeKind.NEW
    ]
    left = need.open - new_tuples(need, seats)
    columns = [
        (c.combination, shows)
        for c in need.of_kind(ProbeKind.NEW)
        if (shows := tuple(t for t in c.shows if t in left))
    ]
    return len(probes) + len(smallest_design(columns, DESIGN_WORK).combinations)


def _only(need: TargetNeed, combinations: Sequence[Combination]) -> TargetNeed:
    """The same need, with the new probes of one design alone."""
    wanted = set(combinations)
    return replace(
        need, choices=tuple(c for c in need.choices if c.kind is not ProbeKind.NEW or c.combination in wanted)
    )


def _is_better(problem: Problem, astray: set[str], first: Outcome, second: Outcome) -> bool:
    for name in ("due", "dated", "wished", "shares"):
        if _value(second, name) < _value(first, name):
            return False
    needs = [n for n in problem.needs if n.id in astray]
    saved = sum(_total(n, first.seats) - _total(n, second.seats) for n in needs)
    little = max(_shown_by_a_probe(n.target) for n in needs) / 2
    return saved > 0 and _value(first, "new tuples") - _value(second, "new tuples") < saved * little


def _shown_by_a_probe(target: Target) -> int:
    return comb(len(target.dimensions), target.strength)


def _value(outcome: Outcome, name: str) -> float:
    objective = outcome.objective(name)
    return objective.value if objective else 0.0


def _with_honest_bounds(problem: Problem, outcome: Outcome, first: Outcome | None) -> Outcome:
    """What is proven of all weeks, not only of those with the choices that the search was given: new tuples by the
    first search or by the count of probes, further probes by the smallest designs; of the later stages nothing."""
    week_most = problem.case.policy.probes_per_target_per_week
    shown = sum(
        problem.case.learners[n.target.learner].needs
        * min(len(n.open), week_most * _shown_by_a_probe(n.target))
        for n in problem.needs
    )
    before = first.objective("new tuples") if first else None
    bounds = {
        "new tuples": before.bound if before else shown,
        "further probes": float(sum(max(0, f - week_most) for f in problem.fewest.values())),
    }
    settled = ("due", "dated", "wished", "shares")
    objectives = tuple(
        o if o.name in settled else _bounded(o, bounds.get(o.name, 0.0)) for o in outcome.objectives
    )
    return replace(outcome, objectives=objectives)


def _bounded(objective: Objective, bound: float) -> Objective:
    proven = abs(objective.value - bound) < 1e-6
    return replace(objective, bound=bound, status=StageStatus.OPTIMAL if proven else StageStatus.BEST_SO_FAR)
