"""Before the page: the one screen that everybody on this machine may see. It asks for the key and lets a browser in.

The key is never part of an address: what a browser is started with stands in the list of processes, which every user
of the machine can read, and addresses stay in histories. It is typed into the form, or comes from a file that its
owner alone can read; the browser is started with the name of that file.
"""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Awaitable, Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from genplan.web.app_state import KEY_LETTERS, AppState
from genplan.web.guard import ENTER, Refused, cookie_name, fault, refusal
from genplan.web.templating import drawn, ours, stylesheet

FILE = "open-the-page.html"
NOT_IT = "That is not the key of this run. It stands in the terminal in which genplan was started."
EARLIER = "This is from an earlier start of the program, or from a browser that was not let in. Nothing was changed."


def build_gate(site: AppState, port: int) -> ASGIApp:
    """Nothing here depends on the case folder."""
    # drawn before the first connection: where those have taken every file that the process may open, it is still shown
    front = drawn("gate.html", problem="", way="")

    async def ask(request: Request) -> Response:
        return HTMLResponse(front)

    async def stranger(request: Request) -> Response:
        return HTMLResponse(
            drawn("gate.html", problem=EARLIER if request.method == "POST" else "", way=""), 403
        )

    routes = [
        Route("/", ask),
        Route(ENTER, _entering(site, port), methods=["POST"]),
        Route("/page.css", lambda request: Response(stylesheet(), media_type="text/css")),
        Route("/page.svg", lambda request: Response(ours("page.svg"), media_type="image/svg+xml")),
        Route("/{rest:path}", stranger, methods=["GET", "POST"]),
    ]
    return Starlette(routes=routes, exception_handlers={Refused: refusal, Exception: fault})


def _entering(site: AppState, port: int) -> Callable[[Request], Awaitable[Response]]:
    """Whoever brings the key gets the cookie, which goes along with this run's own addresses alone."""

    async def enter(request: Request) -> Response:
        async with request.form(max_files=0) as form:
            typed = form.get("key")
        if not _fits(typed if isinstance(typed, str) else "", site.key):
            return HTMLResponse(drawn("gate.html", problem=NOT_IT, way=""), 403)
        with contextlib.suppress(OSError):
            (site.scratch / FILE).unlink()  # it has done what it was for
        # not a redirection: that would still be the file's journey, with which no strict cookie goes along
        response = HTMLResponse(drawn("gate.html", problem="", way=site.way))
        name, path = cookie_name(port), f"/{site.way}/"
        response.set_cookie(name, site.ticket, httponly=True, samesite="strict", path=path)
        return response

    return enter


def _fits(typed: str, key: str) -> bool:
    """However it was typed: in capitals, with blanks, without hyphens."""
    return secrets.compare_digest(_letters(typed).encode(), _letters(key).encode())


def _letters(text: str) -> str:
    return "".join(c for c in text.lower() if c in KEY_LETTERS)


def write_entrance(site: AppState, port: int) -> Path:
    """The file that a browser is started with. Its folder and the file can be read by their owner alone."""
    path = site.scratch / FILE
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(drawn("entrance.html", address=f"http://127.0.0.1:{port}/enter", key=site.key))
    return path
