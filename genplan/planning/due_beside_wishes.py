"""Why something that is due is left out: what is not due stands in its way nowhere, but what somebody wishes may.

Wishes of whoever plans the weeks come before what is due. So for each due thing that is left out it is asked whether it
could be run beside all that is due and planned, were one of these wishes not kept; everybody else stays as planned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.case import Combination
from genplan.case.wishes_of_planners import Rather
from genplan.plan import LeftOut, ObjectiveName, ProbeKind
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.figures import is_held
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.needs import TargetNeed
from genplan.planning.problem import Problem
from genplan.planning.reasons import AnswerKey, answer_key
from genplan.planning.reduction import reduced
from genplan.planning.search_settings import SETTINGS
from genplan.planning.week_context import WeekContext
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting, of_learner

ASKED = (ProbeKind.MAINTENANCE, ProbeKind.RETEST)

Due = tuple[str, str, Combination]
"""Target and kind of what is due; of a retest the combination, too."""


@dataclass(frozen=True)
class WithoutWishJob:
    """The week of a learner, and what of all that is due it has to hold, beside the wishes for it that are kept."""

    problem: Problem
    wanted: Mapping[Due, int]

    def reduced(self) -> WithoutWishJob:
        return replace(self, problem=reduced(self.problem))


def run_without_wish(job: WithoutWishJob, budget: Budget = ENDLESS) -> bool:
    """Whether a week was found that holds it all; once the budget is over nothing is looked for."""
    if budget.is_over:
        return False
    problem = job.problem
    goals = (*([ObjectiveName.RATHER] if problem.rather else []), ObjectiveName.DUE)
    seats = run_solve(SolveJob(problem=problem, goals=goals, effort=SETTINGS.inclusion_effort), budget).seats
    return Counter(job.wanted) <= _due_in(seats) and all(is_held(r, seats) for r in problem.rather)


def with_wishes_named(
    ground: WeekContext, workers: Workers, ahead: Sequence[PlacedSitting], left_out: Sequence[LeftOut]
) -> tuple[LeftOut, ...]:
    """The same, what is due and has room but for one wish with that as its reason. `ahead` are the sittings that were
    planned, without those that somebody decided."""
    asked = [
        i for i in left_out if i.kind in ASKED and i.limit.kind.rank and i.limit.kind is not Kind.NO_TIME
    ]
    questions = [
        (item, wish) for item in asked if (kept := [*_kept(ground, item, ahead)]) for wish in (None, *kept)
    ]
    jobs = [_job(ground, ahead, left_out, item, wish) for item, wish in questions]
    found: dict[AnswerKey, Limit] = {}
    for (item, wish), fits in zip(questions, workers.answers(run_without_wish, jobs), strict=True):
        if fits:  # with all wishes kept: then none of them is in the way
            found.setdefault(answer_key(item), wish.limit if wish else item.limit)
    return tuple(replace(i, limit=found.get(answer_key(i), i.limit)) for i in left_out)


@dataclass(frozen=True)
class _Kept:
    """A wish that is kept by a sitting; `rather` is None where somebody decided it."""

    seat: PlacedSitting
    rather: Rather | None

    @property
    def limit(self) -> Limit:
        s = self.seat
        return Limit(Kind.WISHED_BEFORE, learner=s.learner, adult=s.adult, figure=s.day)


def _kept(ground: WeekContext, item: LeftOut, ahead: Sequence[PlacedSitting]) -> Iterator[_Kept]:
    """Each wish that a sitting keeps. Of others than the learner's own the sitting would go and stay away, so one that
    holds something due is not given up."""
    for rather in ground.decided.rather:
        seat = next((s for s in sorted(ahead) if is_held(rather, [s])), None)
        if seat and (seat.learner == item.learner or not _due_in([seat])):
            yield _Kept(seat, rather)
    yield from (_Kept(seat, None) for seat in sorted(ground.decided.seats) if not _due_in([seat]))


def _job(
    ground: WeekContext,
    ahead: Sequence[PlacedSitting],
    left_out: Iterable[LeftOut],
    item: LeftOut,
    wish: _Kept | None,
) -> WithoutWishJob:
    """The learner's week without the wish, or with all of them. What is due and stays left out is not asked for."""
    load, learner = ground.caseload, item.learner
    own = of_learner(ahead, learner)
    others = tuple(s for s in ahead if s.learner != learner and not (wish and s == wish.seat))
    rather = tuple(
        r for r in load.rather if r.learner == learner and not (wish and r == wish.rather) and is_held(r, own)
    )
    begun = tuple(s for s in load.begun if not (wish and wish.rather is None and s == wish.seat))
    problem = replace(load, begun=begun).problem((learner,), others, {})
    more = [i for i in left_out if i.kind in ASKED and i.learner == learner and i != item]
    needs = tuple(_without(n, [i for i in more if i.target == n.id]) for n in problem.needs)
    wanted = _due_in(own)
    wanted[item.target, str(item.kind), _combination(item)] += 1
    return WithoutWishJob(replace(problem, needs=needs, rather=rather), wanted)


def _without(need: TargetNeed, items: Sequence[LeftOut]) -> TargetNeed:
    maintained = any(i.kind is ProbeKind.MAINTENANCE for i in items)
    retests = {_combination(i) for i in items if i.kind is ProbeKind.RETEST}
    choices = tuple(
        c
        for c in need.choices
        if not (c.kind is ProbeKind.MAINTENANCE and maintained)
        and not (c.kind is ProbeKind.RETEST and c.combination in retests)
    )
    return replace(need, choices=choices, maintenance=None if maintained else need.maintenance)


def _combination(item: LeftOut) -> Combination:
    return tuple(value for _, value in item.values) if item.kind is ProbeKind.RETEST else ()


def _due_in(seats: Iterable[PlacedSitting]) -> Counter[Due]:
    return Counter(
        (p.target, str(p.kind), p.combination if p.kind == ProbeKind.RETEST else ())
        for s in seats
        for p in s.probes
        if ProbeKind(p.kind).is_due
    )
