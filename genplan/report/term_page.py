"""The term as a page: weeks across, dates down, what is at risk in words. The template draws it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from genplan.case import Case, Week
from genplan.language import _
from genplan.language.dates import month_short
from genplan.language.sentences import capital
from genplan.plan import Note
from genplan.plan.term import Term, TermDate, TermLoad
from genplan.report.names_and_words import Names, day_words, long_date
from genplan.report.plain_characters import in_order
from genplan.report.render import render
from genplan.report.term_promises import verdict_words
from genplan.report.term_words import (
    assumption_sentences,
    begun_sentence,
    bound_sentence,
    counted_sentences,
    date_sentence,
    due_sentences,
    load_name,
    most_used,
    nothing_sentence,
    outside_sentences,
    span_sentence,
    told_sentence,
    worst_first,
)
from genplan.text.notes import note_text


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One week of a row: what is written in it. `until`: the date lies in it; `after`: it comes after the date."""

    text: str = ""
    until: bool = False
    after: bool = False
    full: bool = False

    @property
    def kinds(self) -> str:
        """As classes of the page."""
        found = {"some": bool(self.text), "until": self.until, "after": self.after, "full": self.full}
        return " ".join(kind for kind, holds in found.items() if holds)


@dataclass(frozen=True, kw_only=True)
class Row:
    """`words` name it, `verdict` says how it stands; `at_risk`: the term does not keep the date."""

    words: str
    cells: tuple[Cell, ...]
    verdict: str = ""
    at_risk: bool = False


def term_page(case: Case, term: Term, now: datetime, *, begun: bool, not_counted: Sequence[Note] = ()) -> str:
    return render("term.html", found=shown(case, term, now, begun=begun, not_counted=not_counted))


def shown(
    case: Case, term: Term, now: datetime, *, begun: bool, not_counted: Sequence[Note] = ()
) -> dict[str, Any]:
    """All that the page says, in words and cells; `not_counted` is said of what was told before the term."""
    names = Names(case)
    return {
        "span": span_sentence(term, now),
        "begun": " ".join(
            ([begun_sentence(term)] if begun else []) + ([told_sentence(term)] if term.told else [])
        ),
        "not_counted": [note_text(case, note) for note in not_counted],
        "bound": bound_sentence(term) if term.dates else nothing_sentence(case, term),
        "at_risk": [
            (capital(verdict_words(d)), date_sentence(names, term, d))
            for d in worst_first(term)
            if not d.is_sure
        ],
        "months": _months(term.weeks),
        "weeks": [(week.number, _week(week)) for week in term.weeks],
        "learners": [
            (names.learner(i), [_row(names, term, d) for d in term.dates if d.learner == i])
            for i in in_order({d.learner: None for d in term.dates})
        ],
        "due": Row(words="", cells=tuple(_due(term))),
        "due_words": tuple(due_sentences(names, term)),
        "loads": [_load(names, load, term) for load in most_used(term)],
        "free": " ".join(counted_sentences(term)),
        "outside": tuple(outside_sentences(names, term)),
        "assumptions": tuple(assumption_sentences(case)),
    }


def _week(week: Week) -> str:
    first, last = day_words(week.monday), long_date(week.sunday)
    return _("week {number}, {first} to {last}", number=week.number, first=first, last=last)


def _months(weeks: Sequence[Week]) -> list[tuple[str, int]]:
    """Each month with how many of the weeks begin in it."""
    by_month = groupby(weeks, key=lambda w: (w.monday.year, w.monday.month))
    return [(month_short(some[0].monday), len(some)) for some in (list(g) for _month, g in by_month)]


def _row(names: Names, term: Term, found: TermDate) -> Row:
    """How many probes of a date lie in each week."""
    count = Counter(p.week for p in term.serving(found))
    last = next(i for i, week in enumerate(term.weeks) if week.monday <= found.by <= week.sunday)
    wish = names.case.targets[found.target].first[found.place]
    return Row(
        words=_(
            "{skill}: {wanted}, by {date}",
            skill=names.target(found.target),
            wanted=names.pattern(wish.pattern),
            date=long_date(found.by),
        ),
        verdict=verdict_words(found),
        at_risk=not found.is_sure,
        cells=tuple(
            Cell(text=str(count[i]) if count[i] else "", until=i == last, after=i > last)
            for i in range(len(term.weeks))
        ),
    )


def _due(term: Term) -> Iterator[Cell]:
    count = Counter(c.probe.week for c in term.checks if c.probe)
    for i in range(len(term.weeks)):
        yield Cell(text=str(count[i]) if count[i] else "")


FULL = 0.9
"""From this share on a cell is marked: a choice of this page."""


def _load(names: Names, load: TermLoad, term: Term) -> Row:
    """Of the minutes of each week, or of the sittings that its limit allows, the share that is used, in percent."""
    shares = list(load.shares)
    shares += [0.0] * (len(term.weeks) - len(shares))
    cells = tuple(Cell(text=f"{round(100 * s)}" if s else "", full=s >= FULL) for s in shares)
    return Row(words=load_name(names, load), cells=cells)
