"""Pieces of solving as functions that any `concurrent.futures.Executor` can run; the solver is loaded only in there."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field, replace
from multiprocessing import get_context, parent_process
from multiprocessing.context import BaseContext
from threading import Thread
from time import process_time
from typing import TYPE_CHECKING, Any, ParamSpec, Protocol, Self, TypeVar, runtime_checkable

from genplan.errors import SolverError, reason_of
from genplan.fence import deaf_to_interrupts
from genplan.language import _
from genplan.plan import ObjectiveName
from genplan.planning import interruption
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.first_week import FirstWeek
from genplan.planning.forked_processes import method, served
from genplan.planning.needs import Columns
from genplan.planning.outcome import Design, Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Say, WeekSoFar, no_progress
from genplan.planning.progress_channel import listening, say, speak_through
from genplan.planning.reduction import reduced
from genplan.planning.run_clock import Clock
from genplan.planning.search_settings import SETTINGS
from genplan.planning.term.problem import Place, TermAnswer, TermProblem
from genplan.rules.placed_sittings import PlacedSitting

if TYPE_CHECKING:
    from genplan.planning.progress_channel import Line

Job = TypeVar("Job")
Answer = TypeVar("Answer")
Given = ParamSpec("Given")


@dataclass(frozen=True, kw_only=True)
class SolveJob:
    """One search.

    - `problem`: the learners and what they are owed
    - `goals`: the objectives, in their order
    - `start`: sittings to begin the search from
    - `effort`: the part of the policy's work that a stage may take, 0 to 1
    - `as_part`: the week is planned as part of the whole, with the smallest designs
    - `probes_stay`: comfort is looked for with the probes as they are: for when no proof of it is needed
    - `by_days`: what each day can hold is found first, as a cut
    - `aloud`: it says how far it is"""

    problem: Problem
    goals: tuple[ObjectiveName, ...]
    start: tuple[PlacedSitting, ...] = ()
    effort: float = 1.0
    as_part: bool = False
    probes_stay: bool = False
    by_days: bool = False
    aloud: bool = False

    def reduced(self) -> SolveJob:
        return replace(self, problem=reduced(self.problem))


def run_solve(job: SolveJob, budget: Budget = ENDLESS) -> Outcome:
    """Solves one problem. Once the budget is over no model is built. Raises ValueError for an objective that the
    problem has nothing for, or that is out of order."""
    from genplan.planning.solver.daily_capacity import daily_capacities
    from genplan.planning.solver.design_guided import solve_design_guided
    from genplan.planning.solver.stages import solve

    problem, began = job.problem, process_time()
    if job.by_days:
        problem = replace(problem, day_most=daily_capacities(problem, budget))
    solver = solve_design_guided if job.as_part else solve
    tell = say if job.aloud else no_progress
    outcome = solver(problem, job.goals, job.start, job.effort, tell, budget, probes_stay=job.probes_stay)
    return replace(
        outcome,
        learners=problem.learners,
        cpu=process_time() - began,
        day_most=problem.day_most,
        alone=problem.alone,
    )


def run_size(job: SolveJob, budget: Budget = ENDLESS) -> int:
    """How many variables the model of a search has at the least."""
    from genplan.planning.solver.design_guided import size_of

    return size_of(job.problem, job.goals)


def run_design(columns: Columns, budget: Budget = ENDLESS) -> Design:
    """About the fewest of the combinations that show everything which they show together: a figure that no decision
    needs, so it may take little work."""
    from genplan.planning.solver.design import smallest_design

    return smallest_design(columns, SETTINGS.figure_work, budget)


def run_designs(several: Sequence[Columns], budget: Budget = ENDLESS) -> tuple[Design, ...]:
    """The same of each: so small a thing is not worth a process that has to be started for it."""
    return tuple(run_design(columns, budget) for columns in several)


def run_term(problem: TermProblem, budget: Budget = ENDLESS) -> TermAnswer:
    """Solves the problem of a term."""
    from genplan.planning.solver.term import solve_term

    return solve_term(problem, budget)


def run_term_checks(problem: TermProblem, budget: Budget = ENDLESS) -> Mapping[int, Place]:
    """The number of a check -> its place, of those that are due in the weeks of a term."""
    from genplan.planning.solver.term import places_of_checks

    return places_of_checks(problem, budget)


def run_term_bound(problem: TermProblem, budget: Budget = ENDLESS) -> int:
    """The most dates of a term, as far as that is proven."""
    from genplan.planning.solver.term import most_dates

    return most_dates(problem, budget)


@dataclass(frozen=True)
class Workers:
    """Who solves, who is told how far it is, and how long it may take: each job is run with the budget. `first` is the
    week without a search, where one is to be had; `clock` is told of each search."""

    executor: Executor
    progress: Say
    budget: Budget = ENDLESS
    first: FirstWeek | None = None
    clock: Clock = field(default_factory=Clock)

    @property
    def at_the_least(self) -> Mapping[str, tuple[PlacedSitting, ...]]:
        """What a search that is over can begin to insert from, whatever it found."""
        return self.first.seats(self.budget.part(SETTINGS.inserting_share)) if self.first else {}

    def found(self, seats: Iterable[PlacedSitting], at_most: int | None = None) -> None:
        """Tells who watches the best week so far, by all its seats that have not begun. It may be called as often as
        there is a better one: who draws it looks to its own time. `at_most` is proven of the new tuples of all."""
        self.progress(WeekSoFar(tuple(sorted(seats)), at_most))

    def answers(self, function: Callable[[Job, Budget], Answer], jobs: Iterable[Job]) -> Iterator[Answer]:
        """The answers in the order of the jobs. Like `Executor.map`, but an interrupt cancels nothing: a job that was
        cancelled and one whose worker is gone get in each other's way in the standard library."""
        futures = [self.executor.submit(function, _smallest(job), self.budget) for job in jobs]
        for future in futures:
            answer = future.result()
            for outcome in getattr(answer, "outcomes", (answer,)):
                if isinstance(outcome, Outcome):
                    self.clock.add(outcome)
            yield answer

    def answer(self, function: Callable[[Job, Budget], Answer], job: Job) -> Answer:
        return next(self.answers(function, [job]))


