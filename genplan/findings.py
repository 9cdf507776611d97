"""A problem in what a user wrote, as a value: where it is, what was found, what was expected, what to do."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from enum import StrEnum
from operator import attrgetter

from genplan.language import N_, _


class Severity(StrEnum):
    ERROR = N_("error")
    WARNING = N_("warning")


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
        text = (
            _("{found}; expected {expected}.", found=self.found, expected=self.expected)
            if self.expected
            else f"{self.found}."
        )
        if not self.hint:
            return text
        end = "" if self.hint.endswith(("?", ".")) else "."
        return f"{text} {self.hint[0].upper()}{self.hint[1:]}{end}"


MOST_LINES_NAMED = 5
_but_for_its_line = attrgetter("file", "key", "found", "expected", "hint", "severity")


def told_once(findings: Iterable[Finding], most: int = 1000) -> tuple[Finding, ...]:
    """The same fault on many lines is one finding, at the first, that names the others. Of more different ones than
    `most` the rest are counted."""
    alike: dict[object, list[Finding]] = {}
    for finding in findings:
        alike.setdefault(_but_for_its_line(finding), []).append(finding)
    told = [
        replace(first, found=first.found + _also_on([f.line for f in others]))
        for first, *others in alike.values()
    ]
    rest = told[most:]
    if not rest:
        return tuple(told)
    worst = min(f.severity for f in rest)
    return (
        *told[:most],
        Finding(rest[0].file, 0, "", _("{number} more findings", number=len(rest)), "", "", worst),
    )


def _also_on(lines: Sequence[int]) -> str:
    if not lines:
        return ""
    named = ", ".join(map(str, lines[:MOST_LINES_NAMED]))
    more = (
        _(" and {number} more", number=len(lines) - MOST_LINES_NAMED) if len(lines) > MOST_LINES_NAMED else ""
    )
    return _(" (also on line {named}{more})", named=named, more=more)


MOST_COMPARED = 1000


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint that names the known word nearest to `word`, or the empty string."""
    close = nearest_word(word, known)
    return _("did you mean '{word}'?", word=close) if close else ""


def nearest_word(word: str, known: Iterable[str]) -> str:
    """The known word itself, or the empty string."""
    words = sorted(known)
    if len(words) > MOST_COMPARED:
        # comparing takes some hundredths of a millisecond each, and a hint is no matter for seconds
        words = [w for w in words if w[:1] == word[:1] and abs(len(w) - len(word)) < 3][:MOST_COMPARED]
    return next(iter(get_close_matches(word, words, n=1, cutoff=0.6)), "")
