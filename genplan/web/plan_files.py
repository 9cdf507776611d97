"""The files of a plan, handed out one by one or all in one: only what the plan's folder itself lists and what is drawn
of a kept week, nothing beside them."""

from __future__ import annotations

import shutil

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import UsageError
from genplan.folders import zipped
from genplan.keeping.store import read_kept
from genplan.language import _
from genplan.report.pdf import browsers, print_to_pdf
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.files_listed import TYPES
from genplan.web.shelf import FileListing, shelf_of_kept
from genplan.web.templating import redirect
from genplan.workflow.week_as_told import open_to_tell

# A page that was written carries a policy of its own with the hash of its style; this one lets it have that style.
PAGE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
PAGE_OF_A_PLAN = "week.html"
"""A kept week has none: its screen takes that place."""


def _shelf(site: AppState, request: Request) -> FileListing:
    """The shelf that an address speaks of: of a kept week, or of a plan that is not kept yet; once it is, a tab that is
    still open gets what the kept week has of it."""
    week = params.week(request.path_params["week"])
    if (found := site.draft(week)) and _is_of_a_plan(request):
        return FileListing(found.folder_of(week))
    opened, unread = open_to_tell(site.folder, site.now)
    return shelf_of_kept(opened, week, read_kept(site.folder, week, opened.case), unread=unread)


def _is_of_a_plan(request: Request) -> bool:
    return not request.url.path.startswith("/week/")


def one(site: AppState, request: Request) -> Response:
    name = request.path_params["name"]
    kind = "." + name.rpartition(".")[2]
    shelf = _shelf(site, request)
    if name == PAGE_OF_A_PLAN and name not in shelf.names and shelf.names and _is_of_a_plan(request):
        gone = _(
            "That page was of a plan that is in use now, or was put aside. This is the week as people know it."
        )
        return redirect(site, f"/week/{request.path_params['week']}", gone)
    data = shelf.read(name)
    if kind == ".html":
        return drawn(data)
    return attached(data, name.rpartition("/")[2], TYPES[kind])


def together(site: AppState, request: Request) -> Response:
    """Every file of the plan in one ZIP folder; the same files give the same bytes."""
    shelf, week = _shelf(site, request), request.path_params["week"]
    if not shelf.names:
        raise HTTPException(404)
    return attached(zipped({n: shelf.read(n) for n in shelf.names}), f"{week}.zip", "application/zip")


def can_print() -> bool:
    """Whether this machine has a browser that makes a PDF."""
    return next(browsers(), None) is not None


def sheets_pdf(site: AppState, request: Request) -> Response:
    """The sheets as 'genplan sheets' prints them."""
    shelf, scratch = _shelf(site, request), site.room_for("pdf")
    try:
        page, pdf = scratch / "sheets.html", scratch / "sheets.pdf"
        page.write_bytes(shelf.read("sheets.html"))
        print_to_pdf(page, pdf)
        name = f"sheets-{request.path_params['week']}.pdf"
        return attached(pdf.read_bytes(), name, TYPES[".pdf"])
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def attached(data: bytes, name: str, kind: str) -> Response:
    """A file to be saved; `name` is one of ours."""
    headers = {
        "Content-Security-Policy": PAGE_POLICY,
        "Content-Disposition": f'attachment; filename="{name}"',
    }
    return Response(data, media_type=kind, headers=headers)


def drawn(data: bytes, kind: str = TYPES[".html"]) -> Response:
    """A file to be looked at."""
    return Response(data, media_type=kind, headers={"Content-Security-Policy": PAGE_POLICY})


def matrix_table(site: AppState, request: Request) -> Response:
    """The table that 'genplan matrix --csv' writes: of everything, of a learner, or of a target."""
    from genplan.report.tables import csv_bytes, matrix_table

    learner, target = (request.query_params.get(name, "") for name in ("learner", "target"))
    try:
        view = workflow.matrix(site.folder, site.now, learner or None, target or None)
    except UsageError:
        raise HTTPException(404) from None
    data = csv_bytes(matrix_table(view.case, view.rows, view.planned))
    return attached(data, f"matrix{'-' if target or learner else ''}{target or learner}.csv", TYPES[".csv"])
