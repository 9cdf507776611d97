"""A small case for results: one target with an extra dimension, one without."""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

from genplan.case import (
    Adult,
    Birth,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    Target,
    WeeklyHours,
)

ALWAYS = WeeklyHours.always()
HEADER = (
    "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
)


def target(id_: str, *values: str) -> Target:
    names = ("adult", "location", "material_set", "wording")
    return Target(id_, "wren", id_, tuple(Dimension(n, tuple(v.split("|"))) for n, v in zip(names, values)))  # noqa: B905


CASE = Case(
    ZoneInfo("Europe/Dublin"),
    {"wren": Learner("wren", "Wren", "W.", ALWAYS, Birth(2021, 4))},
    {id_: Adult(id_, id_.capitalize(), ALWAYS) for id_ in ("dad", "grandad", "mum")},
    {id_: Location(id_, id_.capitalize(), ALWAYS) for id_ in ("home", "park", "school")},
    {id_: MaterialSet(id_, id_.capitalize()) for id_ in ("coats", "fleece", "jackets")},
    {
        "asks": target("asks", "mum|dad", "home|park", "coats|jackets", "Zip it up|Do up your coat"),
        "zips": target("zips", "mum|dad|grandad", "home|park", "coats|jackets"),
    },
)


def write(folder: Path, *rows: str, header: str = HEADER, end: str = "\n") -> Path:
    (folder / "results.csv").write_bytes((end.join([header, *rows]) + end).encode("utf-8"))
    return folder
