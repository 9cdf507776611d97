"""The addresses of the local page: each with the function that answers it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from genplan.language import _
from genplan.start.screens import REVIEW
from genplan.web import (
    after_a_form,
    alternatives,
    case_editor,
    earlier,
    fell_through,
    forecasting,
    history,
    job_status,
    kept_week,
    overview,
    phones_screen,
    plan,
    plan_files,
    price,
    publish,
    record,
    reference,
    reviews,
    share,
    terms,
    today,
    todays_changes,
    upload,
    why,
    wishes,
)
from genplan.web.app_state import AppState
from genplan.web.endpoints import Changing, Shown, Uploading, changing, shown, uploading
from genplan.web.gate import build_gate, by_the_key, owners_door
from genplan.web.guard import Guard, Refused, fault, refusal
from genplan.web.new_warnings import telling
from genplan.web.spoken import Spoken
from genplan.web.start import screens as start
from genplan.web.templating import own_file, screen

PAGES: dict[str, Shown] = {
    "/": today.show,
    "/week": kept_week.first,
    "/week/{week}": kept_week.show,
    "/week/{week}/files/{name:path}": plan_files.one,
    "/week/{week}/all.zip": plan_files.together,
    "/week/{week}/sheets.pdf": plan_files.sheets_pdf,
    "/week/{week}/alternatives/{sitting}": alternatives.show,
    "/record": record.day,
    "/record/choose": record.choose,
    "/record/row": record.row,
    "/record/fell-through": fell_through.show,
    "/matrix": overview.matrix,
    "/matrix.csv": plan_files.matrix_table,
    "/plan": plan.show,
    "/plan/{week}": plan.show,
    "/plan/{week}/state": job_status.state,
    "/plan/{week}/so-far": plan.so_far,
    "/plan/{week}/files/{name:path}": plan_files.one,
    "/plan/{week}/all.zip": plan_files.together,
    "/plan/{week}/sheets.pdf": plan_files.sheets_pdf,
    "/review": reviews.show,
    "/review/page": reviews.page,
    "/review/page.pdf": reviews.page_pdf,
    "/review/all.zip": reviews.together,
    "/loads": reviews.loads,
    "/forecast": forecasting.show,
    "/forecast/state": job_status.state,
    "/forecast/forecast.csv": forecasting.table,
    "/term": terms.show,
    "/term/state": job_status.state,
    "/term/term.csv": terms.table,
    "/price": price.show,
    "/price/state": job_status.state,
    "/why": why.show,
    "/why/state": job_status.state,
    "/chance": reviews.chance,
    "/publish": publish.show,
    "/share": share.show,
    "/share/{word}": share.made,
    "/share/{word}/files/{name:path}": share.one,
    "/share/{word}/all.zip": share.together,
    "/start": start.begin,
    "/start/hours": start.hours,
    f"/start/{REVIEW}": start.ready,
    "/start/{screen}": start.show,
    "/case": case_editor.overview,
    "/case/general": case_editor.general,
    "/case/{section}/new": case_editor.fresh,
    "/case/{section}/{id}": case_editor.show,
    "/earlier": earlier.show,
    "/check": overview.check,
    "/phones": phones_screen.show,
    "/help": reference.show,
    "/change": todays_changes.show,
    after_a_form.PLACE: after_a_form.show,
    "/history/{target}": history.show,
    "/history/{target}/{line}": history.row,
}
CHANGES: dict[str, Changing] = {
    "/make-case": kept_week.make_case,
    "/start/make": start.make,
    "/start/{screen}": start.save,
    "/start/{screen}/keep": start.keep,
    "/week/{week}/wish": kept_week.wish,
    "/week/{week}/take-back": wishes.take_back,
    "/week/{week}/told": kept_week.tell,
    "/week/{week}/not-told": kept_week.take_told_back,
    "/record/add": record.add,
    "/record/fell-through": fell_through.add,
    "/record/held-after-all": fell_through.take_back,
    "/publish": publish.send,
    "/share/part": share.part,
    "/share/copy": share.copy,
    "/forecast/start": forecasting.start,
    "/forecast/stop": job_status.stop,
    "/term/start": terms.start,
    "/term/stop": job_status.stop,
    "/price/stop": job_status.stop,
    "/week/{week}/price": price.start,
    "/why/start": why.start,
    "/why/stop": job_status.stop,
    "/change": todays_changes.add,
    "/change/try": todays_changes.tried,
    "/week/{week}/alternatives/{sitting}": alternatives.take,
    "/history/{target}/{line}": history.correct,
    "/plan/{week}/start": plan.start,
    "/plan/{week}/stop": job_status.stop,
    "/plan/{week}/take": plan.take,
    "/plan/{week}/keep": plan.keep,
    "/case/general": telling(case_editor.save_general),
    "/case/{section}/new": telling(case_editor.save),
    "/case/{section}/{id}": telling(case_editor.save),
    "/case/{section}/{id}/remove": telling(case_editor.remove),
    "/case/{section}/{id}/rename": telling(case_editor.rename),
    "/earlier/{number}": telling(earlier.go_back),
    "/phones/invite": phones_screen.invite,
    "/phones/{number}/take-back": phones_screen.take_back,
}
UPLOADS: dict[str, Uploading] = {"/record/sheet": upload.sheet}


OWN_FILES = ("page.css", "page.js", "count.js", "start.css", "start.js", "page.svg")


def build(site: AppState, port: int) -> ASGIApp:
    """The app behind its guard, for a server on this port."""
    uploads = [Route(path, uploading(site, handler), methods=["POST"]) for path, handler in UPLOADS.items()]
    door = owners_door(site, port)
    gate = build_gate("gate.html", by_the_key(site, door))
    return Guard(Spoken(build_app(site, PAGES, CHANGES, *uploads), site), gate, door)


def build_app(
    site: AppState, pages: Mapping[str, Shown], changes: Mapping[str, Changing], *more: Route
) -> ASGIApp:
    """What answers those who were let in."""
    routes = [
        *map(own_file, OWN_FILES),
        *(Route(path, shown(site, handler), methods=["GET"]) for path, handler in pages.items()),
        *(Route(path, changing(site, handler), methods=["POST"]) for path, handler in changes.items()),
        *more,
    ]

    def not_there(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 404
        words = (_("There is no such page here."),) if status == 404 else (_("That cannot be done here."),)
        return screen(site, request, "stopped.html", status, title=_("Not here"), problems=words, fix="")

    handlers: dict[Any, Any] = {HTTPException: not_there, Refused: refusal, Exception: fault}
    app = Starlette(routes=routes, exception_handlers=handlers)
    app.router.redirect_slashes = False  # it would send on to an address that is made without us
    return app
