"""The week as part of the whole: what the smallest designs say of a week, and a week that stays on the shortest way.

The objectives take the best coverage of this week first. With many dimensions that can cost a whole probe later: four
probes show at most 74 of the 84 pairs of seven two-valued dimensions, but no six probes that begin so show all 84,
and six do. So where a week leads off the shortest way, it is planned again from the probes of a smallest design, and
that week is taken if what it shows less this week is under half a probe's worth for each probe that it saves. With
few dimensions a tuple less is felt and a probe saved is one of many: there the week's coverage decides.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace

from genplan.case.targets import ADULT, LOCATION
from genplan.plan import COVERAGE, FEWEST, Objective, ObjectiveName, ProbeKind, StageStatus, minutes_of
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.candidate_pruning import pruned
from genplan.planning.figures import new_tuples
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import starts_in
from genplan.planning.outcome import Design, Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Phase, PhaseProgress, Say, no_progress
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver.counting_bounds import shown_by_a_probe, with_counted_bounds
from genplan.planning.solver.design import smallest_design
from genplan.planning.solver.stages import size_of_model, solve
from genplan.rules.placed_sittings import PlacedSitting

Designs = Mapping[str, Design]
Idle = Mapping[ObjectiveName, tuple[int, int]]
"""Of objectives that count what is not in the week what targets out of reach add: as is known, and at the least."""


def design_of(need: TargetNeed, work: float, budget: Budget = ENDLESS) -> Design:
    """The smallest design for all that a target has open before the week."""
    return smallest_design(need.columns(), work, budget)


def solve_design_guided(
    problem: Problem,
    goals: Sequence[ObjectiveName],
    start: Sequence[PlacedSitting],
    effort: float = 1.0,
    say: Say = no_progress,
    budget: Budget = ENDLESS,
    *,
    probes_stay: bool = False,
) -> Outcome:
    """Solves, and once more from the smallest designs where that saves probes in later weeks.

    Targets of which no probe can be run this week are no part of the search; what they come to is counted."""
    needs = tuple(n for n in problem.needs if _can_be_run(problem, n))
    idle = _idle([n for n in problem.needs if n not in needs], budget)
    designs = {n.id: design_of(n, SETTINGS.design_work, budget) for n in needs}
    fewest = {i: d.at_least for i, d in designs.items()}
    whole = replace(problem, needs=needs, fewest=fewest, proven=_proven_without(problem.proven, idle))
    thin = replace(whole, needs=tuple(pruned(n, designs[n.id].combinations) for n in whole.needs))
    outcome = solve(thin, goals, start, effort, say, budget, probes_stay=probes_stay)
    if thin.needs != whole.needs:
        # what is due was all looked at, and comes first
        outcome = with_counted_bounds(whole, outcome, {ObjectiveName.DUE: outcome.bound(ObjectiveName.DUE)})
    if not budget.is_over:
        outcome = _shorter_way(whole, designs, goals, outcome, say, budget)
    return _with_idle(outcome, idle)


def size_of(problem: Problem, goals: Sequence[ObjectiveName]) -> int:
    """How many variables the first of these searches has at the least."""
    needs = tuple(pruned(n, ()) for n in problem.needs if _can_be_run(problem, n))
    return size_of_model(replace(problem, needs=needs), goals)


def _idle(needs: Sequence[TargetNeed], budget: Budget) -> Idle:
    """What these have in any week: the probes of their designs are all left for later, and what they miss is missed."""
    if not needs:
        return {}
    designs = [design_of(n, SETTINGS.figure_work, budget) for n in needs]
    fell, catch_up = sum(len(n.fell_through) for n in needs), sum(len(n.catch_up) for n in needs)
    further = sum(len(d.combinations) for d in designs), sum(d.at_least for d in designs)
    return {
        ObjectiveName.FURTHER_PROBES: further,
        ObjectiveName.FELL_THROUGH: (fell, fell),
        ObjectiveName.CATCH_UP: (catch_up, catch_up),
    }


def _proven_without(proven: Mapping[ObjectiveName, float], idle: Idle) -> Mapping[ObjectiveName, float]:
    """What is proven of the others, where so much is known of targets that are no part of the search."""
    return {name: value - idle.get(name, (0, 0))[0] for name, value in proven.items()}


def _can_be_run(problem: Problem, need: TargetNeed) -> bool:
    """Whether an opening is long enough for a probe of the target with its adult and in its place."""
    policy, target = problem.case.policy, need.target
    meetings = {
        (
            target.value(c.combination, ADULT),
            target.value(c.combination, LOCATION),
            policy.settle_minutes + minutes_of(target, c.kind),
        )
        for c in need.choices
    }
    return any(
        (o.learner, o.adult, o.location) == (target.learner, adult, location)
        and len(starts_in(o, minutes, policy.start_every_minutes)) > 0
        for o in problem.openings
        for adult, location, minutes in meetings
    )


def _with_idle(outcome: Outcome, idle: Idle) -> Outcome:
    """The outcome with what is known of targets out of reach this week."""

    def counted(o: Objective) -> Objective:
        if o.name not in idle:
            return o
        known, at_least = idle[o.name]
        proven = o.status is StageStatus.OPTIMAL and known == at_least
        status = StageStatus.BEST_SO_FAR if o.status is StageStatus.OPTIMAL and not proven else o.status
        return replace(o, value=o.value + known, bound=o.bound + at_least, status=status)

    return replace(outcome, objectives=tuple(map(counted, outcome.objectives)))


def _shorter_way(
    problem: Problem,
    designs: Designs,
    goals: Sequence[ObjectiveName],
    first: Outcome,
    say: Say,
    budget: Budget,
) -> Outcome:
    many = [n for n in problem.needs if shown_by_a_probe(n.target) >= SETTINGS.many_tuples]
    totals = {n.id: _total(n, first.seats, designs[n.id], budget) for n in many}
    astray = {n.id: totals[n.id] for n in many if totals[n.id] > len(designs[n.id].combinations)}
    if not astray:
        return first
    needs = tuple(
        n.with_new_among(designs[n.id].combinations) if n.id in astray else n for n in problem.needs
    )
    say(PhaseProgress(Phase.SHORTEST_WAY))
    second = solve(replace(problem, needs=needs), goals, first.seats, say=say, budget=budget)
    if budget.is_over or not _is_better(problem, designs, astray, first, second):
        return first
    return replace(_after_the_first(problem, second, first), shortest_way=True)


def _total(need: TargetNeed, seats: Sequence[PlacedSitting], before: Design, budget: Budget = ENDLESS) -> int:
    """Probes of new combinations in the seats, and the fewest known that finish the target after them; `before` is the
    smallest design before the week."""
    probes = [
        p.combination for s in seats for p in s.probes if p.target == need.id and p.kind == ProbeKind.NEW
    ]
    shown = new_tuples(need, seats)
    further = (
        smallest_design(need.columns(need.open - shown), SETTINGS.design_work, budget) if shown else before
    )
    return len(probes) + len(further.combinations)


def _is_better(
    problem: Problem, designs: Designs, astray: Mapping[str, int], first: Outcome, second: Outcome
) -> bool:
    """Whether the second week is worth more as part of the whole. `astray` holds the whole number of probes by the
    first outcome, of each target off the shortest way.

    It must be as good in all that comes before new tuples. With s the probes that it saves, and p the most tuples that
    a probe of these targets shows (`shown_by_a_probe`), the new tuples, weighted, that it shows less this week must be
    fewer than s p / 2. A probe saved has room for p tuples at the most; a tuple put off is not lost, so less than that
    is given for it. That it is half is a choice of this program, no source. And it must run as many new probes of these
    targets: room that it leaves empty is no shorter way, and what its designs hold later may never have any."""
    names = [o.name for o in first.objectives]
    for name in (*names[: names.index(ObjectiveName.NEW_TUPLES)], ObjectiveName.TOLD):
        more = _value(second, name) - _value(first, name)
        if more > 0 if name in FEWEST else more < 0:
            return False
    if _new_probes(second, astray) < _new_probes(first, astray):
        return False
    needs = [n for n in problem.needs if n.id in astray]
    saved = sum(astray[n.id] - _total(n, second.seats, designs[n.id]) for n in needs)
    little = max(shown_by_a_probe(n.target) for n in needs) / 2
    lost = _value(first, ObjectiveName.NEW_TUPLES) - _value(second, ObjectiveName.NEW_TUPLES)
    return saved > 0 and lost < saved * little


def _new_probes(outcome: Outcome, targets: Container[str]) -> int:
    return sum(p.target in targets and p.kind == ProbeKind.NEW for s in outcome.seats for p in s.probes)


def _value(outcome: Outcome, name: ObjectiveName) -> float:
    objective = outcome.objective(name)
    return objective.value if objective else 0.0


def _after_the_first(problem: Problem, outcome: Outcome, first: Outcome) -> Outcome:
    """What is proven of all weeks, not only of those with the choices that the second search was given: up to the new
    tuples by the first search, and the rest by counting."""
    names = [o.name for o in first.objectives]
    upto = first.objectives[: names.index(ObjectiveName.NEW_TUPLES) + 1]
    return with_counted_bounds(problem, outcome, {o.name: o.bound for o in upto if o.name in COVERAGE})
