"""Who answers what a run asks: the solver's processes, here or elsewhere, and the answers of earlier runs first."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

from genplan.errors import FileError, reason_of
from genplan.language import _

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from genplan.planning.elsewhere.addresses import Elsewhere
    from genplan.planning.elsewhere.executor import Traffic
    from genplan.planning.progress import Say

STORE, OFF = "GENPLAN_STORE", "off"
"""The variable of the environment, and its word, for a run that neither reads nor keeps answers."""


_ELSEWHERE: ContextVar[tuple[Elsewhere, Traffic] | None] = ContextVar("elsewhere", default=None)


@contextmanager
def searching_at(where: Elsewhere) -> Iterator[Traffic]:
    """Whatever is searched within the block is searched by the workers of that scheduler: who searches decides nothing
    of what is found, so no verb asks. Gives what was sent and came back."""
    from genplan.planning.elsewhere.executor import Traffic

    where.check()
    traffic = Traffic()
    before = _ELSEWHERE.set((where, traffic))
    try:
        yield traffic
    finally:
        _ELSEWHERE.reset(before)


@contextmanager
def searchers(progress: Say) -> Iterator[Executor]:
    """Who searches, without the answers of earlier runs."""
    if (there := _ELSEWHERE.get()) is not None:
        from genplan.planning.elsewhere.connection import workers_elsewhere

        with workers_elsewhere(*there) as executor:
            yield executor
        return
    from genplan.planning.solver_pool import process_pool

    with process_pool(hear=progress) as executor:
        yield executor


@contextmanager
def solvers(progress: Say) -> Iterator[Executor]:
    """Solver processes that end with the block, or workers elsewhere (`searching_at`); what was searched before is not
    searched again. Raises SolverError as `process_pool` and `workers_elsewhere` do."""
    from genplan.planning.answers.remembering import Remembering
    from genplan.planning.answers.store import AnswerStore, folder_for

    folder = None if os.environ.get(STORE) == OFF else folder_for(os.environ)
    with searchers(progress) as executor:
        if folder is None:
            yield executor
            return
        store = AnswerStore(folder)
        try:
            yield Remembering(executor, store)
        finally:
            store.tidy()


def answers_so_far(executor: Executor) -> Counter[str]:
    """How many answers an executor gave that were `kept` from earlier runs, and how many were `searched` for; nothing
    for one that keeps none."""
    from genplan.planning.answers.remembering import Remembering

    return Counter(executor.tally) if isinstance(executor, Remembering) else Counter()


def forget() -> tuple[int, int]:
    """Deletes the answers of all runs of this user; returns how many there were, and their bytes. Raises FileError."""
    from genplan.planning.answers.store import AnswerStore, folder_for

    folder = folder_for(os.environ)
    if folder is None:
        return 0, 0
    try:
        return AnswerStore(folder).forget()
    except OSError as error:
        raise FileError(
            _(
                "The answers of earlier runs in {folder} cannot be "
                "deleted ({problem}). Delete that folder by hand.",
                folder=folder,
                problem=reason_of(error),
            )
        ) from error
