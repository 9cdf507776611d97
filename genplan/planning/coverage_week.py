"""A week for what it shows alone: what the weeks ahead of a forecast are made of.

The learners are solved in turn, a few at a time, each once on what those before left. Comfort is not asked for, nor a
proof, nor a reason: of a week that nobody is told of none would be read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from genplan.coverage.tuples import Tuple, tuples_of
from genplan.plan import TAUGHT, ObjectiveName, ProbeKind, minutes_of
from genplan.planning.caseload_problem import Caseload, all_seats
from genplan.planning.compatible import fits, keep_what_fits
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.needs import TargetNeed
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting, of_learner

SHOWN = (
    ObjectiveName.DUE,
    ObjectiveName.DATED,
    ObjectiveName.WISHED,
    ObjectiveName.NEW_TUPLES,
    *TAUGHT,
    ObjectiveName.FURTHER_PROBES,
)
"""No share: in turn nobody is planned with another, and who was left short has a longer way and an earlier turn."""


def coverage_week(load: Caseload, workers: Workers) -> tuple[tuple[PlacedSitting, ...], bool]:
    """The seats of all learners, those that have begun aside, and whether they are the same on every run."""
    seats: dict[str, tuple[PlacedSitting, ...]] = {}
    left, repeatable = sorted(load.learners, key=lambda i: _turn(load, i)), True
    while left:
        batch, present = left[: SETTINGS.round_jobs], all_seats(seats)
        jobs = [_job(load, learner, present) for learner in batch]
        for learner, outcome in zip(batch, workers.answers(run_solve, jobs), strict=True):
            repeatable = repeatable and outcome.repeatable
            if fits(load.case, outcome.seats, (*load.begun, *all_seats(seats))):
                seats[learner] = outcome.seats
        left = [i for i in left if i not in seats]
        workers.progress(PhaseProgress(Phase.IN_TURN, len(seats), len(load.learners)))
    return tuple(sorted(without_idle_probes(load.needs, all_seats(seats)))), repeatable


def _turn(load: Caseload, learner: str) -> tuple[int, int, str]:
    """Who has wishes at their last chance first, then who has the longest way to go."""
    own = [n for n in load.needs if n.target.learner == learner]
    return -sum(len(n.dated) for n in own), -sum(len(n.open) for n in own), learner


def _job(load: Caseload, learner: str, present: Sequence[PlacedSitting]) -> SolveJob:
    told = keep_what_fits(load.case, of_learner(load.told, learner), (*load.begun, *present))
    return SolveJob(
        problem=load.problem((learner,), present, {}),
        goals=load.objectives(*SHOWN),
        start=told,
        effort=SETTINGS.ahead_effort,
    )


def without_idle_probes(
    needs: Sequence[TargetNeed], seats: Sequence[PlacedSitting]
) -> Iterator[PlacedSitting]:
    """The seats less the new probes of which others show everything, late ones first: a search that does not count
    probes may plan some."""
    by_id = {n.id: n for n in needs}
    times = Counter(shown for s in seats for p in s.probes for shown in _shown(by_id[p.target], p))
    for seat in sorted(seats, key=lambda s: s.start, reverse=True):
        kept = []
        for probe in reversed(seat.probes):
            shows = _shown(by_id[probe.target], probe)
            if probe.kind == ProbeKind.NEW and all(times[shown] > 1 for shown in shows):
                times.subtract(shows)
            else:
                kept.append(probe)
        spared = sum(minutes_of(by_id[p.target].target, p.kind) for p in seat.probes if p not in kept)
        if kept:
            yield replace(seat, end=seat.end - spared, probes=tuple(reversed(kept)))


def _shown(need: TargetNeed, probe: PlacedProbe) -> list[tuple[str, Tuple]]:
    shows = tuples_of(need.target, probe.combination) if probe.is_test else ()
    return [(need.id, t) for t in shows if t in need.open]
