"""Pieces of solving as functions that any `concurrent.futures.Executor` can run; the solver is loaded only in there."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from os import cpu_count
from typing import TYPE_CHECKING

from genplan.case import Combination
from genplan.coverage.tuples import Tuple
from genplan.planning.commitments import Seat
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem

if TYPE_CHECKING:
    from genplan.planning.solver.design import Design

Columns = tuple[tuple[Combination, tuple[Tuple, ...]], ...]
"""Combinations, each with the open tuples that it shows."""


@dataclass(frozen=True)
class SolveJob:
    """`goals` None: all. `effort` is the part of the policy's work that a stage may take."""

    problem: Problem
    start: tuple[Seat, ...] = ()
    goals: tuple[str, ...] | None = None
    effort: float = 1.0


def run_solve(job: SolveJob) -> Outcome:
    """Solves one problem: with all objectives, or with those named alone."""
    from genplan.planning.solver.stages import solve
    from genplan.planning.solver.whole import solve_whole

    if job.goals is None:
        return solve_whole(job.problem, job.start)
    return solve(job.problem, job.start, job.goals, job.effort)


def run_design(columns: Columns) -> Design:
    """The fewest of the combinations that show everything which they show together."""
    from genplan.planning.solver.design import smallest_design
    from genplan.planning.solver.whole import DESIGN_WORK

    return smallest_design(columns, DESIGN_WORK)


@contextmanager
def process_pool(workers: int | None = None) -> Iterator[Executor]:
    """Solver processes on this machine, ended with the block whatever happens in it."""
    pool = ProcessPoolExecutor(workers or cpu_count() or 1, mp_context=get_context("spawn"))
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
