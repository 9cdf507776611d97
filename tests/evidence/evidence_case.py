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
    return Target(
        id=id_,
        learner="wren",
        name=id_,
        dimensions=tuple(Dimension(n, tuple(v.split("|"))) for n, v in zip(names, values, strict=False)),
    )


CASE = Case(
    timezone=ZoneInfo("Europe/Dublin"),
    learners={"wren": Learner(id="wren", name="Wren", alias="W.", free=ALWAYS, born=Birth(2021, 4))},
    adults={id_: Adult(id=id_, name=id_.capitalize(), free=ALWAYS) for id_ in ("dad", "grandad", "mum")},
    locations={
        id_: Location(id=id_, name=id_.capitalize(), open=ALWAYS) for id_ in ("home", "park", "school")
    },
    material_sets={id_: MaterialSet(id=id_, name=id_.capitalize()) for id_ in ("coats", "fleece", "jackets")},
    targets={
        "asks": target("asks", "mum|dad", "home|park", "coats|jackets", "Zip it up|Do up your coat"),
        "zips": target("zips", "mum|dad|grandad", "home|park", "coats|jackets"),
    },
)


def write(folder: Path, *rows: str, header: str = HEADER, end: str = "\n") -> Path:
    (folder / "results.csv").write_bytes((end.join([header, *rows]) + end).encode("utf-8"))
    return folder
