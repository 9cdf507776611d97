"""What became of each trial, one sign a trial (common practice, no source), and what the signs say of the counts."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress

from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.sheet_faults import quoted
from genplan.language import N_, _, said

CORRECT, HELPED, WRONG = "+", "p", "-"
"""Correct without help, correct with help, not correct."""
SIGNS = N_("one sign a trial: + correct without help, p correct with help, - not correct")
MARKS = ("marks", "observer_marks")
_ALIKE = str.maketrans({"P": HELPED, "\u2212": WRONG, "\u2013": WRONG, "\u2014": WRONG, " ": None})
"""What a phone or a spreadsheet makes of a sign, and the space that somebody leaves between two."""
_MOST = 9999


def read_marks(text: str) -> str:
    """The signs of a cell in their one form. Raises InvalidValue for anything else."""
    signs = text.removeprefix("'").translate(_ALIKE)  # which a spreadsheet is told by that it is a text
    if re.fullmatch(f"[+p-]{{1,{_MOST}}}", signs):
        return signs
    other = re.search("[^+p-]", signs)
    found = (
        _("found {sign} in {text}", sign=quoted(other[0]), text=quoted(text))
        if other
        else _("found {text}", text=quoted(text))
    )
    raise InvalidValue(found, said(SIGNS), _("a trial that was not run has no sign"))


def filled_by_marks(cells: Mapping[str, str]) -> dict[str, str]:
    """The cells of a row, with those counts that were left empty as its marks say. Marks that cannot be read say
    nothing: whoever reads the row tells of them."""
    if not any(cells.get(name) for name in MARKS):
        return dict(cells)
    counts: dict[str, int] = {}
    for name in MARKS:
        with suppress(InvalidValue):
            counts = _said(name, read_marks(cells.get(name, ""))) | counts  # whoever ran it says how many
    return {**cells, **{name: str(count) for name, count in counts.items() if not cells.get(name)}}


def _said(name: str, signs: str) -> dict[str, int]:
    """The counts that signs say, by column."""
    if name == "observer_marks":
        return {"trials": len(signs), "observer_correct": signs.count(CORRECT)}
    return {"trials": len(signs), "correct": signs.count(CORRECT), "prompted": signs.count(HELPED)}


def against_counts(name: str, signs: str, counts: Mapping[str, int | None]) -> Iterator[tuple[str, str]]:
    """Of each count that the signs contradict what was found and what was expected; one that is empty says nothing."""
    for count, number in _said(name, signs).items():
        if (told := counts.get(count)) is None or told == number:
            continue
        if count == "trials":
            yield (
                _("found {number} in all beside {told} in '{count}'", number=number, told=told, count=count),
                _("one sign a trial"),
            )
            return
        sign = HELPED if count == "prompted" else CORRECT
        yield (
            _(
                "found {number} of '{sign}' beside {told} in '{count}'",
                number=number,
                sign=sign,
                told=told,
                count=count,
            ),
            _("the same number in both"),
        )
