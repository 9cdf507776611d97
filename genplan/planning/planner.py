"""The plan of a week: a pure function of case, log, busy times, kept sittings, week and now."""

from __future__ import annotations

import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import chain

from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.plan import Plan, Sitting
from genplan.planning.assemble import coverage_of, matrix_rows, sittings_of, still_open
from genplan.planning.caseload import plan_caseload
from genplan.planning.ground import ground_of
from genplan.planning.hearing import Say
from genplan.planning.jobs import Workers, run_design
from genplan.planning.observers import with_observers
from genplan.planning.openings import Busy
from genplan.planning.reasons import Owed, if_nothing_stands, left_out, notes_on
from genplan.planning.recount import recounted


@dataclass
class Clock:
    """Seconds of each step, for run.json."""

    seconds: dict[str, float] = field(default_factory=dict)

    @contextmanager
    def step(self, name: str) -> Iterator[None]:
        began = time.perf_counter()
        yield
        self.seconds[name] = self.seconds.get(name, 0.0) + time.perf_counter() - began


@dataclass(frozen=True)
class Planned:
    """A plan and how the search for it went."""

    plan: Plan
    seconds: dict[str, float]
    sizes: dict[str, int]


def plan_week(
    case: Case,
    log: Log,
    week: Week,
    now: datetime,
    busy: Busy,
    kept: tuple[Sitting, ...],
    executor: Executor,
    progress: Say,
) -> Planned:
    """Plans what is still ahead of `week` at the aware moment `now`; kept sittings that have begun stay as they are.

    The case is that of all weeks: what it says of certain dates counts on those dates only."""
    clock, workers = Clock(), Workers(executor, progress)
    with clock.step("needs and openings"):
        ground = ground_of(case, log, week, now, busy, kept)
        case, free, needs, seats = ground.case, ground.free, ground.needs, ground.begun_seats
    with clock.step("search"):
        outcome = recounted(ground.caseload, plan_caseload(ground.caseload, workers))
    with clock.step("observers"):
        ahead, observed = with_observers(case, week, free, log, seats, outcome.seats, ground.told, executor)
    with clock.step("what is left"):
        sittings = sittings_of(case, week, needs, ahead, tuple(replace(s, begun=True) for s in ground.begun))
        opens = [still_open(n, sittings) for n in needs]
        columns = [n.columns(open_) for n, open_ in zip(needs, opens, strict=True)]
        designs = workers.answers(run_design, columns)
        coverage = tuple(
            coverage_of(n, open_, (len(d.combinations), d.at_least))
            for n, open_, d in zip(needs, opens, designs, strict=True)
        )
    with clock.step("reasons"):
        workers.progress("reasons")
        # an observer's time is no reason: for a probe more it would be given up
        clear = if_nothing_stands(outcome.objectives, ground.caseload, outcome.repeatable)
        owed = Owed(case, free, needs, (*seats, *outcome.seats), clear)
        omitted = tuple(chain.from_iterable(workers.answers(left_out, owed.in_parts())))
    plan = Plan(
        week,
        now,
        sittings,
        outcome.objectives,
        coverage,
        matrix_rows(case, needs, now.date()),
        omitted,
        (*notes_on(case, week, now, free, needs, sittings), *(o.sentence for o in observed)),
        outcome.repeatable,
        observed,
        outcome.alone,
        frozenset((n.id, n.target.first.index(w.wish)) for n in needs for w in n.wishes if w.last_chance),
    )
    sizes = {
        "variables": outcome.variables,
        "constraints": outcome.constraints,
        "learners": len(case.learners),
    }
    return Planned(plan, clock.seconds | {f"stage {k}": v for k, v in outcome.seconds.items()}, sizes)