@runtime_checkable
class Reducible(Protocol):
    def reduced(self) -> Self:
        """The same job without what decides nothing."""


def _smallest(job: Job) -> Job:
    """What decides nothing is not sent to another process, and not asked for."""
    return job.reduced() if isinstance(job, Reducible) else job


@contextmanager
def process_pool(workers: int | None = None, hear: Say = no_progress) -> Iterator[Executor]:
    """Solver processes on this machine; `hear` is told what they say. They end with the block whatever happens in it:
    an interrupt ends them at once, and one that crashes or is killed reads as a SolverError. Within `ready_pool` they
    are there already, and stay for the next one unless something happened to them."""
    if workers is None and _READY:
        with _READY[-1].used(hear) as pool:
            yield pool
        return
    context = get_context(method())
    with listening(context, hear) as line, _processes(workers, context, line) as pool:
        yield pool


@contextmanager
def ready_pool() -> Iterator[None]:
    """Within the block solver processes start at once and load the solver, for whoever asks for a `process_pool` next:
    that takes seconds, in which a person can still be choosing what to ask. They end with the block."""
    ready = _Ready()
    _READY.append(ready)
    try:
        yield
    finally:
        _READY.remove(ready)
        ready.end()


class _Ready:
    """Solver processes that wait for the next who asks; new ones where the last who asked left them broken."""

    def __init__(self) -> None:
        self._hear: Say = no_progress
        self._stack = ExitStack()
        self._pool: Executor | None = None
        with suppress(SolverError):  # told to whoever asks, for whom it is tried again
            self._pool = self._begun()

    def _begun(self) -> Executor:
        context = get_context(method())
        with ExitStack() as stack:  # what fails in here is told in the words of `_processes`
            line = stack.enter_context(listening(context, lambda said: self._hear(said)))
            pool = stack.enter_context(_processes(None, context, line))
            for _ in range(os.cpu_count() or 1):
                pool.submit(load_solver)
            self._stack = stack.pop_all()
        return pool

    @contextmanager
    def used(self, hear: Say) -> Iterator[Executor]:
        if self._pool is None or _is_broken(self._pool):
            self._stack.close()
            self._pool = self._begun()
        self._hear = hear
        try:
            yield self._pool
        except BaseException as error:
            # they end as they would have ended, and what they ended with is told in the same words
            broken, self._stack, self._pool = self._stack, ExitStack(), None
            broken.__exit__(type(error), error, error.__traceback__)
            raise
        finally:
            self._hear = no_progress

    def end(self) -> None:
        self._stack.close()


