"""What it would cost to show or teach what was left out: the week planned again with it before all else, everybody
else as they are. Where the data alone give no reason that stands in every way, this gives a true one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.language import _
from genplan.plan import COVERAGE, LeftOut, ObjectiveName, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.caseload_problem import Caseload
from genplan.planning.figures import coverage_counts, teaching_value
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.problem import Problem
from genplan.planning.reduction import reduced
from genplan.planning.search_settings import SETTINGS
from genplan.planning.teaching_due import TeachingDue
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting, of_learner

LOSSES = tuple(name for name in COVERAGE if name is not ObjectiveName.SHARES)
UNLOCKED = "unlocked"
"""Beside the objectives: teachings for which a probe waits. They are worth more than others."""


@dataclass(frozen=True)
class InclusionJob:
    """Something that was left out, and the problem of its learner with that asked for.

    - `goals`: in their order, what is asked for first
    - `own`: the learner's sittings in the plan
    - `had`: how much of what is asked for is in them
    - `wanted`: how much of it there is"""

    problem: Problem
    goals: tuple[ObjectiveName, ...]
    own: tuple[PlacedSitting, ...]
    had: int
    wanted: int

    def reduced(self) -> InclusionJob:
        return replace(self, problem=reduced(self.problem))


@dataclass(frozen=True)
class OpportunityCost:
    """`shown`: it can be had at all; None: neither found nor proven impossible. `less` is by how much each objective
    falls short of the plan, in their order; `proven`: by no less in any week with it. `asked`: there was time to look
    for it. `whole`: all of it can be had, not only some of its teachings. `beside`: other learners have sittings, which
    stay: with those planned anew as well it might cost less."""

    shown: bool | None
    less: Mapping[str, int]
    asked: bool = True
    proven: bool = True
    whole: bool = True
    beside: bool = False


def opportunity_costs(
    load: Caseload, workers: Workers, seats: Sequence[PlacedSitting], asked: Sequence[LeftOut]
) -> list[OpportunityCost]:
    """What each new tuple or teaching that was left out would cost, in their order."""
    trades = [_trade(load, seats, item) for item in asked]
    found = []
    for item, cost in zip(asked, workers.answers(run_inclusion, trades), strict=True):
        found.append(replace(cost, beside=any(s.learner != item.learner for s in seats)))
        workers.progress(
            _("asking what stands against it: {found} of {trades}", found=len(found), trades=len(trades))
        )
    return found


def _trade(load: Caseload, seats: Sequence[PlacedSitting], item: LeftOut) -> InclusionJob:
    others = tuple(s for s in seats if s.learner != item.learner)
    own = of_learner(seats, item.learner)
    problem = load.problem((item.learner,), others, {})
    goals = load.objectives(ObjectiveName.ASKED, *LOSSES)
    if item.kind.is_probe:
        problem = replace(problem, asked=frozenset({(item.target, item.values)}))
        return InclusionJob(problem, goals, own, had=0, wanted=1)
    due = _due_of(problem, item)
    problem = replace(problem, asked_teachings=frozenset({(item.target, due.combinations)}))
    held = Counter(p.combination for s in own for p in s.probes if p.target == item.target and not p.is_probe)
    return InclusionJob(problem, goals, own, had=sum(held[c] for c in due.combinations), wanted=due.times)


def _due_of(problem: Problem, item: LeftOut) -> TeachingDue:
    """What is owed of a teaching that was left out: in the one combination that the item names, or in any in which a
    skill is taught that is not mastered yet."""
    alone = tuple(value for _, value in item.values)
    return next(
        due
        for need in problem.needs
        for due in need.teachings
        if need.id == item.target and due.unlocks == bool(alone) and (not alone or alone in due.combinations)
    )


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
    if asked.value <= trade.had:
        return OpportunityCost(False if asked.status is StageStatus.OPTIMAL else None, {})
    proven = all(o.status is StageStatus.OPTIMAL for o in outcome.objectives)
    less = _losses(trade, outcome.seats)
    return OpportunityCost(True, less, proven=proven, whole=asked.value >= trade.wanted)


def _losses(trade: InclusionJob, seats: Sequence[PlacedSitting]) -> dict[str, int]:
    """What the plan has more than these seats, in the order of the objectives. Teachings are compared by what they are
    worth, and told as how many there are, or for how many a probe waits."""
    needs = trade.problem.needs
    before, after = (coverage_counts(needs, some) for some in (trade.own, seats))
    worth, left = (sum(teaching_value(n, some) for n in needs) for some in (trade.own, seats))
    less: dict[str, int] = {}
    for name in (n for n in trade.goals if n in LOSSES):
        fewer = before[name] - after[name]
        if name is not ObjectiveName.TEACHING:
            less[name] = fewer
        elif worth > left:
            less |= {name: fewer, UNLOCKED: worth - left - fewer}
    return less


def with_cost(item: LeftOut, cost: OpportunityCost) -> LeftOut:
    """The item with what was found by planning again as its reason."""
    if cost.shown is None:
        return item
    if not cost.shown:
        return replace(item, limit=Limit(Kind.NO_ROOM))
    for name, lost in cost.less.items():
        if lost > 0:
            known = Kind.WORTH_LESS_BESIDE if cost.beside else Kind.WORTH_LESS
            kind = known if cost.proven else Kind.WORTH_LESS_AS_FOUND
            return replace(item, limit=Limit(kind, goal=name, figure=lost, some=not cost.whole))
    return replace(item, limit=Limit(Kind.AS_GOOD, some=not cost.whole))
