"""Cases of one Monday, told in minutes: a sitting takes 5 minutes to settle and 5 for each probe unless said otherwise,
a learner rests for 5, and sittings start on a grid of 5."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from planning_cases import ZONE

from genplan.case import (
    Adult,
    AdultLimits,
    Case,
    Dimension,
    Learner,
    LearnerLimits,
    Location,
    MaterialSet,
    Policy,
    Preferences,
    Target,
    Travel,
    WeeklyHours,
    Window,
)

NINE = 9 * 60


def monday(minutes: int, after_nine: int = 0) -> WeeklyHours:
    """So many minutes, from nine o'clock or some minutes after it, on Monday only."""
    return WeeklyHours(((Window(NINE + after_nine, NINE + after_nine + minutes),), *[()] * 6))


def skill(
    name: str, learner: str, adult: str = "ann", location: str = "home", sets: str = "", **more: Any
) -> Target:
    """Each combination is one tuple. Ids have spaces between; without `sets` it has a set of its own."""
    values = (adult, location, sets or f"set-{name}")
    names = ("adult", "location", "material_set")
    dimensions = tuple(Dimension(n, tuple(v.split())) for n, v in zip(names, values, strict=True))
    return Target(id=name, learner=learner, name=name, dimensions=dimensions, cover="all", **more)


def monday_case(
    learners: Mapping[str, WeeklyHours],
    adults: Mapping[str, WeeklyHours],
    *skills: Target,
    way: int = 0,
    **policy: Any,
) -> Case:
    """The places hold two sittings at a time, and there is one copy of each set. Fair shares are not asked for: what an
    adult can give would say some rules once more."""
    places = sorted({p for t in skills for p in t.dimensions[1].values})
    sets = sorted({m for t in skills for m in t.dimensions[2].values})
    return Case(
        timezone=ZONE,
        learners={i: Learner(id=i, name=i, alias=i, free=free) for i, free in learners.items()},
        adults={a: Adult(id=a, name=a, free=free) for a, free in adults.items()},
        locations={p: Location(id=p, name=p, open=WeeklyHours.always(), capacity=2) for p in places},
        material_sets={m: MaterialSet(id=m, name=m) for m in sets},
        targets={t.id: t for t in sorted(skills, key=lambda t: t.id)},
        travel=Travel(way),
        policy=Policy(start_every_minutes=5, rest_minutes=5, prefer=Preferences(fair_shares=False), **policy),
    )


def limited(case: Case, who: str, **limits: int) -> Case:
    """With limits of a learner or an adult."""
    if who in case.learners:
        learner = replace(case.learners[who], limits=LearnerLimits(**limits))
        return replace(case, learners={**case.learners, who: learner})
    adult = replace(case.adults[who], limits=AdultLimits(**limits))
    return replace(case, adults={**case.adults, who: adult})


def holding(case: Case, location: str, capacity: int) -> Case:
    place = replace(case.locations[location], capacity=capacity)
    return replace(case, locations={**case.locations, location: place})


def with_copies(case: Case, material_set: str, copies: int) -> Case:
    more = replace(case.material_sets[material_set], copies=copies)
    return replace(case, material_sets={**case.material_sets, material_set: more})
