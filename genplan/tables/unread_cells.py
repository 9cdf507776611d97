"""Cells of columns that are not read and that say what a case has to know: an allergen, a hazard, somebody away."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import replace

from genplan.casefile.allergen_words import named_in
from genplan.casefile.ids_from_names import ids_in_every_language, whole_id
from genplan.casefile.small_words import hazards_named
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, Severity
from genplan.language import _, pgettext
from genplan.tables.grids import Grid
from genplan.tables.sheets import CHILDREN, THINGS, SheetKind


def unread_cells(
    kind: SheetKind, grid: Grid, number: int, unread: Collection[int], rows: Collection[int]
) -> Iterator[Finding]:
    """A warning at each, below the headings in row `number`."""
    for row, texts in grid.rows:
        for column in sorted(unread) if row > number and row in rows else ():
            text = texts[column].strip() if column < len(texts) else ""
            if text and (said := _what_it_says(kind, text)):
                what, hint = said
                found = _("{text} in a column that is not read: {what}", text=quoted(text), what=what)
                yield replace(grid.finding(row, column, found, "", hint), severity=Severity.WARNING)


def _what_it_says(kind: SheetKind, text: str) -> tuple[str, str] | None:
    """What the case has to know of it, and where that is to be written."""
    if named_in(text) or _has(_of_allergies, text):
        what = _("it names an allergen") if named_in(text) else _("it speaks of an allergy")
        if kind is CHILDREN:
            return what, _("put it under 'Allergies' too")
        if kind is THINGS:
            return what, _("put it under 'Contains' too")
        return what, _("put it under 'Allergies' of the child, or 'Contains' of the thing, that it is about")
    if hazards_named(text):
        return _("it names a hazard"), _("put it into the column 'hazards' of the thing that it is about")
    if _has(_of_being_away, text):
        return _("it may say that somebody is away"), _(
            "put it into the sheet 'changes' with its days, or use 'genplan change'"
        )
    return None


def _has(words: Callable[[], str], text: str) -> bool:
    return not ids_in_every_language(words).isdisjoint(re.split("-", whole_id(text)))


def _of_allergies() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "allergy allergies allergic anaphylaxis anaphylactic epipen epipens intolerance intolerant",
    )


def _of_being_away() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "ill sick sickness away absent holiday holidays vacation hospital maternity",
    )
