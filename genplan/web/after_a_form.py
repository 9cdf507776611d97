"""A page that answers a form, at an address of its own: a browser that loads it again, or comes back to it, does not
ask whether to send the form once more. What was typed and refused stands in it."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from genplan.language import _
from genplan.web.app_state import AppState
from genplan.web.templating import redirect, screen

PLACE = "/answer/{word}"
PAGES_TO_STAY_ON = (200, 409, 422)


def shown_apart(site: AppState, answer: Response) -> Response:
    """The way to the page, where the answer is one to look at and to go on from."""
    if answer.status_code not in PAGES_TO_STAY_ON or not isinstance(answer, HTMLResponse):
        return answer
    return redirect(site, PLACE.format(word=site.put_by(answer.status_code, bytes(answer.body))))


def show(site: AppState, request: Request) -> Response:
    """As it was said then; the last few alone are kept."""
    status, page = site.put_by_as(request.path_params["word"])
    if page:
        return HTMLResponse(page, status)
    words = _("This page is not kept any more. Nothing was written down by it: begin anew from the form.")
    return screen(site, request, "stopped.html", 404, title=_("Not here"), problems=(words,), fix="")
