"""Whom a change might help: nearly all of many small changes help nobody, and that need not be proven one by one.

A week that is possible with one change is possible with several at once. So where a learner's week with all of them is
proven to show no more than the planned one, beside the same seats of the others, none of them helps that learner.
Where a better week is found, the changes are halved, and each half is asked of again: group testing (R. Dorfman, The
Annals of Mathematical Statistics 14 (1943), 436-440, from memory). Where neither is so, that is done once: a change
with which no better week was found counts as tried, not as one that cannot help.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import chain, repeat
from math import inf

from genplan.language import _
from genplan.plan import COVERAGE, ObjectiveName
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.caseload_problem import Caseload
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.figures import values_in
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.relaxation import Relaxation, RelaxationKind
from genplan.planning.relaxed_hours import with_all
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting, of_learner

GAINED = tuple(name for name in COVERAGE if name is not ObjectiveName.SHARES)
OFTEN = (
    RelaxationKind.LEARNER_HOURS,
    RelaxationKind.TARGET_DAY,
    RelaxationKind.LEARNER_LIMIT,
    RelaxationKind.BRIEFING,
    RelaxationKind.TEACHES,
)
"""These help so often that to ask of several would be one search more; and a briefing changes what is owed, as does who
may teach."""


class Hope(Enum):
    """Of several changes at once: it is proven that the learner's week shows no more with them; neither that nor a
    better week was found; a better week was found."""

    NONE = 0
    OPEN = 1
    BETTER = 2


@dataclass(frozen=True)
class HopeJob:
    """A learner, `load` with several changes at once, and what is planned without them."""

    learner: str
    load: Caseload
    seats: tuple[PlacedSitting, ...]


def who_might_gain(
    load: Caseload,
    workers: Workers,
    seats: tuple[PlacedSitting, ...],
    lifts: Sequence[Relaxation],
    at_most: float = inf,
) -> list[Relaxation]:
    """Each change with those learners for whom it is to be tried by itself, beside these seats: after so many searches
    every one of which it is not known that it brings nothing."""
    hopes: dict[int, set[str]] = defaultdict(set)
    asking, enough = list(_questions(lifts)), Hope.NONE
    while asking:
        jobs = [
            HopeJob(learner, _with_several(load, [lifts[n] for n in several]), seats)
            for learner, several in asking
            if len(several) > 1
        ]
        asked = jobs[: int(min(at_most, len(jobs)))]
        at_most -= len(asked)
        answers = chain(workers.answers(run_hope, asked), repeat(Hope.BETTER))
        further: list[tuple[str, tuple[int, ...]]] = []
        for learner, several in asking:
            if len(several) == 1:
                hopes[several[0]].add(learner)  # to try it is the same search
            elif next(answers).value > enough.value:
                half = len(several) // 2
                further += [(learner, several[:half]), (learner, several[half:])]
        asking, enough = further, Hope.OPEN
        workers.progress(
            _("changes that might help: {values} tries so far", values=sum(map(len, hopes.values())))
        )
    return [
        replace(lift, learners=tuple(i for i in lift.learners if i in hopes[n]))
        for n, lift in enumerate(lifts)
    ]


def _questions(lifts: Sequence[Relaxation]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """What is asked of each learner first: changes of its own one by one, all others together."""
    for learner in sorted({i for lift in lifts for i in lift.learners}):
        touching = [n for n, lift in enumerate(lifts) if learner in lift.learners]
        own = [n for n in touching if lifts[n].easing.kind in OFTEN]
        yield from ((learner, (n,)) for n in own)
        if others := tuple(n for n in touching if n not in own):
            yield learner, others


def _with_several(load: Caseload, lifts: Sequence[Relaxation]) -> Caseload:
    case, free = with_all(load.case, load.free, lifts)
    return replace(load, case=case, free=free)


def with_change(load: Caseload, lift: Relaxation) -> Caseload:
    changed = {n.id: n for n in lift.needs}
    needs = tuple(changed.get(n.id, n) for n in load.needs)
    return replace(load, case=lift.case, free=lift.free, needs=needs)


def gain_job(
    load: Caseload,
    learner: str,
    others: tuple[PlacedSitting, ...],
    own: tuple[PlacedSitting, ...],
    effort: float = SETTINGS.gain_effort,
) -> SolveJob:
    """The learner's week anew beside the others' seats, for what it shows."""
    return SolveJob(
        problem=load.problem((learner,), others, {}),
        goals=load.objectives(*GAINED),
        start=own,
        effort=effort,
    )


def shows_all(job: SolveJob) -> bool:
    """Whether what it starts from shows all that any week could, by counting alone."""
    shown, most = values_in(job.problem, job.start), counted_bounds(job.problem)
    return all(shown[name] >= most[name] for name in GAINED)


def run_hope(job: HopeJob, budget: Budget = ENDLESS) -> Hope:
    others = tuple(s for s in job.seats if s.learner != job.learner)
    own = of_learner(job.seats, job.learner)
    solve = gain_job(job.load, job.learner, others, own, SETTINGS.hope_effort)
    if shows_all(solve):
        return Hope.NONE
    if budget.is_over:
        return Hope.BETTER  # so that each is tried, and told as untried
    before, outcome = values_in(solve.problem, own), run_solve(solve, budget)
    upto = max(i for i, o in enumerate(outcome.objectives) if o.name in GAINED) + 1
    found, bounds = values_in(solve.problem, outcome.seats), outcome.objectives[:upto]
    if [found[o.name] for o in bounds] > [before[o.name] for o in bounds]:
        return Hope.BETTER
    # the planned week holds with the changes too, so in the first objective that is not the same it can only be more
    return Hope.OPEN if any(o.bound > before[o.name] + 1e-6 for o in bounds) else Hope.NONE
