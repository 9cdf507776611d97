"""How the solver is run: one worker, a limit of work instead of time, and statuses that are never folded together."""

from __future__ import annotations

from math import ceil, floor
from typing import Any

from ortools.sat.python import cp_model

from genplan.errors import SolverError
from genplan.plan import StageStatus

SEED = 20261130


def new_solver(work: float, seconds: float | None = None) -> cp_model.CpSolver:
    """A solver whose answer is the same on every run unless `seconds` of wall-clock time strike first.

    One worker: several in parallel gave different optimal plans for the same seed. The full linear relaxation: with it
    one worker proves what it otherwise does not find in ten times the time, since the cuts are linear. A light
    presolve: each of a dozen stages presolves the same model again, and probing and symmetry took a third of all work
    and found nothing that the relaxation did not."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.linearization_level = 2
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    solver.parameters.max_deterministic_time = work
    if seconds is not None:
        solver.parameters.max_time_in_seconds = max(1.0, seconds)
    return solver


def status_of(solver: cp_model.CpSolver, status: Any) -> StageStatus:
    """What a solve proved. Raises SolverError for what a sound model cannot be: it always has an answer."""
    if status == cp_model.OPTIMAL:
        return StageStatus.OPTIMAL
    if status == cp_model.FEASIBLE:
        worked = solver.response_proto.deterministic_time >= 0.99 * solver.parameters.max_deterministic_time
        return StageStatus.BEST_SO_FAR if worked else StageStatus.STOPPED
    raise SolverError(
        f"The solver answered '{solver.status_name(status)}' to a question that always has an answer. "
        "This is a fault of the program; no plan was written."
    )


def whole_bound(bound: float, *, most: bool) -> int:
    """The objective is a whole number, so its bound may be rounded towards it."""
    return floor(bound + 1e-6) if most else ceil(bound - 1e-6)
