"""What was changed in the case, and going back to what it was before."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.casefile.earlier import FOLDER, MOST
from genplan.errors import CaseError
from genplan.language import _
from genplan.report.names_and_words import long_date
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.templating import redirect, screen


def show(site: AppState, request: Request) -> Response:
    return _screen(site, request)


def go_back(site: AppState, request: Request, answers: Answers) -> Response:
    number = params.number_of(request)
    try:
        done = workflow.go_back(
            site.folder, number, site.now, cautions_too=answers.one("cautions") == str(number)
        )
    except workflow.CautionsWouldGo as would_go:
        return _screen(site, request, status=status_of(would_go), would_go=would_go, asked=number)
    except CaseError as problem:
        words = _(
            "The case cannot go back there, since other files need what it has now. Nothing was changed."
        )
        return _screen(site, request, (words, *sentences_of(problem, site.folder)), status_of(problem))
    again = urlencode([("again", str(week)) for week in (*done.planned, *done.maybe)])
    return redirect(
        site,
        f"/earlier?{again}" if again else "/earlier",
        _("The case is what it was before that change."),
        *done.sentences,
    )


def _screen(
    site: AppState,
    request: Request,
    problems: tuple[str, ...] = (),
    status: int = 200,
    *,
    would_go: workflow.CautionsWouldGo | None = None,
    asked: int = 0,
) -> Response:
    states = [
        {"number": s.number, "words": s.words, "when": f"{long_date(s.when.date())}, {s.when:%H:%M}"}
        for s in workflow.earlier_states(site.folder)
    ]
    return screen(
        site,
        request,
        "earlier-screen.html",
        status,
        title=_("What was changed"),
        problems=problems,
        states=states,
        again=[params.week(named) for named in request.query_params.getlist("again")],
        would_go=would_go,
        asked=asked,
        most=MOST,
        folder=FOLDER,
    )
