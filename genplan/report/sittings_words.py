"""How many sittings that were written down were not run, in whole sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.coverage.review import Review
from genplan.evidence.sittings_written import CHILDS_REASONS, Counts, SittingsCount, together
from genplan.language import _, ngettext, said
from genplan.report.figure_words import percent, range_words
from genplan.report.names_and_words import Names


def how_counted() -> str:
    one, other = map(said, CHILDS_REASONS)
    return _(
        "A sitting is counted once, however many rows it has; teaching without a time is left out. A reason is taken as"
        " the child's if it is '{one}' or '{other}', or says so in other words that are known, such as 'said no', alone"
        " or before a comma, a colon or a full stop; of any other the file does not tell whose it was. This says how"
        " often a sitting falls through and rates nobody; the interval is exact, 95 %.",
        one=one,
        other=other,
    )


def sittings_sentences(names: Names, counts: Counts) -> Iterator[str]:
    """One for each adult of whose sittings one was not run, and how they are counted; nothing where all were run."""
    told = [
        (adult, counts[adult]) for adult in (*names.case.adults, *_gone(names, counts)) if adult in counts
    ]
    sentences = [
        _("With {adult}: {count}", adult=names.adult(a), count=_count(c)) for a, c in told if c.not_run
    ]
    if sentences:
        yield from (*sentences, how_counted())


def sittings_of_all(names: Names, reviews: Sequence[Review]) -> Iterator[str]:
    """The same over several learners, and for all adults together; nothing for one learner, of whom all is said."""
    counts = together(r.sittings for r in reviews)
    if len(reviews) > 1 and any(c.not_run for c in counts.values()):
        yield _("In all: {count}", count=_count(sum(counts.values(), SittingsCount())))
        yield from sittings_sentences(names, counts)


def _gone(names: Names, counts: Counts) -> list[str]:
    """Adults whom the case does not have any more."""
    return sorted(counts.keys() - names.case.adults.keys())


def _count(count: SittingsCount) -> str:
    text = ngettext(
        "{not_run} of {n} sitting written down not run",
        "{not_run} of {n} sittings written down not run",
        count.written,
        not_run=count.not_run,
    )
    found = count.interval
    if not count.childs or found is None:
        if not found:
            return f"{text}."
        return _("{text} (exact interval {range}).", text=text, range=range_words(found))
    return _(
        "{text}, {childs} of them for the child's own reason; of the other {asked} it is"
        " {others} ({percent}, exact interval {range}).",
        text=text,
        childs=count.childs,
        asked=count.asked,
        others=count.others,
        percent=percent(count.others / count.asked),
        range=range_words(found),
    )