_READY: list[_Ready] = []


def _is_broken(pool: Executor) -> bool:
    """Its answer is waited for: that processes were killed is noticed a moment later."""
    try:
        pool.submit(load_solver).result()
    except (BrokenProcessPool, SolverError):
        return True
    return False


def load_solver() -> None:
    """Imports what a search needs, in the process that is to search."""
    import genplan.planning.solver.daily_capacity
    import genplan.planning.solver.design_guided
    import genplan.planning.solver.observer_assignment  # noqa: F401


@contextmanager
def _processes(workers: int | None, context: BaseContext, line: Line) -> Iterator[Executor]:
    with served(context), _pool_of(workers, context, line) as pool:
        yield pool


@contextmanager
def _pool_of(workers: int | None, context: BaseContext, line: Line) -> Iterator[Executor]:
    with _starting():
        pool = _Pool(
            workers,  # without a number as many as there are cores, and as the system can wait for
            mp_context=context,
            initializer=_begin,
            initargs=(line, interruption.shared_moment()),
        )
    try:
        yield pool
        # an interrupt while Python itself waits for them, at its end, would be a traceback
        pool.shutdown(cancel_futures=True)
    except BrokenProcessPool as error:
        raise SolverError(
            _(
                "The solver's process ended before it had an answer: it was killed, or the machine ran out of memory. "
                "No plan was written. Try again, or plan fewer learners at a time."
            )
        ) from error
    except BaseException:
        _end_at_once(pool)
        raise


@contextmanager
def _starting() -> Iterator[None]:
    """A process that cannot start, or ends before it has heard what it is for, is one way or another an OSError; an
    EOFError, where it was to be a fork of one that ended; or a ValueError, where a file number that it was to be handed
    was closed, and taken again, before it began."""
    try:
        yield
    except (OSError, EOFError, ValueError) as error:
        why = f" ({reason_of(error)})" if isinstance(error, OSError) and error.strerror else ""
        raise SolverError(
            _(
                "The solver's process could not be started, or ended as soon as it was{why}. No plan was"
                " written. Look whether this system lets the program start another Python, and has memory and"
                " processes left for it; then try again.",
                why=why,
            )
        ) from error


class _Pool(ProcessPoolExecutor):
    """Its processes start when there is work for them, and Ctrl-C goes to all processes of a terminal: one that is just
    starting would answer with a traceback."""

    def submit(
        self, fn: Callable[Given, Answer], /, *args: Given.args, **kwargs: Given.kwargs
    ) -> Future[Answer]:
        with deaf_to_interrupts(), _starting():
            return super().submit(fn, *args, **kwargs)


def _begin(line: Line, moment: Any) -> None:
    leave_interrupts_to_the_parent()
    interruption.ask_here(moment)
    with suppress(ImportError):  # told to whoever asks for a search
        from genplan.planning.solver.light_start import load_or_tools

        load_or_tools()
    Thread(target=_end_with_the_parent, daemon=True).start()
    speak_through(line)


def _end_with_the_parent() -> None:
    """A worker waits for jobs through a pipe of which it holds both ends: it would never hear that nobody is left."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def leave_interrupts_to_the_parent() -> None:
    """Ctrl-C goes to all processes of a terminal; a solver that stopped by itself would look like an answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _end_at_once(pool: ProcessPoolExecutor) -> None:
    """Ends workers in the middle of a solve: waiting for them could take as long as a stage may work."""
    workers = list((pool._processes or {}).values())  # public only from Python 3.14 on, as kill_workers
    manager: Thread | None = pool._executor_manager_thread  # type: ignore[assignment]
    # a job half sent to a worker that is no more would be waited for when Python ends
    pool._call_queue.cancel_join_thread()  # type: ignore[attr-defined]
    pool.shutdown(wait=False)
    for worker in workers:
        worker.terminate()
    if manager is not None:
        # Python wakes it at its own end without asking whether it is just closing what it is woken through
        manager.join(timeout=1.0)
