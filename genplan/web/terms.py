"""The dates of the weeks ahead: the term, made in a process of its own and drawn here.

What draws it comes late: it knows the term, which knows the planner.
"""

from __future__ import annotations

from collections.abc import Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Week
from genplan.case.week import MOST_WEEKS
from genplan.language import _
from genplan.report.tables import csv_bytes
from genplan.web import job_status, params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.files_listed import TYPES
from genplan.web.long_jobs import Search, looking
from genplan.web.plain_findings import said_in_page
from genplan.web.plan_files import attached
from genplan.web.templating import redirect, screen
from genplan.workflow.facts_to_plan_by import TERM_WEEKS

PLACE = "/term"


def show(site: AppState, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    search = site.finished(PLACE)
    view: workflow.TermView | None = search.task.found() if search else None
    chosen = _chosen(opened, search, request.query_params.get("week", ""))
    return screen(
        site,
        request,
        "term-screen.html",
        title=_("Dates over the weeks"),
        here="/plan",
        first_weeks=params.weeks_ahead(opened, params.week(str(chosen["week"]))),
        chosen=chosen,
        most_weeks=MOST_WEEKS,
        found=_found(view) if view else None,
        warnings=said_in_page(view.findings, opened.case, site.folder) if view else (),
        outdated=search is not None and site.is_outdated(search),
        **job_status.shown(site, PLACE),
    )


def start(site: AppState, request: Request, answers: Answers) -> Response:
    weeks = params.weeks_to_look_at(answers.one("weeks"))
    first = params.week(answers.one("first"))
    opened = workflow.open_case(site.folder, site.now)
    workflow.refuse_past(first, opened.now)
    out, name = site.room_for("term") / "found", _("the dates of the weeks ahead")
    site.begin(looking("term", site.folder.resolve(), first, site.now, out, {"weeks": weeks}, name, PLACE))
    return redirect(site, PLACE)


def table(site: AppState, request: Request) -> Response:
    """The table that 'genplan term --csv' writes."""
    search = site.finished(PLACE)
    if search is None:
        raise HTTPException(404)
    from genplan.report.term_table import term_table

    view: workflow.TermView = search.task.found()
    return attached(csv_bytes(term_table(view.case, view.term)), "term.csv", TYPES[".csv"])


def _chosen(opened: workflow.Opened, search: Search | None, linked: str) -> Mapping[str, object]:
    """What the form holds: the week of the link, what was asked for last, else what the command line takes."""
    from_link = {"week": linked} if linked else {}
    if search is not None:
        return {**search.task.asked, **from_link}
    return {"weeks": TERM_WEEKS, "week": str(Week.of(opened.now.date()).next()), **from_link}


def _found(view: workflow.TermView) -> Mapping[str, object]:
    from genplan.report.term_page import shown

    return shown(view.case, view.term, view.now, begun=view.begun, not_counted=view.not_counted)
