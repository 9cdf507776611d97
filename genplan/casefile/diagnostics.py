"""Where each thing was written, and the problems found so far."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from genplan.casefile.invisible_characters import cut
from genplan.findings import Finding, Severity
from genplan.language import _

Path = tuple[str, ...]
"""The keys from the top of the case to a value; the items of a list count from "1", as a reader counts
them."""


LONGEST = 1000
"""Characters of a part of a sentence; what a user wrote is cut long before."""


class SourceLocation(NamedTuple):
    """The file, relative to the case folder, and the 1-based line of a key or of an item of a list. `written` is the
    path under which it stands there, where that is another: what a target has from a skill stands under the skill."""

    file: str
    line: int
    written: Path = ()

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


MOST_ERRORS = 200
MOST_WARNINGS = 500
"""That are told of one case; nobody reads more, and a file that holds more is mostly some other file."""


class TooMany(Exception):
    """There are so many errors that no more are looked for."""


class InvalidValue(ValueError):
    """A text that does not say what its key wants. The parts are those of a `Finding`; `expected` may be left
    to the key, and `line` is 0 where the key's own is meant. `name` is a text that may be the name of what is meant."""

    def __init__(
        self, found: str, expected: str = "", hint: str = "", line: int = 0, *, name: str = ""
    ) -> None:
        self.found, self.expected, self.hint, self.line, self.name = found, expected, hint, line, name
        super().__init__(found)


@dataclass
class Diagnostics:
    """Collects findings while a case is read. `whole` names the folder or file where no line is known. `partial`: a
    file could not be read, and what seems to be missing may be in it."""

    whole: str
    marks: dict[Path, SourceLocation] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    told: Counter[Severity] = field(default_factory=Counter)
    partial: bool = False
    names: dict[Finding, str] = field(default_factory=dict)
    """Of findings at what is no id the text, where it may be the name of what is meant."""

    def mark(self, path: Path) -> SourceLocation:
        """The place of a path, or of the nearest thing around it that was written."""
        for end in range(len(path), 0, -1):
            if mark := self.marks.get(path[:end]):
                return mark._replace(written=(*mark.written, *path[end:])) if mark.written else mark
        return SourceLocation(self.whole, 0)

    def item(self, path: Path, number: int) -> Path:
        """The path of an item of a list, or of the key itself where one value stands for a list."""
        return (*path, str(number)) if (*path, str(number)) in self.marks else path

    def error(self, path: Path, found: str, expected: str, hint: str = "") -> None:
        self._add(path, found, expected, hint, Severity.ERROR)

    def warning(self, path: Path, found: str, expected: str, hint: str = "") -> None:
        self._add(path, found, expected, hint, Severity.WARNING)

    def unclear(self, path: Path, problem: InvalidValue, expected: str) -> None:
        expected = problem.expected or expected
        told = self._add(path, problem.found, expected, problem.hint, Severity.ERROR)
        if told and problem.name:
            self.names[told] = problem.name

    def _add(self, path: Path, found: str, expected: str, hint: str, severity: Severity) -> Finding | None:
        """The finding, or None where it is not told."""
        if self.told[severity] >= (MOST_ERRORS if severity is Severity.ERROR else MOST_WARNINGS):
            self.told[severity] += 1
            if severity is Severity.ERROR:
                raise TooMany
            return None
        mark = self.mark(path)
        found, expected, hint = (cut(part, LONGEST) for part in (found, expected, hint))
        key = ".".join(mark.written or path)
        finding = Finding(mark.file, mark.line, key, found, expected, hint, severity)
        if mark.written and finding in self.findings:
            return None  # what several have from one place is wrong there once
        self.told[severity] += 1
        self.findings.append(finding)
        return finding

    @property
    def is_full(self) -> bool:
        """Whether a further warning would not be told."""
        return self.told[Severity.WARNING] > MOST_WARNINGS

    def tell_the_rest(self) -> None:
        """One finding for those that were not told."""
        if self.told[Severity.ERROR] > MOST_ERRORS:
            found = _("more than {most} faults; the others are not told", most=MOST_ERRORS)
            self.findings.append(Finding(self.whole, 0, "", found, "", _("mend those that are")))
        if self.is_full:
            found, hint = (
                _("more than {most} warnings; the others are not told", most=MOST_WARNINGS),
                _("look at those that are"),
            )
            self.findings.append(Finding(self.whole, 0, "", found, "", hint, Severity.WARNING))


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """By file and line, each once."""
    return tuple(sorted(set(findings), key=lambda f: (f.file, f.line, _counted(f.key), f)))


def _counted(key: str) -> tuple[tuple[int, str], ...]:
    """What orders keys: the tenth of a list behind the second."""
    return tuple((int(part) if re.fullmatch("[0-9]{1,8}", part) else -1, part) for part in key.split("."))


def has_errors(findings: list[Finding]) -> bool:
    return any(f.severity is Severity.ERROR for f in findings)
