"""A small invented case and plans of it, built by hand: no solver, no file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
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
    Wish,
)
from genplan.coverage.matrix import MatrixRow, matrix
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
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
from genplan.rules.limits import LESS_URGENT, Kind, Limit

ZONE = ZoneInfo("Europe/Dublin")
WEEK = Week(2026, 49)
NOW = datetime(2026, 11, 29, 12, tzinfo=ZONE)
ALWAYS = WeeklyHours.always()


def a_learner(id_: str = "wren", name: str = "Wren Example", alias: str = "W.", **more: object) -> Learner:
    return replace(Learner(id=id_, name=name, alias=alias, free=ALWAYS, born=Birth(2021, 4)), **more)


def a_target(id_: str = "zips-jacket", learner: str = "wren", **more: object) -> Target:
    base = Target(
        id=id_,
        learner=learner,
        name="Zips up a jacket",
        dimensions=(
            Dimension("adult", ("mum", "grandad", "teacher")),
            Dimension("location", ("home", "park", "school")),
            Dimension("material_set", ("jackets", "coats", "fleece")),
        ),
        correct_when="Starts and closes the zip to the chest within 30 s, no help",
        instruction="Zip it up",
        mastered_on=date(2026, 10, 19),
        criterion=PassMark(9, 10),
        taught=({"adult": "mum", "location": "home", "material_set": "jackets"},),
        never=({"adult": "teacher", "location": "home"},),
        first=(Wish({"location": "school"}, date(2026, 12, 18)),),
    )
    return replace(base, **more)


def a_case(
    learners: Iterable[Learner] = (), targets: Iterable[Target] = (), sets: Iterable[MaterialSet] = ()
) -> Case:
    """Three adults, three locations, three sets; the given sets come on top or instead."""
    people = tuple(learners) or (a_learner(allergens=frozenset({"egg"})),)
    own_targets = tuple(targets) or (a_target(),)
    adults = (
        Adult(
            id="grandad", name="Grandad", free=ALWAYS, role="relative", locations=frozenset({"home", "park"})
        ),
        Adult(id="mum", name="Mum", free=ALWAYS, role="parent", locations=frozenset({"home", "park"})),
        Adult(id="teacher", name="Class teacher", free=ALWAYS, role="teacher"),
    )
    places = (
        Location(id="home", name="Home", open=ALWAYS),
        Location(id="park", name="The park", open=ALWAYS, capacity=2),
        Location(id="school", name="School", open=ALWAYS),
    )
    materials = (
        MaterialSet(id="coats", name="Three winter coats", small_parts=False),
        MaterialSet(id="fleece", name="The fleece", hazards=frozenset({"cord"})),
        MaterialSet(id="jackets", name="Two jackets with different zips"),
        *sets,
    )
    return Case(
        timezone=ZONE,
        learners=by_id(people),
        adults=by_id(adults),
        locations=by_id(places),
        material_sets=by_id(materials),
        targets=by_id(own_targets),
    )


def by_id(things: Iterable[object]) -> Mapping[str, object]:
    return {t.id: t for t in sorted(things, key=lambda t: t.id)}  # type: ignore[attr-defined]


def a_log(target: str = "zips-jacket", more: Combination = ()) -> Log:
    """Met once, not met once, taught since once more; `more` are the values of extra dimensions."""
    rows = (
        ("probe", ("mum", "park", "coats"), 5, date(2026, 11, 12)),
        ("probe", ("grandad", "home", "jackets"), 2, date(2026, 11, 14)),
        ("probe", ("grandad", "park", "coats"), 1, date(2026, 11, 16)),
        ("teaching", ("grandad", "park", "coats"), None, date(2026, 11, 20)),
    )
    return Log.of(
        Result(
            line=n,
            date=day,
            time=None,
            target=target,
            kind=ResultKind(kind),
            combination=(*c, *more),
            trials=None if ok is None else 5,
            correct=ok,
        )
        for n, (kind, c, ok, day) in enumerate(rows, start=2)
    )


def a_sitting(
    learner: str = "wren",
    adult: str = "grandad",
    location: str = "park",
    start: datetime = datetime(2026, 12, 1, 15, 30, tzinfo=ZONE),
    probes: Iterable[Probe] = (),
) -> Sitting:
    held = tuple(probes)
    length = timedelta(minutes=5 + 5 * len(held))
    name = f"{learner}-{start:%a%H%M}".lower()
    return Sitting(name, learner, adult, location, start, start + length, held)


def the_sittings(
    target: str = "zips-jacket", learner: str = "wren", more: Combination = ()
) -> tuple[Sitting, ...]:
    def probe(combination: Combination, kind: ProbeKind, new: int) -> Probe:
        return Probe(target, (*combination, *more), kind, 5, new)

    tuesday, saturday = (datetime(2026, 12, d, h, m, tzinfo=ZONE) for d, h, m in ((1, 15, 30), (5, 9, 45)))
    return (
        a_sitting(
            learner,
            start=tuesday,
            probes=(
                probe(("grandad", "park", "fleece"), ProbeKind.NEW, 3),
                probe(("grandad", "park", "coats"), ProbeKind.RETEST, 0),
            ),
        ),
        a_sitting(
            learner, "mum", "home", saturday, (probe(("mum", "home", "jackets"), ProbeKind.MAINTENANCE, 0),)
        ),
    )


def the_rows(case: Case, target: Target, log: Log) -> tuple[MatrixRow, ...]:
    return matrix(case, tally(case, target, log, WEEK.monday), WEEK.monday)


def left_out(learner: str = "wren", target: str = "zips-jacket") -> tuple[LeftOut, ...]:
    """Twelve tuples for one reason, two for another, and a maintenance probe."""
    why = Limit(Kind.NO_TIME)
    many = tuple(
        LeftOut(learner, target, ProbeKind.NEW, (("wording", f"Class teacher with thing {n}"),), why, 1)
        for n in range(12)
    )
    few = tuple(
        LeftOut(learner, target, ProbeKind.NEW, (("wording", f"Grandad with thing {n}"),), LESS_URGENT, 1)
        for n in range(2)
    )
    due = LeftOut(
        learner, target, ProbeKind.MAINTENANCE, (), Limit(Kind.ROOM, location="home"), due=date(2026, 12, 3)
    )
    return (*many, *few, due)


OBJECTIVES = (
    Objective("due", "maintenance probes and retests that are due", "most", 2, 2, StageStatus.OPTIMAL),
    Objective("new tuples", "tuples shown for the first time", "most", 23, 25, StageStatus.BEST_SO_FAR),
    Objective(
        "sittings",
        "sittings, and each person's places on a day beyond the first",
        "fewest",
        4,
        3,
        StageStatus.STOPPED,
    ),
    Objective("early", "grid steps after the earliest starts", "fewest", 0, 0, StageStatus.NOT_REACHED),
)


def a_plan(case: Case, **more: object) -> Plan:
    """A plan for the first learner and target of the case."""
    target = next(iter(case.targets.values()))
    extra = tuple(d.values[0] for d in target.extra_dimensions)
    base = Plan(
        WEEK,
        NOW,
        the_sittings(target.id, target.learner, extra),
        OBJECTIVES,
        (TargetCoverage(target.learner, target.id, 24, 9, 8, 3, 3, 12, 5, 4),),
        the_rows(case, target, a_log(target.id, extra)),
        left_out(target.learner, target.id),
        notes=(Note(kind=NoteKind.WEEK_BEGUN),),
    )
    return replace(base, **more)


def an_empty_plan(**more: object) -> Plan:
    return replace(Plan(WEEK, NOW, (), (), (), (), ()), **more)


def a_big_plan(number: int = 12) -> tuple[Case, Plan]:
    """So many learners, each with one target and two sittings."""
    learners = [a_learner(f"child-{n:02d}", f"Child Number {n}", f"C{n}.") for n in range(number)]
    targets = [a_target(f"skill-{n:02d}", f"child-{n:02d}", name=f"Skill number {n}") for n in range(number)]
    case = a_case(learners, targets)
    return case, a_plan(
        case,
        sittings=tuple(s for t in targets for s in the_sittings(t.id, t.learner)),
        coverage=tuple(TargetCoverage(t.learner, t.id, 24, 9, 8, 3, 3, 12, 5, 4) for t in targets),
        matrix=tuple(r for t in targets for r in the_rows(case, t, a_log(t.id))),
        left_out=tuple(item for t in targets for item in left_out(t.learner, t.id)),
    )


def with_wording(target: Target) -> Target:
    """The same target with two wordings to vary."""
    return replace(
        target,
        dimensions=(*target.dimensions, Dimension("wording", ("Zip it up", "Do up your coat"))),
        taught=(),
    )
