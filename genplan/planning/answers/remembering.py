"""An executor that looks among the answers that were found before, and searches for what is not there."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from concurrent.futures import CancelledError, Executor, Future
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from platform import machine
from typing import Any, NamedTuple

from genplan.planning.answers.plain_values import NotPlain, answer_type, read, written
from genplan.planning.answers.questions import Questions, Unwritable
from genplan.planning.answers.store import AnswerStore, Sealed
from genplan.planning.budget import Budget
from genplan.planning.elsewhere.alike import lines_of_the_program
from genplan.planning.search_settings import SETTINGS

SECONDS_TO_SPARE = 1.0
"""An answer that came so shortly before the end of its time may have been ended by the clock."""


class Found(NamedTuple):
    """An answer; `repeatable`: neither the clock nor a person ended the search, so another finds the same."""

    answer: Any
    repeatable: bool


def answer_of(function: Callable[..., Any], job: Any, budget: Budget) -> Found:
    """Runs in the solver's process."""
    answer = function(job, budget)
    return Found(answer, getattr(answer, "repeatable", True) and budget.left > SECONDS_TO_SPARE)


class Remembering(Executor):
    """Works through another executor. Only a function of this package with a job and a budget is remembered, whose
    answer is of a type that can be written down; anything else passes through. The budget is no part of the question,
    since what it cuts short is not kept."""

    def __init__(self, executor: Executor, store: AnswerStore) -> None:
        self._executor, self._store = executor, store
        self._questions = Questions()
        self.tally: Counter[str] = Counter()  # how many answers were `kept`, and how many `searched` for

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        question = None if kwargs else self._question(fn, args)
        if question is None:
            return self._executor.submit(fn, *args, **kwargs)
        outer: Future[Any] = Future()
        if (kept := self._kept(fn, question)) is not None:
            self.tally["kept"] += 1
            outer.set_result(kept.answer)
            return outer
        self.tally["searched"] += 1
        outer.set_running_or_notify_cancel()
        searching = self._executor.submit(answer_of, fn, *args)
        searching.add_done_callback(_Arrival(outer, self._store, question, answer_type(fn)))
        return outer

    def _question(self, fn: Callable[..., Any], args: tuple[Any, ...]) -> Sealed | None:
        """None for what cannot be asked twice."""
        if not getattr(fn, "__module__", "").startswith("genplan.") or len(args) != 2:
            return None
        who, (job, budget) = who_answers(), args
        if who is None or not isinstance(budget, Budget):
            return None
        try:
            answer_type(fn)
            asked = f"{who} {fn.__module__}.{fn.__qualname__} {self._questions.text((SETTINGS, job))}"
        except (NotPlain, Unwritable):
            return None
        return Sealed.by(asked.encode())

    def _kept(self, fn: Callable[..., Any], question: Sealed) -> Found | None:
        data = self._store.get(question)
        if data is None:
            return None
        try:
            return Found(read(answer_type(fn), data), True)
        except (NotPlain, ValueError, TypeError, RecursionError):
            return None  # not ours, whatever its seal says


@dataclass(frozen=True)
class _Arrival:
    """What is done when a search ends: the answer is handed on, and kept if another search would find the same."""

    outer: Future[Any]
    store: AnswerStore
    question: Sealed
    hint: Any

    def __call__(self, searching: Future[Found]) -> None:
        if searching.cancelled():
            self.outer.set_exception(CancelledError())
            return
        if (error := searching.exception()) is not None:
            self.outer.set_exception(error)
            return
        found = searching.result()
        try:
            # before it is handed on: once the run has all answers, all are kept
            if found.repeatable:
                with suppress(NotPlain):
                    self.store.put(self.question, written(self.hint, found.answer))
        finally:
            self.outer.set_result(found.answer)


@cache
def who_answers() -> str | None:
    """Every line of this program, the solver, Python and the kind of machine: another version of any of them is another
    one to ask. None where the program cannot be read."""
    lines = lines_of_the_program()
    return lines and f"{lines} {version('ortools')} {sys.version} {sys.platform} {machine()}"
