"""The term as lines of plain text for a terminal: how many dates have room, each of them, who is needed most."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from genplan.case import Case
from genplan.language import _, ngettext
from genplan.plan.term import Promise, Term, TermDate, TermLoad, Whose
from genplan.report.folded_lines import folded, section
from genplan.report.names_and_words import Names, day_words, long_date
from genplan.report.plain_characters import as_read
from genplan.report.term_words import (
    assumption_sentences,
    bound_sentence,
    date_sentence,
    due_sentences,
    nothing_sentence,
    outside_sentences,
    promise_words,
)

MOST_LOADS = 8
"""Adults and places that are shown: those that some week asks for most."""
FIRST = (Promise.CANNOT, Promise.GIVES_WAY_TO_DUE, Promise.GIVES_WAY, Promise.UNKNOWN, Promise.KEPT)


def term_lines(
    case: Case, term: Term, now: datetime, *, begun: bool, width: int | None = None
) -> Iterator[str]:
    """All of it. `begun`: the first week has begun. `width` is the terminal's; None: lines are as long as they are."""
    names, (first, last) = Names(case), (term.weeks[0], term.weeks[-1])
    yield from folded(
        _(
            "Dates in the {weeks} from {first} ({first_week}) to {last} ({last_week}), as of {today}.",
            weeks=ngettext("{n} week", "{n} weeks", len(term.weeks)),
            first=day_words(first.monday),
            first_week=first,
            last=long_date(last.sunday),
            last_week=last,
            today=long_date(now.date()),
        ),
        width,
    )
    if begun:
        yield from folded(
            _("The week {week} has begun: of it only what is still ahead is counted.", week=first), width
        )
    outside = [line for s in outside_sentences(names, term) for line in folded(s, width, "  ")]
    if not term.dates:
        yield from (*folded(nothing_sentence(case, term), width), *outside)
        return
    yield from folded(bound_sentence(term), width)
    dates = (line for d in _in_order(term) for line in folded(_date(names, term, d), width, "  "))
    yield from section(_("The dates"), [*dates, *outside])
    due = (line for s in due_sentences(names, term) for line in folded(s, width, "  "))
    yield from section(_("What is due first"), due)
    yield from section(_("Who and what is needed most"), _loads(names, term, width))
    sentences = (f"- {s}" for s in assumption_sentences(case))
    yield from section(
        _("What this takes for granted"), (line for s in sentences for line in folded(s, width, "  "))
    )


def _in_order(term: Term) -> list[TermDate]:
    """Those that are not kept first; then by date."""
    return sorted(
        term.dates,
        key=lambda d: (FIRST.index(d.promise), d.by, as_read(d.learner), as_read(d.target), d.place),
    )


def _date(names: Names, term: Term, found: TermDate) -> str:
    words = promise_words(found.promise)  # in German a noun in it keeps its capital
    return f"{words[:1].upper()}{words[1:]}: {date_sentence(names, term, found)}"


def _loads(names: Names, term: Term, width: int | None) -> Iterator[str]:
    """A line for each adult and place that is used, the fullest first."""
    used = [load for load in term.loads if any(load.used)]
    for load in sorted(used, key=lambda x: (-x.fullest, x.whose, as_read(x.name)))[:MOST_LOADS]:
        weeks = ", ".join(
            _("{week} {used} of {free}", week=week, used=u, free=f)
            for week, u, f in zip(term.weeks, load.used, load.free, strict=False)
            if u
        )
        yield from folded(_("{name}: minutes {weeks}.", name=_name(names, load), weeks=weeks), width, "  ")


def _name(names: Names, load: TermLoad) -> str:
    return names.adult(load.name) if load.whose is Whose.ADULT else names.location(load.name)
