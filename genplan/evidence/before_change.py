"""What a row said before it was put right, at the end of its note: for people to read, the program makes nothing of
it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.language import N_, said

BEFORE = N_("before: {cells}")
EMPTY = "\N{EN DASH}"
"""Stands for a cell that was empty; a hyphen is a sign of one trial."""


def with_before(note: str, old: Mapping[str, str], changed: Sequence[str]) -> str:
    """The note, and behind it what the changed cells said as they were written; a note of before is kept whole,
    whatever the new one says."""
    cells = [f"{name} {old[name] or EMPTY}" for name in changed if name != "note"]
    if "note" in changed and old["note"]:
        cells.append(f'note "{old["note"]}"')
    return "; ".join(filter(None, (note, said(BEFORE, cells=", ".join(cells)) if cells else "")))
