"""How many sittings that were written down were not run, in whole sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.coverage.review import Review
from genplan.evidence.sittings_written import CHILDS_REASONS, Counts, SittingsCount, together
from genplan.report.evidence_words import percent, range_words
from genplan.report.names_and_words import Names
from genplan.report.plain_characters import counted

HOW_COUNTED = (
    "A sitting is counted once, however many rows it has; teaching without a time is left out. A reason that begins"
    f" with '{CHILDS_REASONS[0]}' or '{CHILDS_REASONS[1]}' is taken as the child's; of any other the file does not tell"
    " whose it was. This says how often a sitting falls through and rates nobody; the interval is exact, 95 %."
)


def sittings_sentences(names: Names, counts: Counts) -> Iterator[str]:
    """One for each adult of whose sittings one was not run, and how they are counted; nothing where all were run."""
    told = [
        (adult, counts[adult]) for adult in (*names.case.adults, *_gone(names, counts)) if adult in counts
    ]
    sentences = [f"With {names.adult(a)}: {_count(c)}" for a, c in told if c.not_run]
    if sentences:
        yield from (*sentences, HOW_COUNTED)


def sittings_of_all(names: Names, reviews: Sequence[Review]) -> Iterator[str]:
    """The same over several learners, and for all adults together; nothing for one learner, of whom all is said."""
    counts = together(r.sittings for r in reviews)
    if len(reviews) > 1 and any(c.not_run for c in counts.values()):
        yield f"In all: {_count(sum(counts.values(), SittingsCount()))}"
        yield from sittings_sentences(names, counts)


def _gone(names: Names, counts: Counts) -> list[str]:
    """Adults whom the case does not have any more."""
    return sorted(counts.keys() - names.case.adults.keys())


def _count(count: SittingsCount) -> str:
    text = f"{count.not_run} of {counted(count.written, 'sitting')} written down not run"
    found = count.interval
    if not count.childs or found is None:
        return text + (f" (exact interval {range_words(found)})." if found else ".")
    return (
        f"{text}, {count.childs} of them for the child's own reason; of the other {count.asked} it is"
        f" {count.others} ({percent(count.others / count.asked)}, exact interval {range_words(found)})."
    )
