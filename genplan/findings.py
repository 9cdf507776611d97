"""A problem in what a user wrote, as a value: where it is, what was found, what was expected, what to do."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, order=True)
class Finding:
    """One problem. `line` is 1-based, 0 where a whole file or folder is meant; `key` is a dotted path such as
    ``adults.grandad.free.tue``; `found`, `expected` and `hint` are fragments of plain English without a full stop."""

    file: str
    line: int
    key: str
    found: str
    expected: str
    hint: str = ""
    severity: Severity = Severity.ERROR

    def sentence(self) -> str:
        """`file:line: key: found …; expected …. Hint.` on one line."""
        where = f"{self.file}:{self.line}" if self.line else self.file
        return ": ".join(filter(None, (where, self.key, self.words)))

    @property
    def words(self) -> str:
        """The sentence without the place, for what stands in no file of the user's."""
        text = f"{self.found}; expected {self.expected}." if self.expected else f"{self.found}."
        if not self.hint:
            return text
        end = "" if self.hint.endswith("?") else "."
        return f"{text} {self.hint[0].upper()}{self.hint[1:]}{end}"


MOST_COMPARED = 1000


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the known word nearest to `word`, or the empty string."""
    words = sorted(known)
    if len(words) > MOST_COMPARED:
        # comparing takes some hundredths of a millisecond each, and a hint is no matter for seconds
        words = [w for w in words if w[:1] == word[:1] and abs(len(w) - len(word)) < 3][:MOST_COMPARED]
    close = get_close_matches(word, words, n=1, cutoff=0.6)
    return f"did you mean '{close[0]}'?" if close else ""
