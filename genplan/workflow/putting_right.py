"""A row that is of another day, time, person, place or thing, or of nothing that happened, put right where it stands.

A later row can correct counts alone: it is by day, combination and time that it speaks of the same probe.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import _
from genplan.workflow.correcting import with_digest
from genplan.workflow.doubts import as_read, named, of_long_ago, still_ahead
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.recording import Added

if TYPE_CHECKING:
    from genplan.evidence.log import Log, Result


def put_right(folder: Path, digest: str, changes: Mapping[str, str], now: datetime | None) -> Added:
    """Changes the row that was looked at, wherever it stands now; what the changed cells said before goes to its note,
    so that nothing is lost and all can be put back. Rows in whose place it counts go with it: else they would count
    again. A kind 'not run' takes it back. Raises UsageError for a row that is not there any more, counts no more,
    stays as it is, would be still ahead, or is taken back without a reason; as `change_rows`."""
    from genplan.evidence.change_rows import change_rows

    opened = open_case(folder, now)
    found: list[Result] = []

    def wanted(log: Log) -> dict[int, dict[str, str]]:
        found.append(with_digest(opened, log, digest))
        meant = _changes(opened, log, found[0], changes)
        _refuse_ahead(opened, found[0], meant[found[0].line])
        return meant

    rows, findings = change_rows(folder, opened.case, wanted, opened.wall)
    last = (max(rows, key=lambda r: r.line),)
    return Added(last, (), findings, of_long_ago(opened, last), corrected=found[0])


def _refuse_ahead(opened: Opened, old: Result, meant: Mapping[str, str]) -> None:
    from genplan.evidence.row_identity import cells_of

    if not meant.keys() & {"date", "time"}:
        return
    rows = as_read(opened, [{**cells_of(opened.case.targets[old.target], old), **meant}], old.line - 1)
    if ahead := still_ahead(opened, rows, named(opened.case, ())):
        raise UsageError(" ".join((*ahead, _("Nothing was changed."))))


def _changes(opened: Opened, log: Log, old: Result, wanted: Mapping[str, str]) -> dict[int, dict[str, str]]:
    from genplan.evidence.effective_rows import corrected_by
    from genplan.evidence.log import ResultKind

    by = corrected_by(log.results)
    if later := by.get(old.line):
        raise UsageError(
            _(
                "Line {line} is corrected by line {later} already. Correct that one.",
                line=old.line,
                later=later,
            )
        )
    if wanted.get("kind") == ResultKind.NOT_RUN and not wanted.get("note"):
        raise UsageError(_("Why was it not run? Nothing was added: give the reason as the note."))
    rows = [r for r in log.results if r.line == old.line or by.get(r.line) == old.line]
    return {r.line: _cells(opened, r, wanted, is_last=r is old) for r in rows}


def _cells(opened: Opened, row: Result, wanted: Mapping[str, str], *, is_last: bool) -> dict[str, str]:
    """The new cells of a row. Counts and the note that were typed are those of the one that counts."""
    from genplan.evidence.log import ResultKind
    from genplan.evidence.marks import MARKS
    from genplan.evidence.row_counts import COUNTS
    from genplan.evidence.row_identity import cells_of

    old = cells_of(opened.case.targets[row.target], row)
    own = (*COUNTS, *MARKS, "steps_kept", "observer")
    new = {name: cell for name, cell in wanted.items() if is_last or name not in (*own, "note")}
    if wanted.get("kind") == ResultKind.NOT_RUN:
        new |= dict.fromkeys(own, "")
    new = {name: cell for name, cell in new.items() if cell != old[name]}
    if is_last and not new:
        raise UsageError(
            _("Nothing was changed, so nothing was written: line {line} stays as it is.", line=row.line)
        )
    note = new.get("note", old["note"]) or wanted.get("note", "")
    before = ", ".join(
        f"{name} {old[name]}" for name in new if old[name] and (name != "note" or old[name] not in note)
    )
    said = _("before: {cells}", cells=before) if before else ""
    return {**new, "note": "; ".join(filter(None, (note, said)))}
