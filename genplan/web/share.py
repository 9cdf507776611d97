"""Something to hand on: one adult's part of the kept weeks, or a copy of the case without names.

It is made for this run alone, looked at here, and saved by whoever asked for it; nothing is sent.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from zipfile import ZipFile

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import CaseError, UsageError
from genplan.language import N_, _, said
from genplan.report.names_and_words import Names
from genplan.web.app_state import AppState, PreparedDownload
from genplan.web.endpoints import Answers
from genplan.web.files_listed import TYPES, File
from genplan.web.plan_files import attached, drawn
from genplan.web.rows_told import told
from genplan.web.templating import redirect, screen

SHOWN_AS_TEXT = (".txt", ".yaml")
WORDS = {
    "week.html": N_("The page of the week"),
    "sheets.html": N_("Sheets to print and fill in"),
    "calendar.ics": N_("Calendar to take over into another program"),
    "ABOUT.txt": N_("What can still be read; look at this first"),
    "case.yaml": N_("The case in other words"),
    "results.csv": N_("What was run, without notes"),
    "told.json": N_("What was kept, in other words"),
}
BUSY = N_("Busy times, without what for")


def show(site: AppState, request: Request) -> Response:
    """What can be made, and who would see what. Of a case with errors a copy can be made all the same."""
    try:
        opened = workflow.open_case(site.folder, site.now)
    except CaseError:
        opened = None
    names = Names(opened.case) if opened else None
    return screen(
        site,
        request,
        "share-screen.html",
        title=_("Hand something on"),
        here="/week",
        adults=[(i, names.adult(i)) for i in names.case.adults] if names else [],
        chosen=request.query_params.get("adult", ""),
        weeks=workflow.weeks_to_share(opened) if opened else [],
        errors=opened is None,
    )


def part(site: AppState, request: Request, answers: Answers) -> Response:
    """One adult's part, as 'genplan share --adult' makes it."""
    adult = answers.one("adult")
    if not adult:
        raise UsageError(_("For whom? Nothing was made: go back and choose an adult."))
    file, done = _kept_apart(site, lambda out: workflow.share_part(site.folder, adult, out, site.now))
    return _to_look_at(site, file, f"part-of-{adult}.zip", _("One adult's part"), done)


def copy(site: AppState, request: Request, answers: Answers) -> Response:
    """A copy without names, as 'genplan share --for-help' makes it."""
    file, done = _kept_apart(site, lambda out: workflow.share_copy(site.folder, out, site.now, _silent))
    return _to_look_at(site, file, "copy-without-names.zip", _("A copy without names"), done)


def _silent(sentence: str) -> None:
    """A form that was sent has nobody who listens."""


def _kept_apart(site: AppState, make: Callable[[Path], workflow.Shared]) -> tuple[Path, workflow.Shared]:
    """The file made in a fresh folder of this run, which goes again if that fails."""
    room = site.room_for("share")
    try:
        return (file := room / "all.zip"), make(file)
    except BaseException:
        shutil.rmtree(room, ignore_errors=True)
        raise


def _to_look_at(site: AppState, file: Path, name: str, title: str, done: workflow.Shared) -> Response:
    word = site.hand(PreparedDownload(file, name, title, done.sentence, told(site.folder, done.findings)))
    return redirect(site, f"/share/{word}")


def made(site: AppState, request: Request) -> Response:
    """What was made: its files to look at, and all of them to save."""
    found = _handed(site, request)
    with ZipFile(found.file) as packed:
        files = sorted(packed.namelist(), key=_order)
    return screen(
        site,
        request,
        "shared-screen.html",
        title=found.title,
        here="/week",
        found=found,
        files=[File(name, _words(name)) for name in files],
        address=request.url.path,
    )


def one(site: AppState, request: Request) -> Response:
    """One file of it, byte for byte as it is handed on."""
    found, name = _handed(site, request), request.path_params["name"]
    with ZipFile(found.file) as packed:
        if name not in packed.namelist():
            raise HTTPException(404)
        data = packed.read(name)
    kind = "." + name.rpartition(".")[2]
    if kind == ".html":
        return drawn(data)
    if kind in SHOWN_AS_TEXT:
        return drawn(data, "text/plain; charset=utf-8")
    return attached(data, name.rpartition("/")[2], TYPES[kind])


def together(site: AppState, request: Request) -> Response:
    found = _handed(site, request)
    return attached(found.file.read_bytes(), found.name, "application/zip")


def _handed(site: AppState, request: Request) -> PreparedDownload:
    found = site.handed.get(request.path_params["word"])
    if found is None:
        raise HTTPException(404)
    return found


def _words(name: str) -> str:
    folder, _, file = name.rpartition("/")
    return said(BUSY if folder == "busy" else WORDS[file])


def _order(name: str) -> tuple[str, int]:
    """By week, and within it the file to look at first in front."""
    folder, _, file = name.rpartition("/")
    return folder, list(WORDS).index(file) if file in WORDS else len(WORDS)
