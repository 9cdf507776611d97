"""Rows that never happened: they stay to be seen, with all they said, and nothing is made of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from itertools import compress

from genplan.evidence.delimited_text import Sheet
from genplan.evidence.effective_rows import corrected_by, probe_of
from genplan.evidence.log import Result

TAKEN_BACK = "taken back: "
"""Stands before the kind that the row had, and before the reason, which is the end of its note."""
_BEHIND_NOTE = f"; {TAKEN_BACK}"


def apart(sheet: Sheet) -> tuple[Sheet, Sheet]:
    """The sheet without the rows that were taken back, and these alone, of the kinds that they had."""
    kinds = sheet.column("kind")
    gone = [kind.startswith(TAKEN_BACK) for kind in kinds]
    if not any(gone):
        return sheet, replace(sheet, lines=(), said=tuple(() for _ in sheet.said))
    away = _chosen(sheet, gone)
    at = away.columns.index("kind")
    before = tuple(kind.removeprefix(TAKEN_BACK) for kind in away.said[at])
    return (
        _chosen(sheet, [not one for one in gone]),
        replace(away, said=(*away.said[:at], before, *away.said[at + 1 :])),
    )


def _chosen(sheet: Sheet, which: list[bool]) -> Sheet:
    said = tuple(tuple(compress(column, which)) for column in sheet.said)
    return replace(sheet, lines=tuple(compress(sheet.lines, which)), said=said)


def with_reason(note: str, why: str) -> str:
    """The note that a row had, to the letter, and why it was taken back behind it."""
    why = why.replace(_BEHIND_NOTE, f", {TAKEN_BACK}")
    return f"{note}{_BEHIND_NOTE}{why}" if note else f"{TAKEN_BACK}{why}"


def note_and_reason(note: str) -> tuple[str, str]:
    """What `with_reason` put together; a note that somebody else wrote is a note alone."""
    before, found, why = note.rpartition(_BEHIND_NOTE)
    if found:
        return before, why
    return ("", note.removeprefix(TAKEN_BACK)) if note.startswith(TAKEN_BACK) else (note, "")


def taken_with(away: Iterable[Result], gone: Result) -> list[Result]:
    """The rows of one probe or teaching that were taken back for one reason, in the order of the file: they come back
    together, or an older one would count that did not before."""
    why = note_and_reason(gone.note)[1]
    rows = [r for r in away if probe_of(r) == probe_of(gone) and note_and_reason(r.note)[1] == why]
    return sorted((r for r in rows if r == gone or corrected_by((r, gone))), key=lambda r: r.line)


def last_taken_back(away: Iterable[Result]) -> list[Result]:
    """Of the rows that come back together the one that will count."""
    by_reason: dict[str, list[Result]] = defaultdict(list)
    for r in away:
        by_reason[note_and_reason(r.note)[1]].append(r)
    gone = set().union(*map(corrected_by, by_reason.values()))
    return [r for rows in by_reason.values() for r in rows if r.line not in gone]
