"""Histories, progress and chances as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from genplan.case import Case, PassMark, Target
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.delimited_text import Row
from genplan.evidence.history import Entry
from genplan.evidence.intervals import chance_of_meeting, wilson
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.procedure import as_written
from genplan.evidence.standing import counts_as_teaching
from genplan.language import N_, _, ngettext, said
from genplan.report.breaks_words import breaks_sentences, teaching_sentence
from genplan.report.criterion_words import criterion_sentences
from genplan.report.evidence_words import (
    INTERVALS_ARE_CUSTOM,
    baseline_sentences,
    event_sentence,
    figures_sentence,
    maintenance_sentence,
    mastery_sentences,
    next_sentences,
)
from genplan.report.figure_words import interval_words, percent, range_words
from genplan.report.mark_words import mark_sentence, mark_sentences
from genplan.report.names_and_words import Names, clean, day_short
from genplan.report.observed_words import AGREEMENT_STANDARD, agreement_sentences, procedure_sentences
from genplan.report.sittings_words import sittings_of_all, sittings_sentences
from genplan.report.value_words import value_word
from genplan.text.cautions import standing_cautions
from genplan.text.held_back import held_back_text
from genplan.text.matrix_rows import waiting_text
from genplan.text.tuple_words import counted_tuples

MOST_TRIALS = 200
RATES = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95)

HAPPENED_WORDS: dict[Happened, str] = {
    Happened.MET: N_("Met"),
    Happened.BROKE: N_("No longer met"),
    Happened.NOT_MET: N_("Not met"),
    Happened.TAUGHT: N_("Taught"),
    Happened.MAINTAINED: N_("Maintained"),
    Happened.LAPSED: N_("Lapsed: a maintenance probe was not met"),
    Happened.NOT_RUN: N_("Not run"),
    Happened.BASELINE: N_("Probed before it was taught: counts for nothing else"),
    Happened.LATE_BASELINE: N_("A baseline probe that came too late: counts for nothing"),
    Happened.CORRECTED: N_("Corrected by a later row"),
}
"""What a row did, in the order in which a review tells it."""


def history_lines(
    case: Case,
    target: Target,
    entries: Sequence[Entry],
    taken_back: Sequence[Result] = (),
    unread: Sequence[Row] = (),
    on: date | None = None,
) -> Iterator[str]:
    """A block for each combination, a line for each of its rows in order of time; at the end what was taken back. On
    the day `on` a combination may be held back."""
    names = Names(case)
    yield f"{clean(target.id)}: {names.learner(target.learner)}, {names.target(target.id)}"
    if not (entries or taken_back or unread):
        yield _("  Nothing is written down of it.")
    for combination in dict.fromkeys(e.result.combination for e in entries):
        yield ""
        yield f"  {names.combination(target, combination)}"
        yield from (f"    {_entry(case, target, e)}" for e in entries if e.result.combination == combination)
        if on and (held := held_back_text(case, target, combination, on)):
            yield f"    {clean(held)}"
    if taken_back:
        yield ""
        yield _("  Taken back, and counts for nothing:")
        yield from (
            f"    {_row(row)}, {names.combination(target, row.combination)}{_note(row)}" for row in taken_back
        )
    if unread:
        yield ""
        yield _("  Taken back, and counts for nothing; a cell cannot be read:")
        for row in unread:
            told = ", ".join(clean(cell) for name, cell in row.cells.items() if cell and name != "target")
            yield f"    {_('line {line}: {row}', line=row.line, row=told)}"


def _row(row: Result) -> str:
    time = f" {row.time:%H:%M}" if row.time else ""
    counts = ""
    if row.trials:
        counts = f" {row.correct or 0}/{row.trials}"
        counts += _(" ({prompted} prompted)", prompted=row.prompted) if row.prompted else ""
    seen = (
        _(", observer {correct}/{trials}", correct=row.observer_correct, trials=row.trials)
        if row.observer_correct is not None
        else ""
    )
    seen += f" ({'; '.join(signs)})" if (signs := [m for m in (row.marks, row.observer_marks) if m]) else ""
    seen += _(", steps kept {steps}", steps=as_written(row.steps_kept)) if row.steps_kept else ""
    return _(
        "line {line}: {date}{time} {kind}{counts}{seen}",
        line=row.line,
        date=row.date,
        time=time,
        kind=value_word(row.kind),
        counts=counts,
        seen=seen,
    )


def _note(row: Result) -> str:
    return f": {clean(row.note)}" if row.note else ""


def _entry(case: Case, target: Target, entry: Entry) -> str:
    row, text = entry.result, _row(entry.result)
    if entry.corrected_by:
        text += _(", corrected by line {corrected_by}: does not count", corrected_by=entry.corrected_by)
    elif row.kind.is_test:
        text += f" -> {value_word(entry.after.status)}"
    if entry.undoes:
        text += _(", undoes what was met on {last_date}", last_date=entry.before.last_date)
    if entry.after.retest_due and not entry.before.retest_due:
        if target.retest_after_days:
            text += _(" -> due for a retest from {day} on", day=entry.after.retest_from)
        else:
            text += _(" -> due for a retest")
    elif entry.after.teachings > entry.before.teachings and entry.after.waits_for_teaching:
        text += f" -> {waiting_text(case, target, entry.after)}"
    elif row.kind is ResultKind.TEACHING and not counts_as_teaching(target, row):
        text += _(", counts as no teaching: that takes {taught_when}", taught_when=target.taught_when)
    if entry.corrects:
        text += _(", corrects line {corrects}", corrects=", ".join(map(str, entry.corrects)))
    return text + (f". {clean(row.note)}" if row.note else "")


def progress_lines(case: Case, reviews: Sequence[Review]) -> Iterator[str]:
    """For each learner: each target, where it breaks, how much was observed."""
    names = Names(case)
    for review in reviews:
        yield _("{learner}, as of {last}", learner=names.learner(review.learner), last=day_short(review.last))
        for found in review.targets:
            yield from _target(names, found)
        yield from _section(_("Where it breaks, over all targets"), breaks_sentences(names, review.breaks))
        marks = mark_sentences(names, [t.target for t in review.targets])
        yield from _section(_("What the marks can show"), marks)
        yield from _section(
            _("Second observer"), (*agreement_sentences(review.agreement), said(AGREEMENT_STANDARD))
        )
        yield from _procedure(names, review)
        yield from _if_any(_("Sittings that were not run"), sittings_sentences(names, review.sittings))
        yield ""
    if of_all := tuple(sittings_of_all(names, reviews)):
        yield from (_("Sittings that were not run, of all learners"), *(f"  {s}" for s in of_all), "")
    yield from standing_cautions(case)


def _target(names: Names, found: TargetReview) -> Iterator[str]:
    yield ""
    yield f"  {names.target(found.target.id)} ({clean(found.target.id)})"
    yield from (f"    {s}" for s in mastery_sentences(names, found))
    yield f"    {figures_sentence(names, found)}"
    yield f"    {teaching_sentence(found.teaching)} {mark_sentence(found.target)}"
    yield from (f"    {s}" for s in criterion_sentences(names, found.criterion, found.unplanned))
    yield from (f"    {s}" for s in baseline_sentences(names, found))
    if found.maintenance:
        yield _("    Maintenance. {remark}", remark=said(INTERVALS_ARE_CUSTOM))
        yield from (f"      {maintenance_sentence(c)}" for c in found.maintenance)
    yield from (f"    {s}" for s in next_sentences(names, found))


def review_lines(case: Case, reviews: Sequence[Review]) -> Iterator[str]:
    """What happened in the span, learner by learner, in short: the page tells it all."""
    names = Names(case)
    for review in reviews:
        yield _(
            "{learner}, {first} to {last}",
            learner=names.learner(review.learner),
            first=day_short(review.first),
            last=day_short(review.last),
        )
        for found in review.targets:
            yield from ("", f"  {names.target(found.target.id)} ({clean(found.target.id)})")
            yield from (f"    {s}" for s in mastery_sentences(names, found))
            yield f"    {figures_sentence(names, found)}"
            yield _(
                "    {tuples} tried for the first time.",
                tuples=counted_tuples(found.target, found.newly_tried),
            )
            for what, words in HAPPENED_WORDS.items():
                for event in found.events_of(what):
                    yield f"    {said(words)}: {event_sentence(names, found, event)}"
            yield from (_("    Next: {what}", what=s) for s in next_sentences(names, found))
        yield from _section(_("Second observer"), agreement_sentences(review.agreement))
        yield from _procedure(names, review)
        yield ""


def _procedure(names: Names, review: Review) -> Iterator[str]:
    yield from _if_any(_("Steps of the procedure"), procedure_sentences(names, review))


def chance_lines(mark: PassMark, trials: int) -> Iterator[str]:
    """What a probe of so many trials with this mark can and cannot show."""
    yield _(
        "A probe of {trials}, met with {needed} correct.",
        trials=ngettext("{n} trial", "{n} trials", trials),
        needed=mark.needed(trials),
    )
    yield ""
    yield _("How often a learner meets it, by how often single trials are correct:")
    head = (_("correct in"), _("met once"), _("twice running"), _("three times running"))
    yield from _aligned([head, *chance_rows(mark, trials)])
    yield _("  Running means independent probes; those of one child on one day hardly are.")
    yield ""
    yield _("What one result says of how often single trials are correct, with 95 % confidence:")
    yield from _aligned([(_("correct"), _("the mark"), _("exact"), _("score")), *result_rows(mark, trials)])
    yield _("  exact: Clopper and Pearson 1934; score: Wilson 1927 (both from memory).")
    yield _("  Both take the trials as independent.")
    yield from ("", lesson(mark, trials))


def chance_rows(mark: PassMark, trials: int) -> list[tuple[str, ...]]:
    """How often a learner meets the mark once, twice and three times running, by how often single trials are right."""
    return [
        (percent(rate), *(percent(chance_of_meeting(mark, rate, trials, running)) for running in (1, 2, 3)))
        for rate in RATES
    ]


def result_rows(mark: PassMark, trials: int) -> list[tuple[str, ...]]:
    """For each count correct: whether it meets the mark, and the exact and the score interval."""
    needed = mark.needed(trials)
    return [
        (
            _("{k} of {trials}", k=k, trials=trials),
            _("met") if k >= needed else _("not met"),
            interval_words(k, trials),
            range_words(wilson(k, trials)),
        )
        for k in range(trials, -1, -1)
    ]


def lesson(mark: PassMark, trials: int) -> str:
    """What the mark is worth, in a sentence."""
    passed, missed = chance_of_meeting(mark, 0.7, trials), 1 - chance_of_meeting(mark, 0.9, trials)
    return _(
        "So a learner who is right in 70 % of trials meets this mark in {passed} of probes, and one who is"
        " right in 90 % misses it in {missed}. One probe alone proves neither.",
        passed=percent(passed),
        missed=percent(missed),
    )


def _if_any(title: str, lines: Iterable[str]) -> Iterator[str]:
    """A section only where there is something to say."""
    if found := tuple(lines):
        yield from _section(title, found)


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    yield from ("", f"  {title}")
    yield from (f"    {line}" for line in lines)


def _aligned(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip()
