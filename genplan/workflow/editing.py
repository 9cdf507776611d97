"""Changing one thing of a case where it stands, with a look at the files that are read by the case."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import FileError
from genplan.findings import Finding
from genplan.language import _, said
from genplan.workflow.cautions_lost import MayGo, none_may_go, refuse_lost
from genplan.workflow.checking import about_kept
from genplan.workflow.opened_case import errors_of, local, wall_clock

if TYPE_CHECKING:
    from genplan.casefile import Loaded
    from genplan.casefile.tree import Node

WITHOUT_CAUTIONS = (
    "adults",
    "locations",
    "travel_minutes",
    "changes",
    "policy",
    "language",
    "words",
    "timezone",
)
"""Keys at the top of a case under which nothing says what a child is kept from."""


def put_thing(
    folder: Path,
    path: tuple[str, ...],
    node: Node | None,
    digest: str,
    now: datetime | None,
    may_go: MayGo = none_may_go,
) -> Loaded:
    """Writes a thing of the case, or takes it out for None. Raises ChangedOutside, FileError, CaseError with the
    errors that the change would bring, those in results.csv and in kept weeks among them, and CautionsWouldGo where a
    caution would go that `may_go` does not let go; nothing has changed then."""
    from genplan.casefile import edit
    from genplan.casefile.earlier import undoable

    def look(before: Loaded, after: Loaded) -> None:
        if path[0] not in WITHOUT_CAUTIONS:
            refuse_lost(before.case, after.case, may_go, typed=True, on=wall_clock(now).date())

    with undoable(folder, _words(folder, path, node), wall_clock(now)):
        return edit.put(folder, path, node, digest, lambda loaded: beside(folder, loaded, now), look)


def _words(folder: Path, path: tuple[str, ...], node: Node | None) -> str:
    """What is done to a thing, for who looks for an earlier state."""
    from genplan.casefile import edit
    from genplan.casefile.domain_types import one_of

    was = edit.thing(folder, path).node
    name = said(one_of(path[0]) if len(path) > 1 else path[0].replace("_", " "))
    what = f"{name} {called(node or was, path[1])}" if len(path) > 1 else name
    if node is None:
        return _("{what} taken out", what=what)
    return _("{what} added", what=what) if was is None else _("{what} changed", what=what)


def called(node: Node | None, id_: str) -> str:
    """The alias or name that a thing has in the file, else its id."""
    from genplan.casefile.tree import Leaf

    said = [node.get(key) for key in ("alias", "name")] if isinstance(node, dict) else []
    return next((one.text for one in said if isinstance(one, Leaf) and not one.is_empty and one.text), id_)


def beside(folder: Path, loaded: Loaded, now: datetime | None) -> tuple[Finding, ...]:
    """Errors in the files that are read by the case: its results, and the kept weeks that are not over."""
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
