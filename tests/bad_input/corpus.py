"""Broken inputs as short entries: a base, an edit of it, and every sentence that a user must read.

An entry in a `.txt` file of this folder:

    == what it is about
    - text of the base, found there once          (none: the new text is the whole file)
    + what stands there instead
    @ other.yaml                                  a further file of the folder; the next + is its text
    ! latin-1                                     the encoding of what is written, instead of UTF-8
    = file:line: key: the sentence of an error
    ~ file:line: key: the sentence of a warning

Several - and + pairs are one edit after the other. In - and + lines `\\n`, `\\r`, `\\t`, `\\xNN` and `\\uNNNN` are
characters and `{{x*9}}` is nine x; in sentences … stands for a list of eight known words and more. An entry without
= and ~ lines must be read without a finding. The first line of a file says what reads it; the base is the file of that
reader in `base/`, for a case the small one of `casefile_cases`.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "casefile"))

from casefile_cases import SMALL

HERE = Path(__file__).parent
BASES = {
    "case": "case.yaml",
    "changes": "changes.yaml",
    "results": "results.csv",
    "filled": "filled.csv",
    "kept": "told.json",
    "calendar": "mum.ics",
}
"""What reads an entry -> the file that it edits."""


@dataclass(frozen=True)
class Entry:
    """`data` is the edited file, `others` are further files of the folder, `told` the sentences with their mark."""

    subject: str
    reads: str
    title: str
    data: bytes
    others: dict[str, bytes] = field(default_factory=dict)
    told: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return f"{self.subject}: {self.title}"


def base(reads: str) -> str:
    if reads == "case":
        return SMALL
    return (HERE / "base" / BASES[reads]).read_text(encoding="utf-8")


def entries() -> list[Entry]:
    """All of them, in the order of the files and in them."""
    return [e for file in sorted(HERE.glob("*.txt")) for e in entries_of(file)]


def entries_of(file: Path) -> Iterator[Entry]:
    head, *blocks = re.split(r"^== ", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    reads = re.search(r"^reads: (\w+)$", head, re.MULTILINE)
    assert reads, file
    for block in blocks:
        title, *lines = block.rstrip("\n").split("\n")
        yield _entry(file.stem, reads[1], title, [line for line in lines if line])


def _entry(subject: str, reads: str, title: str, lines: list[str]) -> Entry:
    text, others, encoding = base(reads), {}, "utf-8"
    old = name = ""
    for line in lines:
        sign, rest = line[:1], line[2:]
        if sign == "-":
            old = plain(rest)
        elif sign == "@":
            name = plain(rest)
        elif sign == "!":
            encoding = rest
        elif sign == "+" and name:
            others[name], name = encoded(plain(rest), encoding), ""
        elif sign == "+":
            text = replaced(text, old, plain(rest), title) if old else plain(rest)
            old = ""
        else:
            assert sign in "=~", (title, line)
    told = tuple(line for line in lines if line[:1] in "=~")
    assert not old, f"{title}: a - line without its + line"
    return Entry(subject, reads, title, encoded(text, encoding), others, told)


def replaced(text: str, old: str, new: str, title: str) -> str:
    assert text.count(old) == 1, f"{title}: {old!r} is there {text.count(old)} times"
    return text.replace(old, new)


def plain(text: str) -> str:
    """The text that an entry's line stands for."""
    text = re.sub(r"\{\{(.*?)\*(\d+)\}\}", lambda m: m[1] * int(m[2]), text)
    signs = {"n": "\n", "r": "\r", "t": "\t", "\\": "\\"}
    return re.sub(
        r"\\(?:x([0-9a-f]{2})|u([0-9a-f]{4})|([nrt\\]))",
        lambda m: signs[m[3]] if m[3] else chr(int(m[1] or m[2], 16)),
        text,
    )


def encoded(text: str, encoding: str) -> bytes:
    """`raw` writes each character below U+0100 as the byte of that number."""
    return text.encode(
        "latin-1" if encoding == "raw" else encoding, "surrogatepass" if "utf" in encoding else "strict"
    )
