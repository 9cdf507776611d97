"""The search for the week of a caseload: one large neighbourhood search.

An operator names what it would try on the best week so far and makes a move of it. The next few moves are run against
the same week, in any number of processes, and their answers taken over in the moves' order, each if it still fits the
others and the week is worth more with it. So the number of processes decides nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from genplan.planning.caseload_problem import all_seats
from genplan.planning.jobs import Workers
from genplan.planning.progress import Phase, PhaseProgress
from genplan.planning.run_clock import Step
from genplan.planning.search.best_so_far import BestSoFar, by_learner
from genplan.planning.search.moves import Answer, Move, run_move
from genplan.planning.search_settings import SETTINGS


@dataclass(frozen=True)
class Operator:
    """A neighbourhood.

    - `name`: what it does, in the report of the run
    - `subjects`: what it would try on the best week so far, in order; each is tried once
    - `move`: how it tries one of them; None: there is nothing to try
    - `patience`: rounds without a better week after which it is left
    - `passes`: how often everything is tried, if the pass before gained something
    - `phase`: what it is for who waits
    - `comfort`: it comes last, once no probe that fits is left out"""

    name: str
    subjects: Callable[[BestSoFar], Sequence[Any]]
    move: Callable[[BestSoFar, Any], Move | None]
    patience: float = SETTINGS.fruitless_rounds
    passes: int = 1
    phase: Phase = Phase.BETTERING
    comfort: bool = False


def improved(best: BestSoFar, workers: Workers, operators: Sequence[Operator]) -> BestSoFar:
    """The best week after all operators have had their turn, one after the other."""
    for operator in operators:
        with workers.clock.step(operator.name) as step:
            best = _by(operator, best, workers, step)
    return best


def _by(operator: Operator, best: BestSoFar, workers: Workers, step: Step) -> BestSoFar:
    fruitless, passes, at_first = 0, 1, best
    tried: set[Hashable] = set()
    count = len(operator.subjects(best))
    while fruitless < operator.patience and not workers.budget.is_over:
        moves = islice(_moves(operator, best, tried), SETTINGS.round_jobs)
        begun = [(m, workers.begin(run_move, m) if m.solves else None) for m in moves]
        if not begun:
            if best is at_first or passes == operator.passes:
                break
            tried, at_first, passes = set(), best, passes + 1
            continue
        before = best
        for move, search in begun:
            answer = workers.end(search) if search else run_move(move)
            fits = best.has_room_for(move.group, answer.seats)
            if not fits and best is not before:
                continue  # it clashes with what this round took over: it is tried again in the next
            tried.add(move.subject)
            better = _better_of(best, move, answer) if fits else best
            step.tried, step.accepted = step.tried + 1, step.accepted + (better is not best)
            best = better
        fruitless = 0 if best is not before else fruitless + 1
        workers.progress(PhaseProgress(operator.phase, step.tried, of=count, better=step.accepted))
        if best is not before and not operator.comfort:
            workers.found(all_seats(best.seats), sum(best.most.values()))
    return best


def _moves(operator: Operator, best: BestSoFar, tried: set[Hashable]) -> Iterator[Move]:
    for subject in operator.subjects(best):
        if subject not in tried:
            move = operator.move(best, subject)
            if move is None:
                tried.add(subject)
            else:
                yield move


def _better_of(best: BestSoFar, move: Move, answer: Answer) -> BestSoFar:
    """The week with the answer if it is worth more, objective by objective in their order; else the very same. A week
    on the shortest way is worth what it shows less (`solver/design_guided.py`)."""
    new = best.with_seats(by_learner(move.group, answer.seats), answer.further)
    return new if answer.shortest_way or new.worth > best.worth else best
