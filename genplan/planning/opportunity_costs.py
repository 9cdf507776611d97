"""What it would cost to show what was left out: the week planned again with it before all else, everybody else as they
are. Where the data alone give no reason that stands in every way, this gives a true one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.coverage.tuples import Tuple
from genplan.plan import COVERAGE, LeftOut, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.caseload_problem import Caseload
from genplan.planning.figures import coverage_counts
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.problem import Problem
from genplan.planning.reduction import reduced
from genplan.planning.search_settings import SETTINGS
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting, of_learner

LOSSES = tuple(name for name in COVERAGE if name is not ObjectiveName.SHARES)


@dataclass(frozen=True)
class InclusionJob:
    """A tuple that was left out, and the problem of its learner with the tuple asked for."""

    problem: Problem
    goals: tuple[ObjectiveName, ...]
    own: tuple[PlacedSitting, ...]

    def reduced(self) -> InclusionJob:
        return replace(self, problem=reduced(self.problem))


@dataclass(frozen=True)
class OpportunityCost:
    """`shown`: it can be shown at all; None: neither shown nor proven impossible. `less` is by how much each objective
    falls short of the plan, in their order; `proven`: by no less in any week with it. `asked`: there was time to look
    for it."""

    shown: bool | None
    less: Mapping[ObjectiveName, int]
    asked: bool = True
    proven: bool = True


def opportunity_costs(
    load: Caseload, workers: Workers, seats: Sequence[PlacedSitting], asked: Sequence[tuple[LeftOut, Tuple]]
) -> list[OpportunityCost]:
    """What each left-out tuple would cost, in their order."""
    trades, goals = [], load.objectives(ObjectiveName.ASKED, *LOSSES)
    for item, tuple_ in asked:
        others = tuple(s for s in seats if s.learner != item.learner)
        problem = load.problem((item.learner,), others, {})
        problem = replace(problem, asked=frozenset({(item.target, tuple_)}))
        trades.append(InclusionJob(problem, goals, of_learner(seats, item.learner)))
    found = []
    for cost in workers.answers(run_inclusion, trades):
        found.append(cost)
        workers.progress(f"asking what stands against it: {len(found)} of {len(trades)}")
    return found


def run_inclusion(trade: InclusionJob, budget: Budget = ENDLESS) -> OpportunityCost:
    problem = trade.problem
    if budget.is_over:
        return OpportunityCost(None, {}, asked=False)
    outcome = run_solve(
        SolveJob(problem=problem, goals=trade.goals, start=trade.own, effort=SETTINGS.inclusion_effort),
        budget,
    )
    asked = outcome.objective(ObjectiveName.ASKED)
    assert asked is not None
    if not asked.value:
        return OpportunityCost(False if asked.status is StageStatus.OPTIMAL else None, {})
    before, after = (coverage_counts(problem.needs, own) for own in (trade.own, outcome.seats))
    proven = all(o.status is StageStatus.OPTIMAL for o in outcome.objectives)
    return OpportunityCost(True, {name: before[name] - after[name] for name in LOSSES}, proven=proven)


def with_cost(item: LeftOut, cost: OpportunityCost) -> LeftOut:
    """The item with what was found by planning again as its reason."""
    if cost.shown is None:
        return item
    if not cost.shown:
        return replace(item, limit=Limit(Kind.NO_ROOM))
    for name, lost in cost.less.items():
        if lost > 0:
            kind = Kind.WORTH_LESS if cost.proven else Kind.WORTH_LESS_AS_FOUND
            return replace(item, limit=Limit(kind, goal=name, figure=lost))
    return replace(item, limit=Limit(Kind.AS_GOOD))
