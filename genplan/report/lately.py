"""loads.html: the last weeks of each adult, and what was not held. The page loads nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from genplan.case import Case, Week
from genplan.evidence.sittings_written import SittingsCount
from genplan.keeping.loads_lately import AdultsLoad, Load
from genplan.keeping.not_held import NotHeld
from genplan.report.lately_words import (
    count_sentences,
    how_counted,
    not_held_sentences,
    span_words,
    unwritten_sentence,
)
from genplan.report.names_and_words import Names
from genplan.report.render import render
from genplan.text.week_words import in_codes, week_head


@dataclass(frozen=True)
class Row:
    """`cells` are the weeks and the sum: minutes and sittings told, held and not held; None: nothing."""

    name: str
    cells: tuple[tuple[str, str] | None, ...]


def lately_page(
    case: Case,
    weeks: Sequence[Week],
    loads: Sequence[AdultsLoad],
    missed: Sequence[NotHeld],
    counts: Mapping[str, SittingsCount],
    unwritten: int = 0,
) -> str:
    """The page as HTML. Learners are called by their aliases."""
    names = Names(case)
    return render(
        "loads.html",
        span=span_words(weeks),
        weeks=tuple(str(w) if in_codes() else week_head(w) for w in weeks),
        rows=tuple(Row(names.adult(x.adult), tuple(map(_cell, (*x.weeks, x.sum)))) for x in loads),
        how=how_counted(),
        missed=tuple(not_held_sentences(names, missed)),
        counts=count_sentences(names, counts),
        unwritten=unwritten_sentence(unwritten) if unwritten else "",
    )


def _cell(load: Load) -> tuple[str, str] | None:
    amounts = (load.told, load.held, load.not_held)
    if not any(a.sittings for a in amounts):
        return None
    return " / ".join(str(a.minutes) for a in amounts), " / ".join(str(a.sittings) for a in amounts)
