"""A row that is of another day, time, person, place or thing, or of nothing that happened, put right where it stands,
and put back as it was.

A later row can correct counts alone: it is by day, combination and time that it speaks of the same probe.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import _
from genplan.workflow.correcting import with_digest
from genplan.workflow.doubts import (
    Doubts,
    NotAdded,
    Sure,
    as_read,
    fewer_trials,
    named,
    of_long_ago,
    still_ahead,
    unasked,
)
from genplan.workflow.names_of_things import by_their_names
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.recording import Added

if TYPE_CHECKING:
    from genplan.case import Target
    from genplan.evidence.log import Log, Result

Cells = dict[int, dict[str, str]]
"""Line of a row -> its new cells."""


def put_right(
    folder: Path, digest: str, changes: Mapping[str, str], now: datetime | None, sure: Sure = unasked
) -> Added:
    """Changes the row that was looked at, wherever it stands now; what the changed cells said before goes to its note,
    so that nothing is lost and all can be put back. Rows in whose place it counts go with it: else they would count
    again. One that was not run loses its counts. Raises UsageError for a row that is not there any more, counts no
    more, stays as it is or is not run for no reason, NotAdded if there are doubts about what it would say and that is
    not wanted; as `change_rows`."""

    def wanted(opened: Opened, old: Result) -> Cells:
        rows = _that_count_as(opened.log, old)
        _ask_why(old, changes)
        meant = {r.line: _cells(opened, r, changes, is_last=r is old) for r in rows}
        _ask(opened, old, meant[old.line], sure)
        return meant

    return _changed(folder, digest, now, wanted)


def take_row_back(folder: Path, digest: str, why: str, now: datetime | None) -> Added:
    """From now on the row counts for nothing, as if it had never been written down, and those in whose place it counts
    neither. Raises UsageError without a reason; else as `put_right`."""
    from genplan.evidence.before_change import with_reason
    from genplan.evidence.taken_back import TAKEN_BACK

    def wanted(opened: Opened, old: Result) -> Cells:
        own = why  # the form holds the old note, and the reason is mostly typed behind it
        if why.startswith(old.note) and not why[len(old.note) :][:1].isalnum() and old.note:
            own = why.removeprefix(old.note).strip(" ,;.\n")
        if not own:
            raise UsageError(_("Why is it taken back? Nothing was changed: give the reason as the note."))
        return {
            r.line: {"kind": f"{TAKEN_BACK}{r.kind.value}", "note": with_reason(own, r.note)}
            for r in _that_count_as(opened.log, old)
        }

    return _changed(folder, digest, now, wanted, counts=False)


def put_row_back(folder: Path, digest: str, now: datetime | None) -> Added:
    """The undoing of all that is done to a row: one that was taken back counts again, one that was put right says what
    it said before, and one that counts in the place of another gives way to it. Raises UsageError for a row to which
    nothing was done, or whose note does not tell it any more; else as `put_right`."""
    from genplan.evidence.row_identity import digest_of
    from genplan.evidence.taken_back import TAKEN_BACK

    def wanted(opened: Opened, old: Result) -> Cells:
        if old in opened.log.taken_back:
            return {
                old.line: {"kind": old.kind.value, **_note_of_before(opened.case.targets[old.target], old)}
            }
        target, rows = opened.case.targets[old.target], _that_count_as(opened.log, old)
        told = {r.line: before_of(target, r) for r in rows}
        if all(told.values()):
            return told
        if not told[old.line] and len(rows) > 1:
            return {old.line: {"kind": f"{TAKEN_BACK}{old.kind.value}"}}
        raise UsageError(
            _("The note does not say what the row said before. Nothing was changed: put it right by hand.")
        )

    opened = open_case(folder, now)
    away = [r for r in opened.log.taken_back if digest_of(opened.case.targets[r.target], r) == digest]
    return _changed(folder, digest, now, wanted, bool(away))


def in_the_way_of(results: Sequence[Result], gone: Result) -> Result | None:
    """The row that counts for the same check or teaching by now, where one does: one that was taken back is not put
    back beside it."""
    from genplan.evidence.effective_rows import corrected_by

    rows = {r.line: r for r in results}
    pairs = corrected_by((*results, gone)).items()
    others = [rows[line] for pair in pairs if gone.line in pair for line in pair if line in rows]
    return max(others, key=lambda r: r.line, default=None)


def why_taken_back(target: Target, gone: Result) -> str:
    """The reason alone, without the note that the row had before."""
    from genplan.evidence.before_change import without_before
    from genplan.evidence.row_identity import cells_of

    return without_before(gone.note, tuple(cells_of(target, gone)))


def _note_of_before(target: Target, gone: Result) -> dict[str, str]:
    """The note that a row had before it was taken back, where its own tells that and nothing else of before."""
    found = before_of(target, gone)
    return found if found.keys() == {"note"} else {}


def before_of(target: Target, row: Result) -> dict[str, str]:
    """What a row said before it was put right, as its note tells; nothing if it was not, or that was written over."""
    from genplan.evidence.before_change import said_before
    from genplan.evidence.row_identity import cells_of

    return said_before(row.note, tuple(cells_of(target, row)))


def _changed(
    folder: Path,
    digest: str,
    now: datetime | None,
    wanted: Callable[[Opened, Result], Cells],
    was_taken_back: bool = False,
    counts: bool = True,
) -> Added:
    from dataclasses import replace

    from genplan.evidence.change_rows import change_rows
    from genplan.evidence.log import Log

    opened = open_case(folder, now)
    found: list[Result] = []

    def changes(log: Log) -> Cells:
        old = with_digest(opened, Log(log.taken_back) if was_taken_back else log, digest)
        found.append(old)
        return wanted(replace(opened, log=log), old)

    rows, findings = change_rows(folder, opened.case, changes, opened.wall)
    last = (max(rows, key=lambda r: r.line),)
    return Added(last, (), findings, by_their_names(opened, last) if counts else (), corrected=found[0])


def _that_count_as(log: Log, old: Result) -> list[Result]:
    """The row and those in whose place it counts. Raises UsageError if another counts in its own."""
    from genplan.evidence.effective_rows import corrected_by

    by = corrected_by(log.results)
    if later := by.get(old.line):
        raise UsageError(
            _(
                "Line {line} is corrected by line {later} already. Correct that one.",
                line=old.line,
                later=later,
            )
        )
    return [r for r in log.results if r.line == old.line or by.get(r.line) == old.line]


def _ask_why(old: Result, changes: Mapping[str, str]) -> None:
    from genplan.evidence.log import ResultKind

    kind, note = changes.get("kind", old.kind.value), changes.get("note", old.note)
    if kind == ResultKind.NOT_RUN and not note:
        raise UsageError(_("Why was it not run? Nothing was changed: give the reason as the note."))


def _ask(opened: Opened, old: Result, meant: Mapping[str, str], sure: Sure) -> None:
    """What a new row would be asked about is asked of a changed one, too, as far as it says something else now."""
    from genplan.evidence.row_identity import cells_of

    rows = as_read(opened, [{**cells_of(opened.case.targets[old.target], old), **meant}], old.line - 1)
    when = meant.keys() & {"date", "time"}
    doubts = Doubts(
        still_ahead(opened, rows, named(opened.case, ())) if when else (),
        fewer_trials(opened, [r for r in rows if r.trials != old.trials]),
        of_long_ago(opened, rows) if when else (),
    )
    if doubts.sentences and not sure(doubts):
        raise NotAdded(doubts.each)


def _cells(opened: Opened, row: Result, wanted: Mapping[str, str], *, is_last: bool) -> dict[str, str]:
    """The new cells of a row. Counts and the note that were typed are those of the one that counts."""
    from genplan.evidence.before_change import with_before
    from genplan.evidence.log import ResultKind
    from genplan.evidence.marks import MARKS
    from genplan.evidence.row_counts import COUNTS
    from genplan.evidence.row_identity import cells_of

    old = cells_of(opened.case.targets[row.target], row)
    counted = (*COUNTS, *MARKS, "steps_kept", "observer")
    new = {name: cell for name, cell in wanted.items() if is_last or name not in (*counted, "note")}
    if new.get("kind") == ResultKind.NOT_RUN:
        new = dict.fromkeys(counted, "") | new
    new = {name: cell for name, cell in new.items() if cell != old[name]}
    if is_last and not new:
        raise UsageError(_("Nothing was changed, so nothing was written: the row stays as it is."))
    return {**new, "note": with_before(new.get("note", old["note"]), old, tuple(new))}
