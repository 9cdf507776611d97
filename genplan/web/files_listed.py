"""The files of a plan as they are listed: which there are, by kind, in the order to look at them, and what for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from genplan.case import Case
from genplan.keeping.store import FILE as OWN
from genplan.language import N_, _, said
from genplan.report.names_and_words import Names

TYPES: Mapping[str, str] = {
    ".html": "text/html; charset=utf-8",
    ".ics": "text/calendar; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".json": "application/json",
    ".pdf": "application/pdf",
    ".txt": "text/plain; charset=utf-8",
}
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
