"""Reviews of a span of days, as page and tables, and what a pass mark can tell."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from genplan import workflow
from genplan.case.targets import PassMark
from genplan.errors import UsageError
from genplan.folders import zipped
from genplan.language import _, for_files, ngettext
from genplan.report.evidence_lines import MOST_TRIALS, chance_rows, lesson, result_rows
from genplan.report.lately import lately_page
from genplan.report.names_and_words import Names
from genplan.report.pdf import pdf_of
from genplan.report.review_page import review_page
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.plan_files import PAGE_POLICY, attached, can_print
from genplan.web.templating import screen


def show(site: AppState, request: Request) -> Response:
    """Which learner and which span to review."""
    opened = workflow.open_case(site.folder, site.now)
    names, today = Names(opened.case), opened.now.date()
    days = [r.date for r in opened.log.results]
    return screen(
        site,
        request,
        "review-screen.html",
        title=_("Review"),
        learners=[(i, names.learner(i)) for i in opened.case.learners],
        first=min([*days, today]).isoformat(),
        last=today.isoformat(),
        pdf=can_print(),
        telling=workflow.names_in_files(opened.case, opened.case.learners),
    )


def page(site: AppState, request: Request) -> Response:
    """The page that 'genplan review' writes for a learner."""
    found = _found(site, request, request.query_params.get("learner", ""))
    text = _drawn(found, request)
    return HTMLResponse(text, headers={"Content-Security-Policy": PAGE_POLICY})


def page_pdf(site: AppState, request: Request) -> Response:
    """The same page as PDF, as 'genplan review --pdf' prints it."""
    found = _found(site, request, request.query_params.get("learner", ""))
    (review,) = found.reviews
    data = pdf_of(_drawn(found, request).encode("utf-8"), site.scratch)
    return attached(data, f"review-{review.learner}.pdf", "application/pdf")


def together(site: AppState, request: Request) -> Response:
    """Everything that 'genplan review --out' writes, of all learners, in one ZIP folder."""
    data = zipped(workflow.review_files(_found(site, request, None), _by_name(request)))
    first, last = (request.query_params.get(n, "") for n in ("from", "to"))
    return attached(data, f"review-{params.day(first)}-{params.day(last)}.zip", "application/zip")


def loads(site: AppState, request: Request) -> Response:
    """The page that 'genplan loads --out' writes, of so many weeks."""
    count = params.count(request.query_params.get("weeks", ""), _("the weeks"))
    view = workflow.loads(site.folder, count, site.now)
    text = lately_page(view.case, view.weeks, view.loads, view.not_held, view.counts, view.unwritten)
    return HTMLResponse(text, headers={"Content-Security-Policy": PAGE_POLICY})


def _found(site: AppState, request: Request, learner: str | None) -> workflow.Reviews:
    first, last = (params.day(request.query_params.get(n, "")) for n in ("from", "to"))
    return workflow.review(site.folder, first, last, learner, None, site.now, False)


@for_files()
def _drawn(found: workflow.Reviews, request: Request) -> str:
    return review_page(found.case, found.reviews[0], found.now, _by_name(request))


def _by_name(request: Request) -> bool:
    return request.query_params.get("names", "") == "yes"


def chance(site: AppState, request: Request) -> Response:
    """What a probe with a mark can and cannot show."""
    given = request.query_params
    correct = params.count(given.get("correct", "4"), _("the mark")) or 0
    of = params.count(given.get("of", "5"), _("the mark")) or 0
    trials = params.count(given.get("trials", ""), _("the trials")) or of
    if not 1 <= correct <= of or not 1 <= trials <= MOST_TRIALS:
        raise UsageError(_("A mark is such as 4 of 5, and a probe has 1 to {most} trials.", most=MOST_TRIALS))
    mark = PassMark(correct, of)
    return screen(
        site,
        request,
        "chance-screen.html",
        title=_("What a pass mark can tell"),
        here="/review",
        mark=mark,
        trials=trials,
        said_of=ngettext(
            "A probe of {n} trial, met with {needed} correct.",
            "A probe of {n} trials, met with {needed} correct.",
            trials,
            needed=mark.needed(trials),
        ),
        meeting=chance_rows(mark, trials),
        results=result_rows(mark, trials),
        lesson=lesson(mark, trials),
    )
