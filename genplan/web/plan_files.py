"""The files of a plan, handed out one by one or all in one: only what the plan's folder itself lists and the pages that
are drawn of a kept week, nothing beside them."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.folders import zipped
from genplan.keeping.store import FILE as OWN
from genplan.keeping.store import folder_of, read_kept
from genplan.keeping.told import KeptWeek
from genplan.language import N_, _, for_files, said
from genplan.plan import Plan, Sitting
from genplan.report.adult_page import adult_page
from genplan.report.fridge_page import fridge_page
from genplan.report.messages import message
from genplan.report.names_and_words import Names
from genplan.report.pdf import browsers, print_to_pdf
from genplan.report.sheets import sheets_page
from genplan.report.timetable import FILES as TIMETABLE
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.templating import redirect

TYPES: Mapping[str, str] = {
    ".html": "text/html; charset=utf-8",
    ".ics": "text/calendar; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    ".pdf": "application/pdf",
    ".txt": "text/plain; charset=utf-8",
}
# A page that was written carries a policy of its own with the hash of its style; this one lets it have that style.
PAGE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
ORDER = (
    "week.html",
    "timetable.html",
    "sheets.html",
    "pages/",
    "messages/",
    "changes/",
    "calendars/",
    "plan.csv",
    "matrix.csv",
    "coverage.csv",
    "timetable.csv",
    "timetable-minutes.csv",
    "plan.json",
    "run.json",
)
WORDS: Mapping[str, str] = {
    "week.html": N_("The page of the week"),
    "timetable.html": N_("The timetable to hang up, by adult, place and child"),
    "sheets.html": N_("Sheets to print and fill in"),
    "calendars/all.ics": N_("Calendar of every sitting"),
    "plan.csv": N_("Table of the probes"),
    "matrix.csv": N_("Table of the matrix"),
    "coverage.csv": N_("Table of the coverage"),
    "timetable.csv": N_("Table of the sittings, a row for each adult of each"),
    "timetable-minutes.csv": N_("Table of the minutes used and free"),
    "plan.json": N_("The plan for programs"),
    "run.json": N_("How the run went, for programs"),
}


@dataclass(frozen=True)
class File:
    name: str
    words: str


GROUPS: Mapping[str, str] = {
    "": "",
    "pages": N_("Pages of adults, each with that adult's sittings, and of children for the fridge"),
    "messages": N_("The week for each adult, as a text to copy and send"),
    "changes": N_("What changes for each person, ready to send"),
    "calendars": N_("Calendars"),
    "tables": N_("Tables, and files for programs"),
}


@dataclass(frozen=True)
class FileGroup:
    """Files of one kind, the ones to look at first in front; `of` is empty for those that are meant for everybody."""

    of: str
    files: tuple[File, ...]


def listed(names: Iterable[str], case: Case) -> tuple[FileGroup, ...]:
    """Files with what they are for, by kind."""
    words = {**{name: said(w) for name, w in WORDS.items()}, **_words(Names(case))}
    found = [File(name, words.get(name, name)) for name in sorted(names, key=_order)]
    groups = (
        FileGroup(said(of), tuple(f for f in found if _kind(f.name) == kind)) for kind, of in GROUPS.items()
    )
    return tuple(g for g in groups if g.files)


def _kind(name: str) -> str:
    folder = name.rpartition("/")[0]
    return folder or ("" if name.endswith(".html") else "tables")


def names_in(folder: Path) -> tuple[str, ...]:
    """What may be handed out of a plan's folder: plain files of known kinds, no links, one folder deep."""
    found = []
    for path in (
        p for glob in ("*", "calendars/*", "pages/*", "messages/*", "changes/*") for p in folder.glob(glob)
    ):
        inside = path.resolve().is_relative_to(folder.resolve())
        if path.suffix in TYPES and path.name != OWN and path.is_file() and not path.is_symlink() and inside:
            found.append(path.relative_to(folder).as_posix())
    return tuple(sorted(found))


def _order(name: str) -> tuple[int, bool, str]:
    places = [i for i, start in enumerate(ORDER) if name.startswith(start)]
    return (min(places, default=len(ORDER)), not name.endswith("all.ics"), name)


