"""The weeks of the simulation of the order as the planner itself makes them, which takes seconds for each course."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from genplan.case import (
    Adult,
    Case,
    Combination,
    Learner,
    LearnerLimits,
    Location,
    MaterialSet,
    Policy,
    SolverLimits,
    Week,
    WeeklyHours,
)
from genplan.case.windows import Window
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.budget import ENDLESS
from genplan.planning.caseload import plan_caseload
from genplan.planning.jobs import Workers
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedSitting
from tests.benchmarks.teaching_order import (
    ADULTS,
    MINUTES,
    PLACES,
    PROBE_MINUTES,
    PROBES_A_WEEK,
    SETS,
    SKILLS,
    TEACHING_MINUTES,
    TEACHINGS_A_WEEK,
    Planned,
    Record,
    Records,
    Sittings,
    skill,
)
from tests.fixtures.planning_cases import Inline

SETTLE, FROM = 5, 16 * 60
ZONE = ZoneInfo("Europe/Dublin")
WEEK = Week(2026, 49)
NOW = datetime(2026, 11, 29, 12, tzinfo=ZONE)
WORK = 0.5


def planner_week(records: Records, sittings: Sittings, teaching_first: bool) -> Sequence[Planned]:
    """The same question, put to the planner as a case and a log."""
    case = _case(sittings, teaching_first)
    rows = [row for s, record in records.items() for row in _rows(s, record)]
    log = Log.of(replace(row, line=n) for n, row in enumerate(rows, 2))
    load = week_context_of(case, log, WEEK, NOW, {}, ()).caseload
    seats = plan_caseload(load, Workers(Inline(), lambda _: None, ENDLESS)).seats
    days = {(day, adult): index for index, (day, adult) in enumerate(sittings)}
    return tuple(_things(seats, days))


def _things(seats: Sequence[PlacedSitting], days: dict[tuple[int, str], int]) -> Iterator[Planned]:
    for seat in seats:
        for thing in seat.probes:
            yield Planned(days[seat.day, seat.adult], thing.target, thing.combination, thing.kind)


def _case(sittings: Sittings, teaching_first: bool) -> Case:
    always = WeeklyHours.always()
    return Case(
        timezone=ZONE,
        learners={
            "wren": Learner(
                id="wren",
                name="Wren",
                alias="W.",
                free=always,
                limits=LearnerLimits(sitting_minutes=SETTLE + MINUTES),
            )
        },
        adults={a: Adult(id=a, name=a, free=_hours(a, sittings)) for a in ADULTS},
        locations={p: Location(id=p, name=p, open=always) for p in PLACES},
        material_sets={m: MaterialSet(id=m, name=m) for m in SETS},
        targets={
            s: replace(skill(s), minutes=PROBE_MINUTES, teaching_minutes=TEACHING_MINUTES) for s in SKILLS
        },
        policy=Policy(
            settle_minutes=SETTLE,
            rest_minutes=0,
            probes_per_target_per_week=PROBES_A_WEEK,
            plan_teaching=True,
            teachings_per_target_per_week=TEACHINGS_A_WEEK,
            teaching_first=teaching_first,
            solver=SolverLimits(work_per_stage=WORK),
        ),
    )


def _hours(adult: str, sittings: Sittings) -> WeeklyHours:
    window = (Window(FROM, FROM + SETTLE + MINUTES),)
    days = {day for day, who in sittings if who == adult}
    return WeeklyHours(tuple(window if day in days else () for day in range(7)))


def _rows(skill: str, record: Record) -> Iterator[Result]:
    """A log that says of each combination what the record does."""
    for combination in sorted(record.tested):
        met = combination not in record.owed and combination not in record.due
        yield _row(skill, combination, ResultKind.PROBE, met, days_ago=9)
    for combination in sorted(record.due):
        yield _row(skill, combination, ResultKind.TEACHING, True, days_ago=8)


def _row(skill: str, combination: Combination, kind: ResultKind, met: bool, days_ago: int) -> Result:
    return Result(
        line=0,
        date=(NOW - timedelta(days=days_ago)).date(),
        time=None,
        target=skill,
        kind=kind,
        combination=combination,
        trials=5,
        correct=5 if met else 0,
    )
