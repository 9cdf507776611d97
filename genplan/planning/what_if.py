"""What a small change would bring: the week planned again with it, everything else as it is.

The learners whom a change could help are solved one after the other beside all other seats as they are, so a gain is
one that can be had; more than that may be, if everybody were planned anew. A change that is made of parts is tried as a
whole first, and its parts only if the whole helps, for those whom it helps.

Most changes help nobody, and that is proven for many at once (`hopes.py`): what brings a learner nothing together with
others brings nothing by itself.

A week that people were told of tells as few as possible, and the tries do not. So what the same tries find without any
change is looked for first, and the changes are tried beside that (`without_change`). And a better week that could be
held without the change was found by chance and is no gain of it, whoever searched less.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from math import inf

from genplan.case.windows import Window
from genplan.language import _
from genplan.plan import ObjectiveName
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.caseload_problem import Caseload
from genplan.planning.figures import coverage_counts
from genplan.planning.hopes import GAINED, gain_job, shows_all, who_might_gain, with_change
from genplan.planning.jobs import Workers, run_solve
from genplan.planning.relaxation import Easing, Relaxation, RelaxationGroup, RelaxationKind
from genplan.planning.search_settings import SETTINGS
from genplan.planning.still_possible import could_be_held
from genplan.rules.placed_sittings import PlacedSitting, of_learner

MOST_OFTEN = (RelaxationKind.LEARNER_LIMIT, RelaxationKind.LEARNER_HOURS, RelaxationKind.TARGET_DAY)
"""These help most often, the first of them more often than the others."""


@dataclass(frozen=True, kw_only=True)
class More:
    """What a week shows more, by objective, in the order of the objectives, and of whom."""

    more: tuple[int, ...]
    learners: tuple[str, ...]

    def of(self, objective: str) -> int:
        return self.more[GAINED.index(objective)]


@dataclass(frozen=True, kw_only=True)
class Gain(More):
    """A change, the `piece` of the week if it is of one, and what the week would show more with it."""

    easing: Easing
    piece: Window | None


NOTHING_MORE = More(more=(0,) * len(GAINED), learners=())


@dataclass(frozen=True)
class Gains:
    """The changes that help, the best first; `tried` of `all_changes` were planned with. `anyway`: what could be had
    without any, for more people told."""

    found: tuple[Gain, ...]
    tried: int
    all_changes: int
    anyway: More = NOTHING_MORE


@dataclass(frozen=True)
class WhatIfJob:
    """A change in the light of a week: `load` is the caseload with it, `before` without, `seats` the week."""

    lift: Relaxation
    load: Caseload
    before: Caseload
    seats: tuple[PlacedSitting, ...]


@dataclass(frozen=True)
class AnywayJob:
    """A week that people were told of, and the learners who are planned anew without any change."""

    load: Caseload
    learners: tuple[str, ...]
    seats: tuple[PlacedSitting, ...]


def what_if_gains(
    load: Caseload,
    workers: Workers,
    seats: Sequence[PlacedSitting],
    ideas: Sequence[RelaxationGroup],
    *,
    brief: bool = False,
) -> Gains:
    """Every idea tried as a whole, then the parts of those that help. `brief`: what helps most often comes first, and
    what takes more searches than `SETTINGS` says is left untried."""

    def by_gain(helped: tuple[Gain, RelaxationGroup]) -> tuple[object, ...]:
        gain, _idea = helped
        return _best_first(gain)

    planned, anyway = tuple(seats), NOTHING_MORE
    if load.fewest_told:
        touched = tuple(sorted({i for idea in ideas for i in idea.together.learners}))
        workers.progress(_("what could be had without any change"))
        base = workers.answer(without_change, AnywayJob(load, touched, planned))
        planned, anyway = base, _more(load, touched, planned, base)
    hopes, tries = (SETTINGS.brief_hopes, SETTINGS.brief_tries) if brief else (inf, inf)
    if brief:
        ideas = sorted(ideas, key=lambda idea: _how_often(idea.together.easing.kind))
    hopeful = who_might_gain(load, workers, planned, [i.together for i in ideas], hopes)
    together = _tried(load, workers, planned, hopeful, _("changes"), tries)
    helps = [(gain, idea) for gain, idea in zip(together, ideas, strict=True) if gain and _helps(gain)]
    helps.sort(key=by_gain)
    found = [gain for gain, idea in helps if len(idea.parts) == 1]
    parts = [_for_those(part, gain) for gain, idea in helps if len(idea.parts) > 1 for part in idea.parts]
    most = len(parts) if inf == tries else SETTINGS.brief_hopes
    one_by_one = _tried(load, workers, planned, parts[: SETTINGS.parts_at_most], _("parts of them"), most)
    found += [gain for gain in one_by_one if gain]
    # a stable order: parts stay in the order of time
    best = sorted((g for g in found if _helps(g)), key=_best_first)
    whole = sum(len(idea.parts) for idea in ideas)
    untried = sum(len(idea.parts) for gain, idea in zip(together, ideas, strict=True) if gain is None)
    untried += one_by_one.count(None) + max(0, len(parts) - SETTINGS.parts_at_most)
    return Gains(tuple(best), whole - untried, whole, anyway)


def _how_often(kind: RelaxationKind) -> int:
    return MOST_OFTEN.index(kind) if kind in MOST_OFTEN else len(MOST_OFTEN)


def _for_those(part: Relaxation, whole: Gain) -> Relaxation:
    """The part for those whom the whole helps; it helps no others."""
    return replace(part, learners=tuple(i for i in part.learners if i in whole.learners))


def _helps(gain: Gain) -> bool:
    """Nobody is asked for anything so that one thing is taught in place of another."""
    return any(gain.of(name) > 0 for name in GAINED if name is not ObjectiveName.WAITED)


def _best_first(gain: Gain) -> tuple[object, ...]:
    return tuple(-m for m in gain.more), gain.easing.order


def _tried(
    load: Caseload,
    workers: Workers,
    seats: tuple[PlacedSitting, ...],
    lifts: Sequence[Relaxation],
    what: str,
    at_most: float,
) -> list[Gain | None]:
    """What each of them brings, in their order; None: it was not tried, since there was no time, or the ones before it
    took `at_most` searches."""
    searches = accumulate(len(lift.learners) for lift in lifts)
    tried = [not lift.learners or n <= at_most for lift, n in zip(lifts, searches, strict=True)]
    trials = [
        WhatIfJob(lift, with_change(load, lift), load, seats)
        for lift, is_tried in zip(lifts, tried, strict=True)
        if is_tried
    ]
    answers = workers.answers(run_what_if, trials)
    found: list[Gain | None] = []
    for is_tried in tried:
        found.append(next(answers) if is_tried else None)
        workers.progress(
            _("trying {what}: {found} of {trials}", what=what, found=len(found), trials=len(trials))
        )
    return found


def without_change(job: AnywayJob, budget: Budget = ENDLESS) -> tuple[PlacedSitting, ...]:
    """The week that the tries would find without any change, until none of them finds more."""
    seats, before = job.seats, None
    while seats != before:
        before = seats
        found = _in_turn(job.load, job.learners, seats, budget)
        if found is None:
            break
        seats = found
    return seats


def run_what_if(trial: WhatIfJob, budget: Budget = ENDLESS) -> Gain | None:
    """The week with a change, those whom it could help solved in turn; None: the budget was over before that."""

    def by_the_change(own: Sequence[PlacedSitting], others: Sequence[PlacedSitting]) -> bool:
        return not could_be_held(trial.before, own, others)

    learners = trial.lift.learners
    seats = _in_turn(trial.load, learners, trial.seats, budget, by_the_change)
    if seats is None:
        return None
    more = _more(trial.load, learners, trial.seats, seats)
    return Gain(easing=trial.lift.easing, piece=trial.lift.piece, more=more.more, learners=more.learners)


def _in_turn(
    load: Caseload,
    learners: Iterable[str],
    seats: tuple[PlacedSitting, ...],
    budget: Budget,
    counts: Callable[[Sequence[PlacedSitting], Sequence[PlacedSitting]], bool] = lambda _own, _others: True,
) -> tuple[PlacedSitting, ...] | None:
    """The week after each of these had its turn beside the others, with what is better and `counts`."""
    for learner in learners:
        others = tuple(s for s in seats if s.learner != learner)
        own = of_learner(seats, learner)
        if budget.is_over:
            return None
        job = gain_job(load, learner, others, own)
        if shows_all(job):
            continue
        better = run_solve(job, budget).seats
        if _ranked(load, learner, better) > _ranked(load, learner, own) and counts(better, others):
            seats = (*others, *better)
    return seats


def _more(
    load: Caseload, learners: Sequence[str], before: Sequence[PlacedSitting], after: Sequence[PlacedSitting]
) -> More:
    now, then = (_worth(load, learners, seats) for seats in (after, before))
    helped = tuple(
        i
        for i in learners
        if _worth(load, (i,), of_learner(after, i)) != _worth(load, (i,), of_learner(before, i))
    )
    return More(more=tuple(a - b for a, b in zip(now, then, strict=True)), learners=helped)


def _ranked(load: Caseload, learner: str, seats: Sequence[PlacedSitting]) -> list[int]:
    """What the week shows of one learner, in the order of the objectives."""
    counts: dict[ObjectiveName, int] = dict(zip(GAINED, _worth(load, (learner,), seats), strict=True))
    return [counts[name] for name in load.ordered(*GAINED)]


def _worth(load: Caseload, learners: Iterable[str], seats: Sequence[PlacedSitting]) -> tuple[int, ...]:
    wanted = set(learners)
    counts = coverage_counts(
        [n for n in load.needs if n.target.learner in wanted], [s for s in seats if s.learner in wanted]
    )
    return tuple(counts[name] for name in GAINED)
