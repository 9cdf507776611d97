"""Several files of a case changed together: all of them, or none."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from datetime import datetime
from pathlib import Path

from genplan.errors import CaseError
from genplan.findings import Finding
from genplan.workflow.editing import beside
from genplan.workflow.opened_case import errors_of

Files = Mapping[str, bytes | None]
"""Name in the case folder -> what it shall hold; None: it shall not be there."""


@contextmanager
def all_locked(folder: Path) -> Iterator[None]:
    """Nobody else changes the case, its results or its kept weeks meanwhile. Raises FileError."""
    from genplan.casefile import edit
    from genplan.casefile.earlier import make_ready
    from genplan.evidence.append_rows import results_locked
    from genplan.keeping.store import kept_weeks, week_locked

    with ExitStack() as stack:
        stack.enter_context(edit.locked(folder))
        make_ready(folder, locked=True)
        stack.enter_context(results_locked(folder))
        for week in kept_weeks(folder):
            stack.enter_context(week_locked(folder, week))
        yield


def write_whole(
    folder: Path, files: Files, now: datetime | None, look: Callable[[], None] = lambda: None
) -> None:
    """Writes the files. Raises CaseError with the errors that the case, its results or its kept weeks would have then
    and had not before, FileError where one cannot be written; everything is as it was then, and if the run is killed.
    The caller holds `all_locked`. `look` looks at the files as they would be, and what it
    raises leaves them as they were."""
    from genplan.casefile.edit import brought_errors
    from genplan.folders import replaced

    wrong_before = _errors(folder, now)
    with replaced(folder, files):
        if brought := brought_errors(wrong_before, _errors(folder, now)):
            raise CaseError(brought)
        look()


def _errors(folder: Path, now: datetime | None) -> tuple[Finding, ...]:
    from genplan.casefile import load

    loaded = load(folder)
    return (*errors_of(loaded.findings), *beside(folder, loaded, now))
