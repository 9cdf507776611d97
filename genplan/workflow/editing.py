"""Changing one thing of a case where it stands, with a look at the files that are read by the case."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import FileError
from genplan.findings import Finding
from genplan.workflow.checking import about_kept
from genplan.workflow.opened_case import errors_of, local

if TYPE_CHECKING:
    from genplan.casefile import Loaded
    from genplan.casefile.tree import Node


def put_thing(
    folder: Path, path: tuple[str, ...], node: Node | None, digest: str, now: datetime | None
) -> Loaded:
    """Writes a thing of the case, or takes it out for None. Raises ChangedOutside, FileError, and CaseError with the
    errors that the change would bring, those in results.csv and in kept weeks among them; nothing has changed then."""
    from genplan.casefile import edit

    return edit.put(folder, path, node, digest, lambda loaded: _beside(folder, loaded, now))


def _beside(folder: Path, loaded: Loaded, now: datetime | None) -> tuple[Finding, ...]:
    from genplan.evidence.results import read_results

    if loaded.case is None:
        return ()
    moment = local(loaded.case, now)
    found: list[Finding] = []
    try:
        found += read_results(folder, loaded.case, moment)[1]
        found += about_kept(folder, loaded.case, moment)
    except FileError:
        # a file that cannot be opened is no matter of this change, and check says so
        pass
    return errors_of(found)
