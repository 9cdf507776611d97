"""Small cases with somebody beside: one skill of Wren's, everybody free from 9 to 17 unless a test says otherwise."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from genplan.audit import audit
from genplan.case import (
    Adult,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    Policy,
    Target,
    Week,
    WeeklyHours,
    Window,
)
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan, Sitting
from genplan.planning.planner import plan_week

ZONE = ZoneInfo("Europe/Dublin")
WEEK = Week(2026, 49)
SUNDAY = datetime(2026, 11, 29, 12, tzinfo=ZONE)
NOTHING_RUN = Log()


class Inline(Executor):
    """Runs everything at once in this process."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def day(*windows: tuple[int, int], on: int | None = None) -> WeeklyHours:
    """These minutes of the day, every day or on one (0 is Monday)."""
    found = tuple(Window(*w) for w in windows)
    return WeeklyHours(tuple(found if on in (None, i) else () for i in range(7)))


def at(hour: int, minute: int = 0) -> int:
    return 60 * hour + minute


ALL_DAY = day((at(9), at(17)))
MONDAY = day((at(9), at(17)), on=0)


def skill(learner: str, adults: str, id_: str = "skill", sets: str = "blue red", **more: Any) -> Target:
    """A skill at home (or `places`) with these adults; Ann taught it unless `taught` says otherwise."""
    names = ("adult", "location", "material_set")
    values = (adults, more.pop("places", "home"), sets)
    more = {"taught": ({"adult": "ann"},), **more}
    dimensions = tuple(Dimension(n, tuple(v.split())) for n, v in zip(names, values, strict=True))
    return Target(id=id_, learner=learner, name=id_, dimensions=dimensions, **more)


def case_of(*targets: Target, adults: str = "ann ben cat", **policy: Any) -> Case:
    learners = sorted({t.learner for t in targets})
    sets = sorted({m for t in targets for m in t.dimensions[2].values})
    return Case(
        timezone=ZONE,
        learners={i: Learner(id=i, name=i.title(), alias=f"{i[0].upper()}.", free=ALL_DAY) for i in learners},
        adults={i: Adult(id=i, name=i.title(), free=ALL_DAY) for i in sorted(adults.split())},
        locations={
            i: Location(id=i, name=i.title(), open=WeeklyHours.always(), capacity=3) for i in ("home", "park")
        },
        material_sets={i: MaterialSet(id=i, name=i, copies=3) for i in sets},
        targets={t.id: t for t in sorted(targets, key=lambda t: t.id)},
        policy=Policy(**policy),
    )


def having(case: Case, group: str, id_: str, **changes: Any) -> Case:
    things = getattr(case, group)
    return replace(case, **{group: {**things, id_: replace(things[id_], **changes)}})


def ran(
    adult: str, on: date, material_set: str = "blue", target: str = "skill", kind: str = "probe", **more: Any
) -> Result:
    more = {"trials": 5, "correct": 5, **more} if kind != "not run" else more
    return Result(
        line=2,
        date=on,
        time=None,
        target=target,
        kind=ResultKind(kind),
        combination=(adult, "home", material_set),
        **more,
    )


def planned(case: Case, log: Log = NOTHING_RUN, now: datetime = SUNDAY, **more: Any) -> Plan:
    """The plan of the week, in which the auditor finds no fault."""
    kept: tuple[Sitting, ...] = more.pop("kept", ())
    plan = plan_week(case, log, WEEK, now, more.pop("busy", {}), kept, Inline(), lambda _: None).plan
    assert audit(case, log, plan, {}, kept) == ()
    return plan


def beside(plan: Plan) -> list[tuple[str, str, str]]:
    """(adult, second adult, part) of each sitting in the order of time."""
    return [(s.adult, s.beside, s.beside_as.value) for s in plan.sittings]


def new_tuples(plan: Plan) -> float:
    return next(o.value for o in plan.objectives if o.name == "new tuples")
