"""How the solver is run: one worker, a limit of work instead of time, and statuses that are never folded together."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor, inf
from threading import Event, Thread

from ortools.sat.python import cp_model

from genplan.errors import SolverError
from genplan.language import _
from genplan.plan import StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.search_settings import SETTINGS

LOOK_SECONDS = 0.05
"""Between two looks at whether a solve under way was cut off; measured: it ends 2 ms after it is told to."""


class Model(cp_model.CpModel):
    """A model under the names of now alone. OR-tools gives each model that is made its methods once more under their
    names of before: half a millisecond each, and a circle that only the collector of garbage undoes."""

    def _add_pre_pep8_methods(self) -> None:
        pass


def new_solver(work: float, budget: Budget = ENDLESS) -> cp_model.CpSolver:
    """A solver whose answer is the same on every run unless the budget ends first.

    One worker: several in parallel gave different optimal plans for the same seed. The full linear relaxation: with it
    one worker proves what it otherwise does not find in ten times the time, since the cuts are linear. A light
    presolve: each of a dozen stages presolves the same model again, and probing and symmetry took a third of all work
    and found nothing that the relaxation did not."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SETTINGS.seed
    solver.parameters.linearization_level = 2
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    solver.parameters.max_deterministic_time = work
    solver.parameters.max_time_in_seconds = max(0.0, budget.left)
    return solver


@dataclass(frozen=True)
class Found:
    """`solver` holds an answer to the model; `bound` is proven of its objective; `work` is deterministic."""

    solver: cp_model.CpSolver
    status: StageStatus
    bound: float
    work: float = 0.0

    @property
    def unproven(self) -> StageStatus:
        """The status of what is not proven, though something else may be."""
        return StageStatus.BEST_SO_FAR if self.status is StageStatus.OPTIMAL else self.status

    @cached_property
    def values(self) -> Sequence[int]:
        """Of every variable, by its number in the model."""
        return tuple(self.solver.response_proto.solution)


class _Hearing(cp_model.CpSolverSolutionCallback):
    """Tells value and bound whenever a better answer is found."""

    def __init__(self, hear: Callable[[float, float], None]) -> None:
        super().__init__()
        self._hear = hear

    def on_solution_callback(self) -> None:
        self._hear(self.objective_value, self.best_objective_bound)


def search(
    model: cp_model.CpModel,
    work: float,
    budget: Budget = ENDLESS,
    hear: Callable[[float, float], None] | None = None,
    hint: Callable[[cp_model.CpModel], None] | None = None,
    *,
    cuts: bool = True,
) -> Found:
    """The best answer within the limits. There always is one: the model's hints, or those that `hint` gives it, in
    which nothing is chosen. Where the solver has none when a limit strikes, or says that there is none, it is given by
    these, with a bound that needs no search. `hear` is told value and bound of each better answer. Without `cuts` the
    solver adds none of its own to the relaxation.

    Raises SolverError where they do not hold either: that is a fault of the program."""
    solver = new_solver(work, budget)
    if not cuts:
        solver.parameters.cut_level = 0
    with _stopping(solver, budget):
        status = solver.solve(model, _Hearing(hear) if hear else None)
    worked = solver.response_proto.deterministic_time
    if status == cp_model.OPTIMAL:
        return Found(solver, StageStatus.OPTIMAL, solver.best_objective_bound, worked)
    stopped = StageStatus.BEST_SO_FAR if worked >= 0.99 * work else StageStatus.STOPPED
    if status == cp_model.FEASIBLE:
        return Found(solver, stopped, solver.best_objective_bound, worked)
    for begin in (None, hint or nothing_chosen):
        if begin:
            begin(model)
        elif not len(model.proto.solution_hint.vars):
            continue
        hinted = new_solver(SETTINGS.hinted_work)
        hinted.parameters.fix_variables_to_their_hinted_value = True
        if hinted.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Found(hinted, stopped, _bound_without_search(model), worked)
    raise SolverError(
        _(
            "The solver answered '{status_name}' to a question that always has an answer. "
            "This is a fault of the program; no plan was written.",
            status_name=solver.status_name(status),
        )
    )


@contextmanager
def _stopping(solver: cp_model.CpSolver, budget: Budget) -> Iterator[None]:
    """Until the block ends the solver is stopped once the budget is cut off: of that it knows nothing itself."""
    if budget.since == inf:
        yield
        return
    done = Event()

    def watch() -> None:
        while not done.wait(LOOK_SECONDS):
            if budget.is_cut_off:
                solver.stop_search()

    watcher = Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        done.set()
        watcher.join()


def nothing_chosen(model: cp_model.CpModel, but: Collection[int] = ()) -> None:
    """Hints that no boolean is true `but` those of these numbers."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index, variable in enumerate(model.proto.variables):
        if list(variable.domain) == [0, 1]:
            model.proto.solution_hint.vars.append(index)
            model.proto.solution_hint.values.append(int(index in but))


def hint_all(model: cp_model.CpModel, found: Found) -> None:
    """Every variable gets its present value as the next search's start: a start with gaps may find nothing in time."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    hint = model.proto.solution_hint
    hint.vars.extend(range(len(found.values)))
    hint.values.extend(found.values)


def hint_also(model: cp_model.CpModel, values: Mapping[int, int]) -> None:
    """These values, by the variables' numbers, in place of what is hinted for them."""
    hint, left = model.proto.solution_hint, dict(values)
    for position, index in enumerate(hint.vars):
        if index in left:
            hint.values[position] = left.pop(index)
    for index, value in left.items():
        hint.vars.append(index)
        hint.values.append(value)


def _bound_without_search(model: cp_model.CpModel) -> float:
    """What the objective could be if nothing but the variables' own ranges stood against it."""
    objective, variables = model.proto.objective, model.proto.variables
    least = objective.offset
    for index, weight in zip(objective.vars, objective.coeffs, strict=True):
        domain = list(
            variables[index].domain
        )  # an index from the end is misread by the repeated field itself
        least += weight * (domain[0] if weight > 0 else domain[-1])
    return float(least * (objective.scaling_factor or 1.0))


def whole_bound(bound: float, *, most: bool) -> int:
    """The objective is a whole number, so its bound may be rounded towards it."""
    return floor(bound + 1e-6) if most else ceil(bound - 1e-6)
