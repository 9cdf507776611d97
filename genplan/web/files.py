"""The files of a plan, handed out one by one: only what the plan's folder itself lists, nothing beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case
from genplan.keeping.store import FILE as OWN
from genplan.keeping.store import folder_of
from genplan.report.wording import Names
from genplan.web import asked
from genplan.web.site import Site

TYPES: Mapping[str, str] = {
    ".html": "text/html; charset=utf-8",
    ".ics": "text/calendar; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    ".pdf": "application/pdf",
}
# A page that was written carries a policy of its own with the hash of its style; this one lets it have that style.
PAGE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
ORDER = (
    "week.html",
    "sheets.html",
    "pages/",
    "calendars/",
    "plan.csv",
    "matrix.csv",
    "coverage.csv",
    "plan.json",
    "run.json",
)
WORDS: Mapping[str, str] = {
    "week.html": "The page of the week",
    "sheets.html": "Sheets to print and fill in",
    "calendars/all.ics": "Calendar of every sitting",
    "plan.csv": "Table of the probes",
    "matrix.csv": "Table of the matrix",
    "coverage.csv": "Table of the coverage",
    "plan.json": "The plan for programs",
    "run.json": "How the run went, for programs",
}


@dataclass(frozen=True)
class File:
    name: str
    words: str


def listed(folder: Path, case: Case) -> tuple[File, ...]:
    """What may be handed out of a plan's folder: plain files of known kinds, no links, one folder deep."""
    return tuple(File(name, _words(Names(case), name)) for name in names_in(folder))


def names_in(folder: Path) -> tuple[str, ...]:
    found = []
    for path in [*folder.glob("*"), *folder.glob("calendars/*"), *folder.glob("pages/*")]:
        inside = path.resolve().is_relative_to(folder.resolve())
        if path.suffix in TYPES and path.name != OWN and path.is_file() and not path.is_symlink() and inside:
            found.append(path.relative_to(folder).as_posix())
    return tuple(sorted(found, key=_order))


def _order(name: str) -> tuple[int, bool, str]:
    places = [i for i, start in enumerate(ORDER) if name.startswith(start)]
    return (min(places, default=len(ORDER)), not name.endswith("all.ics"), name)


def _words(names: Names, name: str) -> str:
    """What a file is for; whose it is by name."""
    if name in WORDS:
        return WORDS[name]
    folder, _, file = name.rpartition("/")
    kind, _, id_ = file.rpartition(".")[0].partition("-")
    called = {"adult": names.adult, "location": names.location, "learner": names.learner}.get(kind)
    what = {"calendars": "Calendar", "pages": "Page"}.get(folder)
    return f"{what} of {called(id_)}" if called and what else name


def kept(site: Site, request: Request) -> Response:
    """A file of a kept week."""
    return _file(folder_of(site.folder, asked.week(request.path_params["week"])), request)


def draft(site: Site, request: Request) -> Response:
    """A file of a plan that is not kept yet."""
    found = site.draft(asked.week(request.path_params["week"]))
    if found is None:
        raise HTTPException(404)
    return _file(found.out, request)


def _file(folder: Path, request: Request) -> Response:
    name = request.path_params["name"]
    if name not in names_in(folder):
        raise HTTPException(404)
    kind = "." + name.rpartition(".")[2]
    headers = {"Content-Security-Policy": PAGE_POLICY}
    if kind != ".html":
        headers["Content-Disposition"] = f'attachment; filename="{name.rpartition("/")[2]}"'
    return Response((folder / name).read_bytes(), media_type=TYPES[kind], headers=headers)


def matrix_table(site: Site, request: Request) -> Response:
    """The whole matrix as the table that 'genplan matrix --csv' writes."""
    from genplan.report.tables import csv_bytes, matrix_table

    view = workflow.matrix(site.folder, site.now)
    data = csv_bytes(matrix_table(view.case, view.rows, view.planned))
    return Response(
        data, media_type=TYPES[".csv"], headers={"Content-Disposition": 'attachment; filename="matrix.csv"'}
    )
