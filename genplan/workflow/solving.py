"""Who answers what a run asks: the solver's processes, and the answers of earlier runs before them."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from genplan.errors import FileError
from genplan.language import _
from genplan.planning.progress import Say

if TYPE_CHECKING:
    from concurrent.futures import Executor

STORE, OFF = "GENPLAN_STORE", "off"
"""The variable of the environment, and its word, for a run that neither reads nor keeps answers."""


@contextmanager
def solvers(progress: Say) -> Iterator[Executor]:
    """Solver processes that end with the block; what was searched before is not searched again. Raises SolverError as
    `process_pool` does."""
    from genplan.planning.answers.remembering import Remembering
    from genplan.planning.answers.store import AnswerStore, folder_for
    from genplan.planning.jobs import process_pool

    folder = None if os.environ.get(STORE) == OFF else folder_for(os.environ)
    with process_pool(hear=progress) as executor:
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
                problem=error.strerror,
            )
        ) from error