def _words(names: Names) -> dict[str, str]:
    """What the files of single people and places are for, by the files' names."""
    case = names.case
    return {
        **{f"pages/adult-{i}.html": _("Page of {adult}", adult=names.adult(i)) for i in case.adults},
        **{
            f"pages/fridge-{i}.html": _("For the fridge: the week of {learner}", learner=names.learner(i))
            for i in case.learners
        },
        **{f"messages/adult-{i}.txt": _("To {adult}", adult=names.adult(i)) for i in case.adults},
        **{f"changes/adult-{i}.txt": _("For {adult}", adult=names.adult(i)) for i in case.adults},
        **{
            f"changes/learner-{i}.txt": _("For the family of {learner}", learner=names.learner(i))
            for i in case.learners
        },
        **{f"calendars/adult-{i}.ics": _("Calendar of {adult}", adult=names.adult(i)) for i in case.adults},
        **{
            f"calendars/location-{i}.ics": _("Calendar of {location}", location=names.location(i))
            for i in case.locations
        },
        **{
            f"calendars/learner-{i}.ics": _("Calendar of {learner}", learner=names.learner(i))
            for i in case.learners
        },
    }


PAGE_OF_A_PLAN = "week.html"
"""A kept week has none: its screen takes that place."""


@dataclass(frozen=True)
class FileListing:
    """The files of one plan: those of a folder, and pages drawn when they are asked for."""

    folder: Path
    drawn: Mapping[str, Callable[[], bytes]] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        return (*names_in(self.folder), *self.drawn)

    def read(self, name: str) -> bytes:
        """Raises HTTPException (404) for what is not among the names."""
        if name in self.drawn:
            return self.drawn[name]()
        if name not in names_in(self.folder):
            raise HTTPException(404)
        return (self.folder / name).read_bytes()


def shelf_of_kept(opened: workflow.Opened, week: Week, kept: KeptWeek | None) -> FileListing:
    """What a kept week left in the case folder, and the sheets, pages, messages and timetable of what people were told.
    Empty for a week that was not kept."""
    case, folder = opened.case, folder_of(opened.folder, week)
    if kept is None:
        return FileListing(folder)
    told = Plan.of_sittings(week, kept.kept, known_sittings(case, kept.sittings))
    drawn: dict[str, Callable[[], bytes]] = {"sheets.html": partial(_sheets, case, told)}
    timetable = cache(lambda: workflow.timetable_of(opened, week, told.sittings))
    drawn |= {name: partial(_one_of, timetable, name) for name in TIMETABLE}
    for adult in sorted({a for s in told.sittings for a in s.adults}):
        drawn[f"pages/adult-{adult}.html"] = partial(_adult_page, case, told, adult)
        drawn[f"messages/adult-{adult}.txt"] = partial(_message, case, told, adult)
    for learner in sorted({s.learner for s in told.sittings}):
        drawn[f"pages/fridge-{learner}.html"] = partial(_fridge_page, case, told, learner)
    return FileListing(folder, drawn)


def _one_of(made: Callable[[], Mapping[str, bytes]], name: str) -> bytes:
    return made()[name]


@for_files()
def _sheets(case: Case, told: Plan) -> bytes:
    return sheets_page(case, told).encode("utf-8")


@for_files()
def _adult_page(case: Case, told: Plan, adult: str) -> bytes:
    return adult_page(case, told, adult).encode("utf-8")


@for_files()
def _message(case: Case, told: Plan, adult: str) -> bytes:
    return message(case, told, adult).encode("utf-8")


@for_files()
def _fridge_page(case: Case, told: Plan, learner: str) -> bytes:
    return fridge_page(case, told, learner).encode("utf-8")


def known_sittings(case: Case, sittings: Iterable[Sitting]) -> tuple[Sitting, ...]:
    """Those of which the case still knows everything."""
    return tuple(
        s
        for s in sittings
        if s.learner in case.learners
        and set(s.adults) <= set(case.adults)
        and s.location in case.locations
        and all(p.target in case.targets for p in s.probes)
    )


def _shelf(site: AppState, request: Request) -> FileListing:
    """The shelf that an address speaks of: of a kept week, or of a plan that is not kept yet; once it is, a tab that is
    still open gets what the kept week has of it."""
    week = params.week(request.path_params["week"])
    if (found := site.draft(week)) and _is_of_a_plan(request):
        return FileListing(found.folder_of(week))
    opened = workflow.open_case(site.folder, site.now)
    return shelf_of_kept(opened, week, read_kept(site.folder, week, opened.case))


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
