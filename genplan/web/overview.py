"""Screens to read: the matrix, what is wrong with the case."""

from __future__ import annotations

from functools import partial

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import TargetState
from genplan.coverage.matrix import rows_by_target
from genplan.coverage.review import TargetReview
from genplan.findings import Finding, Severity
from genplan.language import _, said, speech
from genplan.language.catalogues import Words
from genplan.language.sentences import capital
from genplan.report.briefing_lines import NOT_BRIEFED, briefing_lines
from genplan.report.chart import Chart, chart
from genplan.report.criterion_words import criterion_sentences
from genplan.report.evidence_words import figures_sentence
from genplan.report.glance import glance
from genplan.report.grid import grid, legend, planned_cells
from genplan.report.names_and_words import Names
from genplan.text.target_names import state_word
from genplan.text.tuple_words import counted_tuples, tuple_words
from genplan.web.app_state import AppState
from genplan.web.forms import FORMS
from genplan.web.plain_findings import told_in_page
from genplan.web.templating import screen

ALL_AT_MOST = 3
"""With more learners the matrix is too long to be shown unasked."""


def matrix(site: AppState, request: Request) -> Response:
    """Every combination of every target, or of one learner's; of many learners the first is shown first."""
    opened = workflow.open_case(site.folder, site.now)
    first = next(iter(opened.case.learners), "") if len(opened.case.learners) > ALL_AT_MOST else ""
    names, chosen = Names(opened.case), request.query_params.get("learner", first)
    view = workflow.matrix_of(opened, chosen or None)
    planned = planned_cells(view.planned)
    reviews = workflow.progress_of(opened, chosen or None).reviews
    own = rows_by_target(view.rows)
    known = {t.target.id: _so_far(names, t) for r in reviews for t in r.targets}
    targets = [
        (
            t.id,
            names.target(t.id),
            names.learner(t.learner),
            known.get(t.id),
            drawn := grid(names, t, own.get(t.id, ()), planned, opened.now),
            glance(drawn),
        )
        for t in view.case.mastered
        if chosen in ("", t.learner)
    ]
    return screen(
        site,
        request,
        "matrix-screen.html",
        title=_("Matrix"),
        targets=targets,
        in_pairs=any(t.strength == 2 < len(t.dimensions) and own.get(t.id) for t in view.case.mastered),
        others=[
            (t.id, names.target(t.id), names.learner(t.learner), state_word(t.state))
            for t in view.case.targets.values()
            if t.state is not TargetState.MASTERED and chosen in ("", t.learner)
        ],
        learners=[(i, names.learner(i)) for i in view.case.learners],
        chosen=chosen,
        legend=legend(kind for _, kind in planned.values()),
    )


def _so_far(names: Names, found: TargetReview) -> tuple[tuple[str, ...], Chart]:
    """How far the target is towards generalised, and how its tuples came to be tried."""
    words = tuple_words(found.target)
    title = _(
        "{tuples} tried over time: {skill}",
        tuples=capital(words),
        skill=names.target(found.target.id),
    )
    sentences = (
        figures_sentence(names, found),
        *criterion_sentences(names, found.criterion, found.unplanned),
    )
    return sentences, chart(title, partial(counted_tuples, found.target), found.points)


def check(site: AppState, request: Request) -> Response:
    """All that is wrong or odd, each with a way to the form where it can be put right."""
    checked = workflow.checked(site.folder, site.now)
    case = checked.case  # of one that cannot be read the places in its files are all there is

    def shown(severity: Severity) -> list[tuple[str, str]]:
        found = [f for f in checked.findings if f.severity is severity]
        told = told_in_page(found, case if speech().words is Words.PLAIN else None, site.folder)
        return [(sentence, _form_of(first)) for sentence, first in told]

    return screen(
        site,
        request,
        "check-screen.html",
        title=_("Check"),
        errors=shown(Severity.ERROR),
        warnings=shown(Severity.WARNING),
        not_briefed=said(NOT_BRIEFED),
        unbriefed=tuple(briefing_lines(case, checked.unbriefed)) if case else (),
    )


def _form_of(finding: Finding) -> str:
    """The address of the thing's form, empty for what has none."""
    parts = finding.key.split(".")
    return f"/case/{parts[0]}/{parts[1]}" if len(parts) > 1 and parts[0] in FORMS else ""
