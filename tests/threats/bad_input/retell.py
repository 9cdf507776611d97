"""Run by hand after a sentence was changed: `python -m tests.threats.bad_input.retell [subject …]` writes what the
program says now into the entries. Read every line of the difference: what stands there is what the tests will want."""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from tests.fixtures.corpus import Entry, entries_of
from tests.fixtures.places import BAD_INPUT
from tests.fixtures.telling import of_calendars, sentences


def main(subjects: list[str]) -> None:
    for file in sorted(BAD_INPUT.glob("*.txt")):
        if not subjects or file.stem in subjects:
            retell(file)


def retell(file: Path) -> None:
    told = _told(list(entries_of(file)))
    head, *blocks = re.split(r"^== ", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    fresh = []
    for block in blocks:
        title, *lines = block.rstrip("\n").split("\n")
        kept = [line for line in lines if line and line[:1] not in "=~"]
        fresh.append("\n".join([f"== {title}", *kept, *told[title]]) + "\n")
    file.write_text(head.rstrip("\n") + "\n\n" + "\n".join(fresh), encoding="utf-8")


def _told(entries: list[Entry]) -> dict[str, tuple[str, ...]]:
    if entries and entries[0].reads == "calendar":
        with tempfile.TemporaryDirectory() as folder:
            return dict(of_calendars(entries, Path(folder)))
    told = {}
    for entry in entries:
        with tempfile.TemporaryDirectory() as folder:
            told[entry.title] = sentences(entry, Path(folder))
    return told


if __name__ == "__main__":
    main(sys.argv[1:])
