"""The searches for a term: the dates alone, which bounds any weeks; then the same where what is due comes first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from genplan.plan.term import Promise
from genplan.planning.jobs import Workers
from genplan.planning.term.building import last_week, problem_of
from genplan.planning.term.checks import Check, checks_of, widened
from genplan.planning.term.greedy import first_checks
from genplan.planning.term.jobs import run_term, run_term_bound, run_term_checks
from genplan.planning.term.meetings import WeekOfTerm
from genplan.planning.term.problem import Place, TermAnswer, TermProblem, Wanted
from genplan.planning.term.wanted import TermFacts


@dataclass(frozen=True, kw_only=True)
class Searched:
    """What was found.

    - `problem`, `weeks`, `answer`: the plan, what was searched for it, and in which weeks
    - `checks`: what is due; those that have a place are in the answer
    - `promises`: of each date
    - `bound`: proven: no weeks keep more dates, whatever they hold of what is due
    - `bound_beside_due`: proven: no weeks do that hold each check which has a place in the week of its place"""

    problem: TermProblem
    weeks: tuple[WeekOfTerm, ...]
    answer: TermAnswer
    checks: tuple[Check, ...]
    promises: tuple[Promise, ...]
    bound: int
    bound_beside_due: int
    repeatable: bool

    @property
    def kept(self) -> int:
        return sum(self.answer.kept)


def searched(facts: TermFacts, wanted: tuple[Wanted, ...], workers: Workers) -> Searched:
    checks = checks_of(facts, last_week(wanted))
    problem, weeks = problem_of(facts, wanted)
    free = workers.answer(run_term, replace(problem, dates_alone=bool(checks)))
    if checks:
        return _beside_due(facts, problem, checks, free, workers)
    return Searched(
        problem=problem,
        weeks=weeks,
        answer=free,
        checks=(),
        promises=tuple(map(_promise, free.kept, free.alone)),
        bound=free.bound,
        bound_beside_due=free.bound,
        repeatable=free.repeatable,
    )


def _promise(kept: bool, alone: bool | None) -> Promise:
    if kept:
        return Promise.KEPT
    return {True: Promise.GIVES_WAY, False: Promise.CANNOT, None: Promise.UNKNOWN}[alone]


def _beside_due(
    facts: TermFacts, without: TermProblem, checks: tuple[Check, ...], free: TermAnswer, workers: Workers
) -> Searched:
    """The plan where each check that has room has its week first. `free` is the answer to the problem without them,
    which bounds this one too."""
    whole, weeks = problem_of(facts, without.wanted, checks)
    places = _places_of_checks(whole, checks, workers)
    never = frozenset(n for n, alone in enumerate(free.alone) if alone is False)
    known = partial(replace, without_due=without, most_kept=free.bound, never=never)
    problem = known(whole.with_checks_at(places))
    answer = workers.answer(run_term, problem)
    beside = free.bound
    if sum(answer.kept) < beside:
        widely, _ = problem_of(facts, without.wanted, widened(facts, checks))
        beside = min(beside, workers.answer(run_term_bound, known(widely.with_checks_at(places))))
    return Searched(
        problem=problem,
        weeks=weeks,
        answer=answer,
        checks=checks,
        promises=tuple(_promises(free, answer)),
        bound=free.bound,
        bound_beside_due=beside,
        repeatable=free.repeatable and answer.repeatable,
    )


def _places_of_checks(
    problem: TermProblem, checks: tuple[Check, ...], workers: Workers
) -> Mapping[int, Place]:
    """One after the other, where each then has room in the week in which it is owed."""
    found = problem.places_in(first_checks(problem))
    if all(n in found and found[n].week == check.weeks[0] for n, check in enumerate(checks)):
        return found
    return workers.answer(run_term_checks, problem)


def _promises(free: TermAnswer, beside: TermAnswer) -> Iterator[Promise]:
    """A date that has no room beside what is due, not even alone, gives way to that."""
    for kept, possible, alone in zip(beside.kept, free.alone, beside.alone, strict=True):
        if not kept and possible and alone is False:
            yield Promise.GIVES_WAY_TO_DUE
        else:
            yield _promise(kept, False if possible is False else alone)
