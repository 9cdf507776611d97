"""The addresses of the local page: each with the function that answers it."""

from __future__ import annotations

from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from genplan.web import (
    ahead,
    change,
    files,
    history,
    overview,
    plan,
    publish,
    record,
    reviews,
    share,
    things,
    upload,
    watching,
    week,
    why,
)
from genplan.web.draw import ours, screen, stylesheet
from genplan.web.gate import build_gate
from genplan.web.guard import Guard, Refused, fault, refusal
from genplan.web.handling import Changing, Shown, Uploading, changing, shown, uploading
from genplan.web.site import Site

PAGES: dict[str, Shown] = {
    "/": week.first,
    "/week": week.first,
    "/week/{week}": week.show,
    "/week/{week}/files/{name:path}": files.one,
    "/week/{week}/all.zip": files.together,
    "/week/{week}/sheets.pdf": files.sheets_pdf,
    "/record": record.day,
    "/record/choose": record.choose,
    "/record/row": record.row,
    "/matrix": overview.matrix,
    "/matrix.csv": files.matrix_table,
    "/plan": plan.show,
    "/plan/{week}": plan.show,
    "/plan/{week}/state": watching.state,
    "/plan/{week}/files/{name:path}": files.one,
    "/plan/{week}/all.zip": files.together,
    "/plan/{week}/sheets.pdf": files.sheets_pdf,
    "/review": reviews.show,
    "/review/page": reviews.page,
    "/review/all.zip": reviews.together,
    "/forecast": ahead.show,
    "/forecast/state": watching.state,
    "/forecast/forecast.csv": ahead.table,
    "/why": why.show,
    "/why/state": watching.state,
    "/chance": reviews.chance,
    "/publish": publish.show,
    "/share": share.show,
    "/share/{word}": share.made,
    "/share/{word}/files/{name:path}": share.one,
    "/share/{word}/all.zip": share.together,
    "/case": things.overview,
    "/case/general": things.general,
    "/case/{section}/new": things.fresh,
    "/case/{section}/{id}": things.show,
    "/check": overview.check,
    "/change": change.show,
    "/history/{target}": history.show,
    "/history/{target}/{line}": history.row,
}
CHANGES: dict[str, Changing] = {
    "/make-case": week.make_case,
    "/record/add": record.add,
    "/publish": publish.send,
    "/share/part": share.part,
    "/share/copy": share.copy,
    "/forecast/start": ahead.start,
    "/forecast/stop": watching.stop,
    "/why/start": why.start,
    "/why/stop": watching.stop,
    "/change": change.add,
    "/history/{target}/{line}": history.correct,
    "/plan/{week}/start": plan.start,
    "/plan/{week}/stop": watching.stop,
    "/plan/{week}/keep": plan.keep,
    "/case/general": things.save_general,
    "/case/{section}/new": things.save,
    "/case/{section}/{id}": things.save,
    "/case/{section}/{id}/remove": things.remove,
}
UPLOADS: dict[str, Uploading] = {"/record/sheet": upload.sheet}


def build(site: Site, port: int) -> ASGIApp:
    """The app behind its guard, for a server on this port."""
    routes = [
        Route("/page.css", lambda request: Response(stylesheet(), media_type="text/css")),
        Route("/page.js", lambda request: Response(ours("page.js"), media_type="text/javascript")),
        Route("/page.svg", lambda request: Response(ours("page.svg"), media_type="image/svg+xml")),
        *(Route(path, shown(site, handler), methods=["GET"]) for path, handler in PAGES.items()),
        *(Route(path, changing(site, handler), methods=["POST"]) for path, handler in CHANGES.items()),
        *(Route(path, uploading(site, handler), methods=["POST"]) for path, handler in UPLOADS.items()),
    ]

    def not_there(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 404
        words = ("There is no such page here.",) if status == 404 else ("That cannot be done here.",)
        return screen(site, request, "stopped.html", status, title="Not here", problems=words, fix="")

    handlers: dict[Any, Any] = {HTTPException: not_there, Refused: refusal, Exception: fault}
    app = Starlette(routes=routes, exception_handlers=handlers)
    app.router.redirect_slashes = False  # it would send on to an address that is made without us
    return Guard(app, build_gate(site, port), site, port)
