"""Why what was owed is not in a plan, and what would help most: answers found by planning again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain

from genplan.plan import Beside, LeftOut, Plan
from genplan.planning.assemble import seat_of
from genplan.planning.budget import Budget
from genplan.planning.due_beside_wishes import with_wishes_named
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.jobs import Workers
from genplan.planning.opportunity_costs import opportunity_costs, with_cost
from genplan.planning.reasons import (
    Owed,
    answer_key,
    dated_of,
    if_nothing_stands,
    left_out,
    teachings_left_out,
    tuples_left_out,
)
from genplan.planning.relaxations import relaxation_groups
from genplan.planning.search_settings import SETTINGS
from genplan.planning.week_context import WeekContext
from genplan.planning.what_if import Gains, what_if_gains
from genplan.rules.limits import OTHERS_IN_THE_WAY, Kind
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class Why:
    """`left_out` with its reasons, for the learners who were asked for; `unasked` is how many of them might have a
    stronger reason that was not looked for."""

    left_out: tuple[LeftOut, ...]
    unasked: int
    gains: Gains


def why(
    ground: WeekContext, plan: Plan, workers: Workers, learners: tuple[str, ...], *, at_length: bool = True
) -> Why:
    """The reasons for these learners in a plan on this ground, and what would help them most. Of many learners that
    takes minutes `at_length`; else what is left after so many searches is told as not looked at."""
    brief = not at_length and len(learners) >= SETTINGS.many_learners
    seats = tuple(_without_observer(seat_of(ground.case, ground.week, s)) for s in plan.sittings)
    begun = {_without_observer(s) for s in ground.begun_seats}
    ahead = tuple(s for s in seats if s not in begun)
    shortest = any(item.limit.kind is Kind.SHORTEST_WAY for item in plan.left_out)
    clear = if_nothing_stands(plan.objectives, ground.caseload, plan.repeatable, shortest)
    anew = ground.told_anew(ahead)
    needs = tuple(n for n in ground.needs if n.target.learner in learners)
    owed = Owed(
        case=ground.case,
        free=ground.free,
        needs=needs,
        seats=seats,
        begun=tuple(begun & {*seats}),
        clear=clear,
        told_anew=anew,
        rather=ground.caseload.rather,
        dated=dated_of(ground.needs),
    )
    weak = list(_weakly_explained(owed, workers.budget))
    asked = weak[: SETTINGS.brief_asked if brief else SETTINGS.asked_at_most]
    asking = replace(workers, budget=workers.budget.part(SETTINGS.reasons_share))
    prices = opportunity_costs(ground.caseload, asking, ahead, asked)
    answers = {answer_key(item): with_cost(item, cost) for item, cost in zip(asked, prices, strict=True)}
    found = with_wishes_named(ground, asking, ahead, left_out(owed, workers.budget, answers))
    ideas = list(relaxation_groups(ground, learners))
    helpful = what_if_gains(ground.caseload, workers, ahead, ideas, brief=brief)
    return Why(found, len(weak) - sum(cost.asked for cost in prices), helpful)


def _without_observer(seat: PlacedSitting) -> PlacedSitting:
    """An observer's time stands in nothing's way: for a probe more it would be given up."""
    if seat.beside_as is not Beside.OBSERVER:
        return seat
    return replace(seat, beside="", beside_as=Beside.NOBODY)


def _weakly_explained(owed: Owed, budget: Budget) -> Iterator[LeftOut]:
    """Teachings and tuples for which the data give no limit that stands in every way, or one that other sittings
    make."""
    ways = InsertionFinder(owed.case, owed.free, owed.seats)
    before_dated = owed.ways_before_dated()
    told = owed.clear, budget, owed.told_anew
    for need in owed.needs:
        planned = {p.combination for s in owed.seats for p in s.real_probes if p.target == need.id}
        teachings = teachings_left_out(ways, need, owed.ahead, *told)
        for item in chain(teachings, tuples_left_out(ways, need, planned, *told, before_dated=before_dated)):
            # that more people would have to be told is a reason of its own: what it costs weighs no telling; so is a
            # way of fewer probes, which what this week shows does not weigh. Of what is at its last chance, what ranks
            # as high is one, too
            weak = item.limit.kind.rank >= OTHERS_IN_THE_WAY and not item.limit.as_high
            if weak and item.limit.kind not in (Kind.TOLD_ANEW, Kind.SHORTEST_WAY):
                yield item
