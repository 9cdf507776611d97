"""What a row counts: trials, responses, marks, steps. Read together, since each must go with the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.log import ResultKind
from genplan.evidence.marks import MARKS, against_counts, filled_by_marks, read_marks
from genplan.evidence.procedure import STEPS_KEPT, read_steps_kept
from genplan.evidence.sheet_faults import of_a_date, quoted
from genplan.language import Speech, _, speech

Fault = tuple[str, str, str, str]
"""Key, what was found, what was expected, a hint."""
COUNTS = ("trials", "correct", "prompted", "observer_correct")
COUNTED = (*COUNTS, *MARKS, STEPS_KEPT)


def read_counts(
    cells: Mapping[str, str], kind: ResultKind | None
) -> tuple[Mapping[str, Any], Sequence[Fault]]:
    """The fields of a `Result` that count something, and what is wrong with them. `kind` is None where it cannot be
    read."""
    return _read_counts(tuple(map(cells.get, COUNTED)), kind, speech())


@lru_cache(maxsize=4096)
def _read_counts(
    told: tuple[str | None, ...], kind: ResultKind | None, language: Speech
) -> tuple[Mapping[str, Any], Sequence[Fault]]:
    """Many rows count the same: each of these is read once, for each language in which its faults are told."""
    cells = {name: text or "" for name, text in zip(COUNTED, told, strict=True)}
    if kind is ResultKind.NOT_RUN:
        return dict.fromkeys(COUNTS), _not_run(cells)
    reader = _Reader(filled_by_marks(cells), kind)
    return reader.fields(), reader.faults


def _not_run(cells: Mapping[str, str]) -> list[Fault]:
    return [
        (name, _("found {text} in a row that was not run", text=quoted(text)), _("an empty cell"), "")
        for name in COUNTED
        if (text := cells.get(name, ""))
    ]


@dataclass
class _Reader:
    cells: Mapping[str, str]
    kind: ResultKind | None
    faults: list[Fault] = field(default_factory=list)

    def fields(self) -> dict[str, Any]:
        marks = {name: signs for name in MARKS if (signs := self._signs(name))}
        unread = bool(self.faults)  # what such marks would say of empty counts is told with them
        counts = {name: self._whole(name) for name in COUNTS}
        for name in ("trials", "correct"):
            if self.kind and self.kind.is_probe and not self.cells[name] and not unread:
                self._complain(
                    name, _("an empty cell"), _("a whole number in a {kind} row", kind=self.kind.value)
                )
        against = self._unequal(marks, counts["trials"]) or [
            (n, *told) for n, signs in marks.items() for told in against_counts(n, signs, counts)
        ]
        for fault in against:
            self._complain(*fault)
        if not against:
            self._compare(counts)
        return {**counts, **marks, STEPS_KEPT: self._steps()}

    def _unequal(self, marks: Mapping[str, str], trials: int | None) -> list[tuple[str, str, str]]:
        """Signs of two that are not as many, where those of whoever ran it are as many as the trials."""
        lengths = [len(signs) for signs in marks.values()]
        if len(set(lengths)) < 2 or trials != lengths[0]:
            return []
        found = _(
            "found {number} signs beside {other} in '{column}'",
            number=lengths[1],
            other=lengths[0],
            column=MARKS[0],
        )
        return [(MARKS[1], found, _("as many in both, one sign a trial"))]

    def _complain(self, key: str, found: str, expected: str, hint: str = "") -> None:
        self.faults.append((key, found, expected, hint))

    def _whole(self, name: str) -> int | None:
        text = self.cells.get(name, "")
        if not text:
            return None
        if text.isascii() and text.isdecimal() and len(text) <= 4:
            return int(text)
        found, expected = _("found {text}", text=quoted(text)), _("a whole number from 0 to 9999")
        self._complain(name, found, expected, of_a_date(text) or _of_a_percentage(text))
        return None

    def _compare(self, counts: Mapping[str, int | None]) -> None:
        trials, correct, prompted = counts["trials"], counts["correct"], counts["prompted"]
        if trials is None:
            for name in ("correct", "prompted", "observer_correct"):
                if counts[name] is not None and not self.cells["trials"]:
                    self._complain(
                        name,
                        _("found {number} without trials", number=counts[name]),
                        _("the number of trials beside it"),
                    )
            return
        if trials == 0:
            self._complain(
                "trials", _("found 0"), _("at least 1, or the kind 'not run' with the reason as a note")
            )
            return
        for name in ("correct", "prompted", "observer_correct"):
            if (counts[name] or 0) > trials:
                self._complain(
                    name,
                    _("found {number} of {trials} trials", number=counts[name], trials=trials),
                    _("at most {trials}", trials=trials),
                )
        both = (correct or 0) + (prompted or 0)
        if both > trials >= max(correct or 0, prompted or 0):
            what = _(
                "{correct} correct and {prompted} prompted of {trials} trials",
                correct=correct,
                prompted=prompted,
                trials=trials,
            )
            self._complain(
                "prompted",
                what,
                _("at most {trials} together", trials=trials),
                _("correct counts only answers without help"),
            )

    def _signs(self, name: str) -> str:
        text = self.cells.get(name, "")
        try:
            return read_marks(text) if text else ""
        except InvalidValue as problem:
            self._complain(name, problem.found, problem.expected, problem.hint)
            return ""

    def _steps(self) -> tuple[int, int] | None:
        text = self.cells.get(STEPS_KEPT, "")
        if text and self.kind and not self.kind.is_probe:
            self._complain(
                STEPS_KEPT,
                _("found {text} in a row '{kind}'", text=quoted(text), kind=self.kind.value),
                _("an empty cell"),
            )
            return None
        try:
            return read_steps_kept(text) if text else None
        except InvalidValue as problem:
            self._complain(STEPS_KEPT, problem.found, problem.expected, problem.hint)
            return None


def _of_a_percentage(text: str) -> str:
    """What to do where a part of the trials was typed; else nothing."""
    if not text.endswith("%"):
        return ""
    return _(
        "a percentage leaves open of how many: write how many were correct, and how many trials there were"
    )
