"""A row that is of another day, time, person, place or thing, or of nothing that happened, put right where it stands,
or taken back and put back.

A later row can correct counts alone: it is by day, combination and time that it speaks of the same probe.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import _
from genplan.workflow.correcting import counts_no_more, with_digest
from genplan.workflow.doubts import (
    Doubts,
    NotAdded,
    Sure,
    as_read,
    held_back,
    named,
    of_long_ago,
    still_ahead,
    unasked,
)
from genplan.workflow.doubts_of_trials import other_trials
from genplan.workflow.names_of_things import by_their_names
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.recording import Added

if TYPE_CHECKING:
    from genplan.evidence.delimited_text import Sheet
    from genplan.evidence.log import Log, Result

Cells = dict[int, dict[str, str]]
"""Line of a row -> its new cells."""


def put_right(
    folder: Path, digest: str, changes: Mapping[str, str], now: datetime | None, sure: Sure = unasked
) -> Added:
    """Changes the row that was looked at, wherever it stands now; what the changed cells said before goes to its note,
    so that nothing is lost. Rows in whose place it counts go with it: else they would count
    again. One that was not run loses its counts. Raises UsageError for a row that is not there any more, counts no
    more, stays as it is or is not run for no reason, NotAdded if there are doubts about what it would say and that is
    not wanted; as `change_rows`."""

    def wanted(opened: Opened, old: Result, sheet: Sheet) -> Cells:
        rows = _that_count_as(opened, old)
        _ask_why(old, changes)
        written = {r.line: sheet.row(sheet.lines.index(r.line)).cells for r in rows}
        meant = {r.line: _cells(opened, r, written[r.line], changes, is_last=r is old) for r in rows}
        _ask(opened, old, meant[old.line], sure)
        return meant

    return _changed(folder, digest, now, wanted)


def take_row_back(folder: Path, digest: str, why: str, now: datetime | None) -> Added:
    """From now on the row counts for nothing, as if it had never been written down, and those in whose place it counts
    neither. Raises UsageError without a reason; else as `put_right`."""
    from genplan.evidence.taken_back import TAKEN_BACK, with_reason

    def wanted(opened: Opened, old: Result, _sheet: Sheet) -> Cells:
        own = why.strip()  # the form holds the old note, and the reason is mostly typed behind it
        if old.note and own.startswith(old.note) and not own[len(old.note) :][:1].isalnum():
            own = own.removeprefix(old.note).strip(" ,;.\n")
        if not own:
            raise UsageError(_("Why is it taken back? Nothing was changed: give the reason as the note."))
        return {
            r.line: {"kind": f"{TAKEN_BACK}{r.kind.value}", "note": with_reason(r.note, own)}
            for r in _that_count_as(opened, old)
        }

    return _changed(folder, digest, now, wanted, counts=False)


def put_row_back(folder: Path, digest: str, now: datetime | None) -> Added:
    """A row that was taken back counts again, with those that were taken back with it, and its note is what it was.
    Raises UsageError for one that is not there any more, or in whose place another counts by now; as `change_rows`."""
    from genplan.evidence.row_identity import in_names
    from genplan.evidence.taken_back import note_and_reason, taken_with

    def wanted(opened: Opened, old: Result, _sheet: Sheet) -> Cells:
        back = taken_with(opened.log.taken_back, old)
        if other := _that_denies(opened.log.results, back):
            raise UsageError(
                _(
                    "For the same time this is written down by now: {other}. The row that was taken back says "
                    "otherwise: {row}. Nothing was changed: only one of the two can be so.",
                    other=in_names(opened.case, other),
                    row=in_names(opened.case, old),
                )
            )
        return {r.line: {"kind": r.kind.value, "note": note_and_reason(r.note)[0]} for r in back}

    return _changed(folder, digest, now, wanted, was_taken_back=True)


def in_the_way_of(results: Sequence[Result], away: Sequence[Result], gone: Result) -> Result | None:
    """The row that counts for the same check or teaching by now, where one does, or says of it that it was not run: one
    that was taken back is not put back beside it, nor are those that come back with it."""
    from genplan.evidence.effective_rows import corrected_by
    from genplan.evidence.taken_back import taken_with

    rows, back = {r.line: r for r in results}, taken_with(away, gone)
    lines = {r.line for r in back}
    pairs = corrected_by((*results, *back)).items()
    others = [rows[line] for pair in pairs if lines & {*pair} for line in pair if line in rows]
    return max(others, key=lambda r: r.line, default=None) or _that_denies(results, back)


def _that_denies(results: Sequence[Result], back: Sequence[Result]) -> Result | None:
    """The last of the rows that say otherwise than one of these whether the same was run."""
    from genplan.evidence.row_identity import denies

    return max((r for r in results if any(denies(r, b) for b in back)), key=lambda r: r.line, default=None)


def _changed(
    folder: Path,
    digest: str,
    now: datetime | None,
    wanted: Callable[[Opened, Result, Sheet], Cells],
    was_taken_back: bool = False,
    counts: bool = True,
) -> Added:
    from dataclasses import replace

    from genplan.evidence.change_rows import change_rows
    from genplan.evidence.log import Log

    opened = open_case(folder, now)
    found: list[Result] = []

    def changes(log: Log, sheet: Sheet) -> Cells:
        old = with_digest(opened, Log(log.taken_back) if was_taken_back else log, digest)
        found.append(old)
        return wanted(replace(opened, log=log), old, sheet)

    rows, findings = change_rows(folder, opened.case, changes, opened.wall)
    last = (max(rows, key=lambda r: r.line),)
    return Added(last, (), findings, by_their_names(opened, last) if counts else (), corrected=found[0])


def _that_count_as(opened: Opened, old: Result) -> list[Result]:
    """The row and those in whose place it counts. Raises UsageError if another counts in its own."""
    from genplan.evidence.effective_rows import corrected_by

    by = corrected_by(opened.log.results)
    if later := by.get(old.line):
        raise UsageError(counts_no_more(opened, old, later, on_a_screen=True))
    return [r for r in opened.log.results if r.line == old.line or by.get(r.line) == old.line]


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
        ahead=still_ahead(opened, rows, named(opened.case, ())) if when else (),
        held_back=held_back(opened, rows) if "material_set" in meant else (),
        trials=other_trials(opened, [r for r in rows if r.trials != old.trials]),
        long_ago=of_long_ago(opened, rows) if when else (),
    )
    if doubts.sentences and not sure(doubts):
        raise NotAdded(doubts.each)


def _cells(
    opened: Opened, row: Result, written: Mapping[str, str], wanted: Mapping[str, str], *, is_last: bool
) -> dict[str, str]:
    """The new cells of a row; what they said before as it was `written`, whether or not it can be read. Counts and the
    note that were typed are those of the one that counts."""
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
    return {
        **new,
        "note": with_before(new.get("note", old["note"]), {**dict.fromkeys(new, ""), **written}, tuple(new)),
    }
