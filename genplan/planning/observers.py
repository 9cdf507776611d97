"""Second observers for a share of each learner's probes, in sittings whose times are settled.

No probe is moved for an observer: the sittings are those of the plan, and an adult observes only in time that is left.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from fractions import Fraction
from math import ceil

from genplan.case import Case, Week
from genplan.evidence.agreement import agreement
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Beside, Hindered, Hindrance, ObservedShare, Unwatched
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.jobs import Workers
from genplan.planning.observer_options import (
    ObserverOptions,
    observed_by,
    observer_options,
    obstacle_to,
)
from genplan.planning.openings import Hours
from genplan.planning.told_anew import ToldAnew
from genplan.rules.placed_sittings import PlacedSitting, of_learner

RECENT_WEEKS = 4
"""The weeks before the planned one whose probes count for the share; our choice, no source."""


@dataclass(frozen=True)
class Count:
    """Probes, and how many of them have an observer."""

    probes: int
    observed: int

    def wanted(self, share: Fraction) -> int:
        return ceil(share * self.probes)


def with_observers(
    case: Case,
    week: Week,
    free: Hours,
    log: Log,
    begun: Sequence[PlacedSitting],
    ahead: Sequence[PlacedSitting],
    told: Sequence[PlacedSitting],
    workers: Workers,
    told_anew: ToldAnew | None = None,
) -> tuple[tuple[PlacedSitting, ...], tuple[ObservedShare, ...]]:
    """The seats ahead, some with an observer beside, and how far each learner's share is reached. Nothing changes
    where the policy asks for no observers. `told_anew`: nobody more than these is told for an observer."""
    if not case.policy.observed_share:
        return tuple(ahead), ()
    share = Fraction(str(case.policy.observed_share))
    learners = {i: [t.id for t in case.targets_of(i)] for i in case.learners}
    seats = (*begun, *ahead)
    missing = {i: _lacking(count_of(log, week, seats, ids), share) for i, ids in learners.items()}
    missing_of = {t: _lacking(count_of(log, week, seats, [t]), share) for t in case.targets}
    asked = observer_options(case, free, begun, ahead, told, missing, missing_of, told_anew)
    seated = _seated(ahead, asked, workers.answer(run_observers, asked) if asked.visits else ())
    stopped, everything = workers.budget.is_over, (*begun, *seated)
    counts = {i: count_of(log, week, everything, ids) for i, ids in learners.items()}
    return seated, tuple(
        _share_of(case, free, learner, count, share, seated, everything, stopped, told_anew)
        for learner, count in counts.items()
        if count.probes
    )


def run_observers(asked: ObserverOptions, budget: Budget = ENDLESS) -> tuple[int, ...]:
    """The numbers of the visits to make; the solver is loaded only in here."""
    from genplan.planning.solver.observer_assignment import assign_observers

    return assign_observers(asked, budget)


def count_of(log: Log, week: Week, seats: Iterable[PlacedSitting], targets: Sequence[str]) -> Count:
    """The probes of these targets, by the log of the last weeks and this one, and by the seats as far as no row speaks
    of them yet."""
    first = week.monday - timedelta(weeks=RECENT_WEEKS)
    rows = [r for t in targets for r in log.of_target(t) if first <= r.date <= week.sunday]
    run = agreement(rows)
    planned = [
        s.beside_as is Beside.OBSERVER
        for s in seats
        for p in s.tests
        if p.target in targets and not _is_written_down(rows, week, s, p.target, p.combination)
    ]
    return Count(run.probes + len(planned), run.observed + sum(planned))


def _is_written_down(
    rows: Iterable[Result], week: Week, seat: PlacedSitting, target: str, combination: tuple[str, ...]
) -> bool:
    day = week.days[seat.day]
    return any(
        (r.target, r.combination, r.date) == (target, combination, day)
        for r in rows
        if r.kind is not ResultKind.TEACHING
    )


def _lacking(count: Count, share: Fraction) -> int:
    return max(0, count.wanted(share) - count.observed)


def _seated(
    ahead: Sequence[PlacedSitting], asked: ObserverOptions, numbers: Iterable[int]
) -> tuple[PlacedSitting, ...]:
    beside = {asked.visits[i].seat: asked.visits[i].adult for i in numbers}
    return tuple(replace(s, beside=beside[s], beside_as=Beside.OBSERVER) if s in beside else s for s in ahead)


def _share_of(
    case: Case,
    free: Hours,
    learner: str,
    count: Count,
    share: Fraction,
    ahead: Sequence[PlacedSitting],
    seats: Sequence[PlacedSitting],
    stopped: bool,
    told_anew: ToldAnew | None,
) -> ObservedShare:
    own = of_learner(ahead, learner)
    new = sum(len(s.tests) for s in own if s.beside_as is Beside.OBSERVER)
    found = ObservedShare(
        learner=learner, probes=count.probes, observed=count.observed, new=new, wanted=count.wanted(share)
    )
    if count.observed >= found.wanted:
        return found
    if stopped and any(s.tests for s in own):
        return replace(found, unwatched=Unwatched.STOPPED)
    return _with_why(case, free, found, own, seats, told_anew)


def _with_why(
    case: Case,
    free: Hours,
    share: ObservedShare,
    own: Sequence[PlacedSitting],
    seats: Sequence[PlacedSitting],
    told_anew: ToldAnew | None,
) -> ObservedShare:
    """Why the sittings without an observer have none: what stands against each adult."""
    without = [s for s in own if s.beside_as is not Beside.OBSERVER and s.tests]
    if not without:
        watched = any(s.tests for s in own)
        return replace(share, unwatched=Unwatched.ALL_OBSERVED if watched else Unwatched.NO_SITTING)
    if told_anew and any(_could_be_told(case, free, seat, seats, told_anew) for seat in without):
        return replace(share, unwatched=Unwatched.AS_TOLD)
    found: Counter[Hindered] = Counter()
    for seat in without:
        if seat.beside:
            teaches = seat.beside_as is Beside.TEACHER
            found[Hindered(seat.beside, Hindrance.TEACHER if teaches else Hindrance.COMPANION)] += 1
            continue
        for adult in case.adults.values():
            if (
                adult.id != seat.adult
                and adult.works_with(seat.learner)
                and (why := obstacle_to(case, free, seat, adult.id, seats))
            ):
                found[why] += 1
    unwatched = Unwatched.HINDERED if found else Unwatched.NO_SECOND_ADULT
    return replace(share, unwatched=unwatched, without=len(without), hindered=tuple(found.items()))


def _could_be_told(
    case: Case, free: Hours, seat: PlacedSitting, seats: Sequence[PlacedSitting], told_anew: ToldAnew
) -> bool:
    """Whether somebody could observe, but would have to be told."""
    return not seat.beside and any(
        adult != seat.adult
        and not told_anew.is_left_alone(seat, observed_by(seat, adult))
        and obstacle_to(case, free, seat, adult, seats) is None
        for adult in case.adults
    )
