"""A tiny invented case, and a plan of one week for it written by hand.

Wren (shown as W.) has two targets. `zips` varies adult, location, set and wording; `greets` the three and a
room. Two sittings: Tuesday with Grandad at the park, Saturday with Mum at home.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from genplan.case import (
    Adult,
    Birth,
    Case,
    Combination,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    PassMark,
    Target,
    Week,
    WeeklyHours,
)
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.standing import Standing, Status
from genplan.plan import (
    LeftOut,
    Note,
    NoteKind,
    Objective,
    Plan,
    Probe,
    ProbeKind,
    Sitting,
    StageStatus,
    TargetCoverage,
)
from genplan.rules.limits import Kind, Limit

DUBLIN = ZoneInfo("Europe/Dublin")
WEEK = Week(2026, 49)
"""30 November to 6 December 2026."""

FULL_NAME = "Wren Quillfeather"
ZIPS = ("grandad", "park", "jackets", "Do up your coat")
GREETS = ("mum", "home", "cards", "hall")
ALWAYS = WeeklyHours.always()


def tiny_case(zone: ZoneInfo = DUBLIN, **targets: Target) -> Case:
    return Case(
        timezone=zone,
        learners={
            "wren-q": Learner(
                id="wren-q",
                name=FULL_NAME,
                alias="W.",
                free=ALWAYS,
                born=Birth(2021, 4),
                allergens=frozenset({"egg"}),
            )
        },
        adults={
            "aunt": Adult(id="aunt", name="Aunt Ines", free=ALWAYS),
            "grandad": Adult(id="grandad", name="Grandad", free=ALWAYS),
            "mum": Adult(id="mum", name="Mum; Zoë, 🦊", free=ALWAYS),
        },
        locations={
            "home": Location(id="home", name="Home", open=ALWAYS),
            "park": Location(id="park", name="The park", open=ALWAYS),
            "pool": Location(id="pool", name="The pool", open=ALWAYS),
        },
        material_sets={
            "cards": MaterialSet(id="cards", name="Picture cards", hazards=frozenset({"sharp"})),
            "jackets": MaterialSet(id="jackets", name="Two jackets with different zips"),
        },
        targets=targets or {"greets": greets(), "zips": zips()},
    )


def zips(**changes: object) -> Target:
    dimensions = (
        Dimension("adult", ("mum", "grandad")),
        Dimension("location", ("home", "park")),
        Dimension("material_set", ("jackets",)),
        Dimension("wording", ("Zip it up", "Do up your coat")),
    )
    given: dict[str, object] = {
        "name": "Zips up a jacket",
        "dimensions": dimensions,
        "correct_when": "Starts and closes the zip to the chest within 30 s, no help",
        "instruction": "Zip it up",
        "pass_mark": PassMark(4, 5),
    }
    return Target(id="zips", learner="wren-q", **{**given, **changes})  # type: ignore[arg-type]


def greets() -> Target:
    dimensions = (
        Dimension("adult", ("mum",)),
        Dimension("location", ("home",)),
        Dimension("material_set", ("cards",)),
        Dimension("room", ("hall", "=1+1")),
    )
    return Target(id="greets", learner="wren-q", name="Greets, on being greeted", dimensions=dimensions)


def at(day: int, clock: str, zone: ZoneInfo = DUBLIN, week: Week = WEEK) -> datetime:
    """The local time on a day of the week, 0 is Monday."""
    moment = datetime.fromisoformat(f"{week.monday + timedelta(days=day)}T{clock}")
    return moment.replace(tzinfo=zone)


def sitting(
    id_: str = "2026-w49-1",
    adult: str = "grandad",
    location: str = "park",
    start: datetime | None = None,
    minutes: int = 20,
    probes: tuple[Probe, ...] | None = None,
) -> Sitting:
    begins = start or at(1, "15:30")
    given = probes or (Probe("zips", ZIPS, ProbeKind.NEW, 5, 6),)
    return Sitting(id_, "wren-q", adult, location, begins, begins + timedelta(minutes=minutes), given)


def greeting() -> Sitting:
    probe = Probe("greets", GREETS, ProbeKind.MAINTENANCE, 4, 0)
    return sitting("2026-w49-2", "mum", "home", at(5, "09:30"), 25, (probe,))


def tiny_plan(*sittings: Sitting, zone: ZoneInfo = DUBLIN, week: Week = WEEK) -> Plan:
    return Plan(
        week=week,
        now=at(0, "12:00", zone, week) - timedelta(days=1),
        sittings=sittings or (sitting(), greeting()),
        objectives=(
            Objective("new tuples", "new pairs shown", "most", 6.0, 6.0, StageStatus.OPTIMAL),
            Objective("journeys", "journeys made", "fewest", 1.5, float("-inf"), StageStatus.NOT_REACHED),
        ),
        coverage=(TargetCoverage("wren-q", "zips", 13, 3, 3, 2, 6, 4, 2, 1),),
        matrix=(
            row("zips", ZIPS, "untested"),
            row("zips", ("mum", "home", "jackets", "Zip it up"), "met", Standing(
                status=Status.MET, tested=True, retest_due=False, last_date=date(2026, 11, 20), correct=5, trials=5)),
            row("greets", ("mum", "home", "cards", "=1+1"), "not possible", why="the case says never: =1+1"),
        ),
        left_out=(
            LeftOut("wren-q", "zips", ProbeKind.NEW, (("adult", "mum"), ("material_set", "jackets")),
                Limit(Kind.ADULT_TIME, adult="mum"), 2),
        ),
        notes=(Note(kind=NoteKind.WEEK_BEGUN),),
    )  # fmt: skip


def row(
    target: str, combination: Combination, status: str, standing: Standing | None = None, why: str = ""
) -> MatrixRow:
    return MatrixRow("wren-q", target, combination, status, standing or Standing(), why)
