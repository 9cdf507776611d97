"""review-ID.html: one page for a learner's team meeting. One file that loads nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from genplan.case import Case, TargetState
from genplan.coverage.review import Review, TargetReview
from genplan.language import _, said
from genplan.language.sentences import capital
from genplan.report.asked_words import asked_by_person
from genplan.report.breaks_words import breaks_sentences, teaching_sentence
from genplan.report.chart import Chart, chart
from genplan.report.criterion_words import criterion_sentences, generalised_words
from genplan.report.evidence_lines import HAPPENED_WORDS
from genplan.report.evidence_words import (
    INTERVALS_ARE_CUSTOM,
    SMALL_SAMPLE,
    baseline_sentences,
    event_sentence,
    figures_sentence,
    maintenance_sentence,
    mastery_sentences,
    next_sentences,
)
from genplan.report.figure_words import percent
from genplan.report.first_things import NOTHING_FIRST, first_things
from genplan.report.grid import Grid, grid
from genplan.report.mark_words import mark_sentence, mark_sentences
from genplan.report.names_and_words import STATUS_MARKS, Names, long_date
from genplan.report.observed_words import AGREEMENT_STANDARD, agreement_sentences, procedure_sentences
from genplan.report.phase_chart import PhaseChart, phase_chart
from genplan.report.render import render
from genplan.report.review_words import done_sentences, limits_sentences, shares, target_facts
from genplan.report.sittings_words import sittings_sentences
from genplan.text.cautions import assent_caution, standing_cautions
from genplan.text.tuple_words import counted_tuples, tuple_words


@dataclass(frozen=True)
class RowsOfAKind:
    """What one kind of row did in the span."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class TargetPart:
    name: str
    summary: str
    criterion: tuple[str, ...]
    happened: tuple[RowsOfAKind, ...]
    maintenance: tuple[str, ...]
    curve: Chart
    grid: Grid | None
    next: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    shares: tuple[str, ...]
    phases: PhaseChart | None


@dataclass(frozen=True)
class SummaryRow:
    name: str
    tried: str
    met: int
    untaught: int
    new: int
    generalised: str
    observed: str


def review_page(case: Case, review: Review, now: datetime, names: bool = False) -> str:
    """The page as HTML. The learner is called by the alias; with `names` by name, for the family alone."""
    called = Names(case, names)
    marks = mark_sentences(called, [t.target for t in review.targets])
    return render(
        "review.html",
        learner=called.learner(review.learner),
        first=long_date(review.first),
        last=long_date(review.last),
        made=f"{long_date(now.date())}, {now:%H:%M}",
        needed=tuple(first_things(called, review)),
        nothing_needed=said(NOTHING_FIRST),
        done=tuple(done_sentences(called, review)),
        limits=tuple(limits_sentences(called, review)),
        asked=tuple(asked_by_person(called, review)),
        targets=tuple(_target(called, t, review) for t in review.targets),
        summary=tuple(_summary(called, t) for t in review.targets),
        breaks=tuple(breaks_sentences(called, review.breaks)),
        agreement=(*agreement_sentences(review.agreement), said(AGREEMENT_STANDARD)),
        procedure=tuple(procedure_sentences(called, review)),
        sittings=tuple(sittings_sentences(called, review.sittings)),
        custom=said(INTERVALS_ARE_CUSTOM),
        cautions=(
            assent_caution(called.learner(review.learner)),
            said(SMALL_SAMPLE),
            *marks,
            *standing_cautions(case),
        ),
        legend=tuple(STATUS_MARKS.values()),
    )


def _summary(names: Names, found: TargetReview) -> SummaryRow:
    count, criterion, seen = found.tally, found.criterion, found.agreement
    state = _("not asked for") if not criterion.is_set else _("yes") if criterion.is_met else _("not yet")
    if criterion.is_met and not found.before.is_met:
        state = _("yes, new")
    if found.before.is_met and not criterion.is_met:
        state = _("no longer")
    observed = (
        _(
            "{observed} of {probes} ({share})",
            observed=seen.observed,
            probes=seen.probes,
            share=percent(seen.share),
        )
        if seen.probes
        else _("no probe")
    )
    return SummaryRow(
        names.target(found.target.id),
        _("{tested} of {possible}", tested=len(count.tested), possible=len(count.possible)),
        len(count.met),
        len(count.met_untaught),
        found.newly_tried,
        "; ".join(filter(None, (state, generalised_words(names, criterion)))),
        observed,
    )


def _target(names: Names, found: TargetReview, review: Review) -> TargetPart:
    target, words = found.target, tuple_words(found.target)
    groups = (
        RowsOfAKind(
            said(title),
            tuple(event_sentence(names, found, e, with_interval=True) for e in found.events_of(what)),
        )
        for what, title in HAPPENED_WORDS.items()
    )
    return TargetPart(
        names.target(target.id),
        _(
            "{figures} {tuples} tried for the first time in this span.",
            figures=figures_sentence(names, found),
            tuples=counted_tuples(target, found.newly_tried),
        ),
        (
            *mastery_sentences(names, found),
            *criterion_sentences(names, found.criterion, found.unplanned),
            teaching_sentence(found.teaching),
            mark_sentence(found.target),
            *baseline_sentences(names, found),
        ),
        tuple(g for g in groups if g.lines),
        tuple(map(maintenance_sentence, found.maintenance)),
        chart(
            _(
                "{tuples} tried over time: {skill}",
                tuples=capital(words),
                skill=names.target(target.id),
            ),
            partial(counted_tuples, target),
            found.points,
        ),
        grid(names, target, found.matrix, {}) if found.matrix and _is_looked_at(found) else None,
        tuple(next_sentences(names, found, with_matrix=_is_looked_at(found))),
        target_facts(names, found),
        tuple(shares(found)),
        phase_chart(names, target, found.course, review.first, review.last),
    )


def _is_looked_at(found: TargetReview) -> bool:
    """Whether the matrix has something to say: a skill in teaching, or paused, that was never probed has not."""
    return found.target.state is TargetState.MASTERED or any(p.met is not None for p in found.course.points)
