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
            "wren-q": Learner("wren-q", FULL_NAME, "W.", ALWAYS, Birth(2021, 4), allergens=frozenset({"egg"}))
        },
        adults={
            "aunt": Adult("aunt", "Aunt Ines", ALWAYS),
            "grandad": Adult("grandad", "Grandad", ALWAYS),
            "mum": Adult("mum", "Mum; Zoë, 🦊", ALWAYS),
        },
        locations={
            "home": Location("home", "Home", ALWAYS),
            "park": Location("park", "The park", ALWAYS),
            "pool": Location("pool", "The pool", ALWAYS),
        },
        material_sets={
            "cards": MaterialSet("cards", "Picture cards", hazards=frozenset({"sharp"})),
            "jackets": MaterialSet("jackets", "Two jackets with different zips"),
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
    return Target("zips", "wren-q", **{**given, **changes})  # type: ignore[arg-type]


def greets() -> Target:
    dimensions = (
        Dimension("adult", ("mum",)),
        Dimension("location", ("home",)),
        Dimension("material_set", ("cards",)),
        Dimension("room", ("hall", "=1+1")),
    )
    return Target("greets", "wren-q", "Greets, on being greeted", dimensions)


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
    given = probes or (Probe(target="zips", combination=ZIPS, kind=ProbeKind.NEW, trials=5, new_tuples=6),)
    return Sitting(
        id=id_,
        learner="wren-q",
        adult=adult,
        location=location,
        start=begins,
        end=begins + timedelta(minutes=minutes),
        probes=given,
    )


def greeting() -> Sitting:
    probe = Probe(target="greets", combination=GREETS, kind=ProbeKind.MAINTENANCE, trials=4, new_tuples=0)
    return sitting("2026-w49-2", "mum", "home", at(5, "09:30"), 25, (probe,))


def tiny_plan(*sittings: Sitting, zone: ZoneInfo = DUBLIN, week: Week = WEEK) -> Plan:
    return Plan(
        week=week,
        now=at(0, "12:00", zone, week) - timedelta(days=1),
        sittings=sittings or (sitting(), greeting()),
        objectives=(
            Objective(
                name="new tuples",
                words="new pairs shown",
                sense="most",
                value=6.0,
                bound=6.0,
                status=StageStatus.OPTIMAL,
            ),
            Objective(
                name="journeys",
                words="journeys made",
                sense="fewest",
                value=1.5,
                bound=float("-inf"),
                status=StageStatus.NOT_REACHED,
            ),
        ),
        coverage=(
            TargetCoverage(
                learner="wren-q",
                target="zips",
                possible=13,
                shown_before=3,
                tested_before=3,
                met_before=2,
                new=6,
                open=4,
                fewest_further=2,
                fewest_proven=1,
            ),
        ),
        matrix=(
            row("zips", ZIPS, "untested"),
            row(
                "zips",
                ("mum", "home", "jackets", "Zip it up"),
                "met",
                Standing(Status.MET, True, False, date(2026, 11, 20), 5, 5),
            ),
            row("greets", ("mum", "home", "cards", "=1+1"), "not possible", why="the case says never: =1+1"),
        ),
        left_out=(
            LeftOut(
                learner="wren-q",
                target="zips",
                kind=ProbeKind.NEW,
                values=(("adult", "mum"), ("material_set", "jackets")),
                limit=Limit(Kind.ADULT_TIME, adult="mum"),
                tuples=2,
            ),
        ),
        notes=(Note(kind=NoteKind.WEEK_BEGUN),),
    )


def row(
    target: str, combination: Combination, status: str, standing: Standing | None = None, why: str = ""
) -> MatrixRow:
    return MatrixRow("wren-q", target, combination, status, standing or Standing(), why)
