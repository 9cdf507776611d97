"""Pieces of solving as functions that any `concurrent.futures.Executor` can run; the solver is loaded only in there."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context
from os import cpu_count
from typing import TYPE_CHECKING

from genplan.case import Combination
from genplan.coverage.tuples import Tuple
from genplan.plan import ProbeKind
from genplan.planning.commitments import Seat
from genplan.planning.needs import TargetNeed
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem

if TYPE_CHECKING:
    from genplan.planning.solver.design import Design

Columns = tuple[tuple[Combination, tuple[Tuple, ...]], ...]
"""Combinations, each with the open tuples that it shows."""

DESIGN_WORK = 4.0
"""Solver work for one target's smallest design; the published ones up to 6x5x4x3 values take less."""


@dataclass(frozen=True)
class SolveJob:
    problem: Problem
    start: tuple[Seat, ...] = ()
    goals: tuple[str, ...] | None = None


def run_solve(job: SolveJob) -> Outcome:
    """Solves one problem. The smallest designs are bounded first, where nobody did."""
    from genplan.planning.solver.stages import solve

    problem = job.problem
    if not problem.fewest and (job.goals is None or "further probes" in job.goals):
        problem = replace(problem, fewest={n.id: run_design(columns_of(n)).at_least for n in problem.needs})
    return solve(problem, job.start, job.goals)


def run_design(columns: Columns) -> Design:
    """The fewest of the combinations that show everything which they show together."""
    from genplan.planning.solver.design import smallest_design

    return smallest_design(columns, DESIGN_WORK)


def columns_of(need: TargetNeed) -> Columns:
    return tuple((c.combination, c.shows) for c in need.of_kind(ProbeKind.NEW))


@contextmanager
def process_pool(workers: int | None = None) -> Iterator[Executor]:
    """Solver processes on this machine, ended with the block whatever happens in it."""
    pool = ProcessPoolExecutor(workers or cpu_count() or 1, mp_context=get_context("spawn"))
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
