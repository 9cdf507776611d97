"""What a row said before it was put right, at the end of its note: written there, and read again to put it back."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from genplan.language import N_, said
from genplan.language.every_language import in_every_language

BEFORE = N_("before: {cells}")
EMPTY = "\N{EN DASH}"
"""Stands for a cell that was empty; a hyphen is a sign of one trial."""
BETWEEN = "; "


def with_before(note: str, old: Mapping[str, str], changed: Sequence[str]) -> str:
    """The note, and behind it what the changed cells said. The note of before comes last among them, in quotation marks
    since it may say anything, and only where the new one does not hold it."""
    cells = [f"{name} {old[name] or EMPTY}" for name in changed if name != "note"]
    if "note" in changed and old["note"] and old["note"] not in note:
        cells.append(f"note {_quoted(old['note'])}")
    return BETWEEN.join(filter(None, (note, said(BEFORE, cells=", ".join(cells)) if cells else "")))


def with_reason(why: str, note: str) -> str:
    """The note of a row that was taken back: why, and behind it the note that it had, to be put back to the letter."""
    return BETWEEN.join((why, said(BEFORE, cells=f"note {_quoted(note) if note else EMPTY}")))


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def said_before(note: str, columns: Sequence[str]) -> dict[str, str]:
    """The cells that stand at the end of a note as `with_before` writes them, and the note without them; nothing if
    none do. Of several the last that was written, which holds those before it where the note was changed, too."""
    now, cells = _apart(note, columns)
    return {"note": now, **cells} if cells else {}


def without_before(note: str, columns: Sequence[str]) -> str:
    """The note alone, of which `said_before` reads the rest."""
    return _apart(note, columns)[0]


def _apart(note: str, columns: Sequence[str]) -> tuple[str, dict[str, str]]:
    words = "|".join(re.escape(w.partition("{cells}")[0]) for w in in_every_language(BEFORE))
    for found in re.finditer(rf"(?:^|{BETWEEN})(?:{words})", note):
        if cells := _cells(note[found.end() :], columns):
            return note[: found.start()], cells
    return note, {}


def _cells(text: str, columns: Sequence[str]) -> dict[str, str]:
    names = "|".join(re.escape(name) for name in columns if name != "note")
    cell = rf'(?:{names}) (?:(?!{BETWEEN}|, (?:{names}|note) )[^"])+'
    quoted = rf'(?P<whole>note (?:"(?P<note>(?:[^"]|"")*)"|{EMPTY}))'
    found = re.fullmatch(rf"(?P<cells>{cell}(?:, {cell})*)?(?:(?:^|, ){quoted})?", text)
    if not text or found is None:
        return {}
    parts = re.findall(rf"(?:^|, )({names}) ((?:(?!, (?:{names}) ).)+)", found["cells"] or "")
    cells = {name: "" if said_there == EMPTY else said_there for name, said_there in parts}
    return cells if found["whole"] is None else cells | {"note": (found["note"] or "").replace('""', '"')}
