"""What a row said before it was put right, at the end of its note: for people to read. The program makes nothing of it
but to know the row again, where the sheet from which it came is handed in once more."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from genplan.language import N_, said
from genplan.language.every_language import in_every_language

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


def states_before(cells: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """The cells of a row as they were before each of its changes, the latest change first."""
    state = dict(cells)
    while parted := _parted(state.get("note", "")):
        note, changed = parted
        state = {**state, "note": note, **changed}
        yield dict(state)


def _parted(note: str) -> tuple[str, dict[str, str]] | None:
    """The note without what the row said before, and that by column; None where nothing is said of it."""
    for match in re.finditer(rf"(?:^|; )(?:{_begins()})", note):
        whole = re.fullmatch(
            rf"(?P<cells>{_CELL}(?:, {_CELL})*)?(?:(?(cells), )note \"(?P<note>.*)\")?", note[match.end() :]
        )
        if whole and whole[0]:
            cells = (cell.partition(" ") for cell in (whole["cells"] or "").split(", ") if cell)
            found = {name: "" if value == EMPTY else value for name, _, value in cells}
            return note[: match.start()], found if whole["note"] is None else {**found, "note": whole["note"]}
    return None


_CELL = r"(?!note )[a-z][a-z0-9_-]* [^,;\"]+"


@lru_cache
def _begins() -> str:
    return "|".join(re.escape(words.partition("{")[0]) for words in sorted(in_every_language(BEFORE)))
