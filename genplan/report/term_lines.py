"""The term as lines of plain text for a terminal: how many dates have room, each of them, who is needed most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from genplan.case import Case
from genplan.language import _, ngettext
from genplan.language.sentences import capital
from genplan.plan import Note
from genplan.plan.term import Term, TermDate, TermLoad
from genplan.report.folded_lines import folded, section
from genplan.report.names_and_words import Names
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
from genplan.text.week_words import week_named


def term_lines(
    case: Case,
    term: Term,
    now: datetime,
    *,
    begun: bool,
    not_counted: Sequence[Note] = (),
    width: int | None = None,
) -> Iterator[str]:
    """All of it. `begun`: the first week has begun. `not_counted` is said of what was told before it. `width` is the
    terminal's; None: lines are as long as they are."""
    names = Names(case)
    yield from folded(span_sentence(term, now), width)
    if begun:
        yield from folded(begun_sentence(term), width)
    if term.told:
        yield from folded(told_sentence(term), width)
    for note in not_counted:
        yield from folded(note_text(case, note), width)
    outside = [line for s in outside_sentences(names, term) for line in folded(s, width, "  ")]
    if not term.dates:
        yield from (*folded(nothing_sentence(case, term), width), *outside)
        return
    yield from folded(bound_sentence(term), width)
    dates = (line for d in worst_first(term) for line in folded(_date(names, term, d), width, "  "))
    yield from section(_("The dates"), [*dates, *outside])
    due = (line for s in due_sentences(names, term) for line in folded(s, width, "  "))
    yield from section(_("What is due first"), due)
    yield from section(_("Who and what is needed most"), _loads(names, term, width))
    sentences = (f"- {s}" for s in assumption_sentences(case))
    yield from section(
        _("What this takes for granted"), (line for s in sentences for line in folded(s, width, "  "))
    )


def _date(names: Names, term: Term, found: TermDate) -> str:
    return f"{capital(verdict_words(found))}: {date_sentence(names, term, found)}"


def _of_week(term: Term, load: TermLoad, i: int) -> str:
    """What is used of the minutes of a week, and of its sittings where a limit counts them."""
    minutes = _(
        "{week} {used} of {free}", week=week_named(term.weeks[i]), used=load.used[i], free=load.free[i]
    )
    if not load.sittings:
        return minutes
    most = load.most_sittings[i]
    return ngettext(
        "{minutes} ({used} of {n} sitting)",
        "{minutes} ({used} of {n} sittings)",
        most,
        minutes=minutes,
        used=load.sittings[i],
    )


def _loads(names: Names, term: Term, width: int | None) -> Iterator[str]:
    """A line for each adult and place that is used, the fullest first."""
    loads = most_used(term)
    for load in loads:
        weeks = ", ".join(_of_week(term, load, i) for i, used in enumerate(load.used) if used)
        yield from folded(
            _("{name}: minutes {weeks}.", name=load_name(names, load), weeks=weeks), width, "  "
        )
    if loads:
        for sentence in counted_sentences(term):
            yield from folded(sentence, width, "  ")
