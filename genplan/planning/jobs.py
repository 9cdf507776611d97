"""Pieces of solving as functions that any `concurrent.futures.Executor` can run; the solver is loaded only in there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, field, replace
from itertools import chain, groupby
from operator import itemgetter
from time import process_time
from typing import Protocol, Self, TypeVar, runtime_checkable

from genplan.plan import ObjectiveName
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.first_week import FirstWeek
from genplan.planning.needs import Columns, TargetNeed
from genplan.planning.outcome import Design, Outcome
from genplan.planning.problem import Problem
from genplan.planning.progress import Say, WeekSoFar, no_progress
from genplan.planning.progress_channel import say
from genplan.planning.reduction import reduced
from genplan.planning.run_clock import Clock
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting

Job = TypeVar("Job")
Answer = TypeVar("Answer")


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


@dataclass(frozen=True)
class Workers:
    """Who solves, who is told how far it is, and how long it may take: each job is run with the budget. `first` is the
    week without a search, where one is to be had; `clock` is told of each search; `known` are designs that were asked
    for."""

    executor: Executor
    progress: Say
    budget: Budget = ENDLESS
    first: FirstWeek | None = None
    clock: Clock = field(default_factory=Clock)
    known: dict[Columns, Design] = field(default_factory=dict)

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
        for begun in [self.begin(function, job) for job in jobs]:
            yield self.end(begun)

    def begin(self, function: Callable[[Job, Budget], Answer], job: Job) -> Future[Answer]:
        """A job on its way, so that the next can be made while it is run."""
        return self.executor.submit(function, _smallest(job), self.budget)

    def end(self, begun: Future[Answer]) -> Answer:
        """Waits for the answer."""
        answer = begun.result()
        for outcome in getattr(answer, "outcomes", (answer,)):
            if isinstance(outcome, Outcome):
                self.clock.add(outcome)
        return answer

    def designs(self, needs: Iterable[TargetNeed], columns: Iterable[Columns]) -> list[Design]:
        """Of each need what `run_design` finds for its columns, asked for learner by learner; of the same columns
        once."""
        pairs = list(zip(needs, columns, strict=True))
        unknown = [(n.target.learner, c) for n, c in pairs if c not in self.known]
        asked = [tuple({c: None for _, c in own}) for _, own in groupby(unknown, key=itemgetter(0))]
        found = dict(zip(chain(*asked), chain(*self.answers(run_designs, asked)), strict=True))
        if not self.budget.is_over:  # else they may not be what more time gives
            self.known.update(found)
        return [found[c] if c in found else self.known[c] for _, c in pairs]

    def answer(self, function: Callable[[Job, Budget], Answer], job: Job) -> Answer:
        return next(self.answers(function, [job]))


@runtime_checkable
class Reducible(Protocol):
    def reduced(self) -> Self:
        """The same job without what decides nothing."""


def _smallest(job: Job) -> Job:
    """What decides nothing is not sent to another process, and not asked for."""
    return job.reduced() if isinstance(job, Reducible) else job
