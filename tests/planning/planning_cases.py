"""Small cases for the planner's tests, and a driver that plans week after week."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor, Future
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from genplan.case import (
    Adult,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    PassMark,
    Policy,
    Target,
    Week,
    WeeklyHours,
)
from genplan.case.windows import Window
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Plan
from genplan.planning.outcome import Outcome
from genplan.planning.planner import plan_week

ZONE = ZoneInfo("Europe/Dublin")
WEEK = Week(2026, 49)
NOW = datetime(2026, 11, 29, 12, tzinfo=ZONE)


NOTHING_RUN = Log()


class Inline(Executor):
    """Runs everything at once in this process: no start-up, and faults show where they are."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


class Asked(Inline):
    """Keeps the jobs, and finds nothing better than what there was."""

    def __init__(self) -> None:
        self.jobs: list[Any] = []

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.jobs.append(args[0])
        done: Future[Any] = Future()
        done.set_result(Outcome(seats=(), objectives=(), seconds={}) if fn.__name__ == "run_solve" else ())
        return done


def hours(*days: tuple[int, int] | None) -> WeeklyHours:
    """One stretch of whole hours for each day given, Monday first; the last one holds for the days after it."""
    filled = [*days, *[days[-1]] * (7 - len(days))]
    return WeeklyHours(tuple(() if d is None else (Window(d[0] * 60, d[1] * 60),) for d in filled))


def product_case(
    levels: Iterable[int], cover: str = "pairs", a_week: int = 4, a_day: int = 1, **target: Any
) -> Case:
    """One learner and one target with dimensions of these sizes (adult, location, set, then extra ones), and ample
    time: everybody is free from 9 to 17 every day."""
    sizes = list(levels)
    names = ["adult", "location", "material_set", *(f"extra-{i}" for i in range(len(sizes) - 3))]
    values = [
        tuple(f"{name[0]}{i}-{v}" for v in range(size))
        for i, (name, size) in enumerate(zip(names, sizes, strict=True))
    ]
    always = hours((9, 17))
    return Case(
        ZONE,
        {"wren": Learner("wren", "Wren", "W.", always)},
        {a: Adult(a, a, always) for a in values[0]},
        {p: Location(p, p, WeeklyHours.always()) for p in values[1]},
        {m: MaterialSet(m, m) for m in values[2]},
        {
            "skill": Target(
                "skill",
                "wren",
                "A skill",
                tuple(Dimension(n, v) for n, v in zip(names, values, strict=True)),
                cover=cover,
                **target,
            )
        },
        policy=Policy(probes_per_target_per_week=a_week, probes_per_target_per_day=a_day),
    )


def plan_one(case: Case, log: Log = NOTHING_RUN, week: Week = WEEK, now: datetime = NOW, **more: Any) -> Plan:
    return plan_week(
        case, log, week, now, more.pop("busy", {}), more.pop("kept", ()), Inline(), lambda _: None, **more
    ).plan


def all_met(plan: Plan, case: Case) -> list[Result]:
    """Every probe of the plan as a result that was met."""
    rows = []
    for sitting in plan.sittings:
        for probe in sitting.probes:
            kind = ResultKind.MAINTENANCE if probe.kind == "maintenance" else ResultKind.PROBE
            rows.append(
                Result(
                    0,
                    sitting.start.date(),
                    sitting.start.time(),
                    probe.target,
                    kind,
                    probe.combination,
                    probe.trials,
                    probe.trials,
                )
            )
    return rows


def weeks_until_done(case: Case, most_weeks: int = 60) -> list[int]:
    """Probes planned in each week, every one met, until no tuple is open."""
    log, week, now, counts = Log(), WEEK, NOW, []
    for _ in range(most_weeks):
        plan = plan_one(case, log, week, now)
        counts.append(sum(len(s.probes) for s in plan.sittings))
        log = Log.of([*log.results, *all_met(plan, case)])
        if not sum(c.open for c in plan.coverage):
            return counts
        week, now = week.next(), now + timedelta(days=7)
    raise AssertionError(f"not done after {most_weeks} weeks: {counts}")


def with_learner(case: Case, **changes: Any) -> Case:
    """The case with its only learner changed."""
    learner = replace(next(iter(case.learners.values())), **changes)
    return replace(case, learners={learner.id: learner})


__all__ = [
    "Inline",
    "PassMark",
    "all_met",
    "hours",
    "plan_one",
    "product_case",
    "weeks_until_done",
    "with_learner",
]
