"""Before the page: the one screen that everybody on this machine may see. It asks for the key and lets a browser in.

The key is never part of an address: what a browser is started with stands in the list of processes, which every user
of the machine can read, and addresses stay in histories. It is typed into the form, or comes from a file that its
owner alone can read; the browser is started with the name of that file.
"""

from __future__ import annotations

import contextlib
import hmac
import os
from collections.abc import Awaitable, Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from genplan.language import LANGUAGES, N_, Speech, Words, said, speaking, speech
from genplan.web.app_state import AppState
from genplan.web.guard import ENTER, Door, Refused, fault, refusal
from genplan.web.keys import fits
from genplan.web.templating import drawn, own_file

FILE = "open-the-page.html"
NOT_IT = N_("That is not the key of this run. It stands in the terminal in which genplan was started.")
EARLIER = N_(
    "This is from an earlier start of the program, or from a browser that was not let in. "
    "Nothing was changed."
)


Enter = Callable[[Request], Awaitable[Response]]


def owners_door(site: AppState, port: int) -> Door:
    """The door of the page itself, which listens on loopback."""

    def is_owner(cookie: str) -> bool:
        return hmac.compare_digest(cookie.encode(), site.ticket.encode())

    hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
    return Door(
        hosts,
        site.way,
        f"genplan-{port}",
        is_owner,
        from_file=True,
        uploads=("/record/sheet",),
        language=site.language,
    )


def build_gate(
    template: str, enter: Enter, *more: Route, why_not: Callable[[Request], str] = lambda _request: ""
) -> ASGIApp:
    """The one screen that everybody may see, drawn by this template. Nothing here depends on the case folder. `why_not`
    says why one who had been let in is not any more; nothing of others."""
    # drawn before the first connection: where those have taken every file that the process may open, it is still shown
    fronts = {one: _front(template, one) for one in LANGUAGES}

    async def ask(request: Request) -> Response:
        return HTMLResponse(fronts[speech().language])

    async def stranger(request: Request) -> Response:
        problem = why_not(request) or (said(EARLIER) if request.method == "POST" else "")
        return HTMLResponse(drawn(template, problem=problem, way=""), 403)

    routes = [
        Route("/", ask),
        Route(ENTER, enter, methods=["POST"]),
        own_file("page.css"),
        own_file("page.svg"),
        *more,
        Route("/{rest:path}", stranger, methods=["GET", "POST"]),
    ]
    return Starlette(routes=routes, exception_handlers={Refused: refusal, Exception: fault})


def _front(template: str, language: str) -> str:
    with speaking(Speech(language, Words.PLAIN)):
        return drawn(template, problem="", way="")


def by_the_key(site: AppState, door: Door) -> Enter:
    """Whoever brings the key gets the cookie."""

    async def enter(request: Request) -> Response:
        async with request.form(max_files=0) as form:
            typed = form.get("key")
        if not fits(typed if isinstance(typed, str) else "", site.key):
            return HTMLResponse(drawn("gate.html", problem=said(NOT_IT), way=""), 403)
        with contextlib.suppress(OSError):
            (site.scratch / FILE).unlink()  # it has done what it was for
        return let_in(door, "gate.html", site.ticket)

    return enter


def let_in(door: Door, template: str, ticket: str) -> Response:
    """With the cookie, which goes along with this run's own addresses alone."""
    # not a redirection: that would still be the file's journey, with which no strict cookie goes along
    response = HTMLResponse(drawn(template, problem="", way=door.way))
    secure = door.scheme == "https"
    path = f"/{door.way}/"
    response.set_cookie(door.cookie, ticket, httponly=True, samesite="strict", path=path, secure=secure)
    return response


def write_entrance(site: AppState, port: int) -> Path:
    """The file that a browser is started with. Its folder and the file can be read by their owner alone."""
    path = site.scratch / FILE
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(drawn("entrance.html", address=f"http://127.0.0.1:{port}/enter", key=site.key))
    return path
