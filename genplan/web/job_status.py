"""What all long jobs have in common on the page: their state for the script, stopping one, and what a screen shows."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from genplan.language import _
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.templating import redirect


def place_of(request: Request) -> str:
    """The address that shows a job, from the address of what is done with it."""
    return request.url.path.rpartition("/")[0]


def state(site: AppState, request: Request) -> Response:
    """For the page's script: whether the job still runs, what it said last, and how many drafts there were."""
    search = site.at(place_of(request))
    if search is None:
        return JSONResponse({"state": "", "line": "", "drafts": 0})
    return JSONResponse({"state": search.state, "line": search.progress, "drafts": search.drafts})


def stop(site: AppState, request: Request, answers: Answers) -> Response:
    place = place_of(request)
    if site.at(place) is not None:
        site.stop()
    return redirect(site, place, _("It was stopped. Nothing was written."))


def shown(site: AppState, place: str) -> dict[str, Any]:
    """What 'watching.html' draws."""
    search = site.at(place)
    running = search.state if search else ""
    return {
        "place": place,
        "state": running,
        "line": search.progress if search else "",
        "reasons": search.problems if search and running == "failed" else (),
        "busy_with": site.busy_elsewhere(place),
        "ending": search is not None and search.taken,
        "refresh": running == "running",
    }
