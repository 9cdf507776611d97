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
    return replace(Learner(id_, name, alias, ALWAYS, born=Birth(2021, 4)), **more)


def a_target(id_: str = "zips-jacket", learner: str = "wren", **more: object) -> Target:
    base = Target(
        id_,
        learner,
        "Zips up a jacket",
        (
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
        Adult("grandad", "Grandad", ALWAYS, "relative", locations=frozenset({"home", "park"})),
        Adult("mum", "Mum", ALWAYS, "parent", locations=frozenset({"home", "park"})),
        Adult("teacher", "Class teacher", ALWAYS, "teacher"),
    )
    places = (
        Location("home", "Home", ALWAYS),
        Location("park", "The park", ALWAYS, capacity=2),
        Location("school", "School", ALWAYS),
    )
    materials = (
        MaterialSet("coats", "Three winter coats", small_parts=False),
        MaterialSet("fleece", "The fleece", hazards=frozenset({"cord"})),
        MaterialSet("jackets", "Two jackets with different zips"),
        *sets,
    )
    return Case(
        ZONE,
        by_id(people),
        by_id(adults),
        by_id(places),
        by_id(materials),
        by_id(own_targets),
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
        Result(n, day, None, target, ResultKind(kind), (*c, *more), None if ok is None else 5, ok)
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
    return Sitting(
        id=name, learner=learner, adult=adult, location=location, start=start, end=start + length, probes=held
    )


def the_sittings(
    target: str = "zips-jacket", learner: str = "wren", more: Combination = ()
) -> tuple[Sitting, ...]:
    def probe(combination: Combination, kind: ProbeKind, new: int) -> Probe:
        return Probe(target=target, combination=(*combination, *more), kind=kind, trials=5, new_tuples=new)

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
        LeftOut(
            learner=learner,
            target=target,
            kind=ProbeKind.NEW,
            values=(("wording", f"Class teacher with thing {n}"),),
            limit=why,
            tuples=1,
        )
        for n in range(12)
    )
    few = tuple(
        LeftOut(
            learner=learner,
            target=target,
            kind=ProbeKind.NEW,
            values=(("wording", f"Grandad with thing {n}"),),
            limit=LESS_URGENT,
            tuples=1,
        )
        for n in range(2)
    )
    due = LeftOut(
        learner=learner,
        target=target,
        kind=ProbeKind.MAINTENANCE,
        values=(),
        limit=Limit(Kind.ROOM, location="home"),
        due=date(2026, 12, 3),
    )
    return (*many, *few, due)


OBJECTIVES = (
    Objective(
        name="due",
        words="maintenance probes and retests that are due",
        sense="most",
        value=2,
        bound=2,
        status=StageStatus.OPTIMAL,
    ),
    Objective(
        name="new tuples",
        words="tuples shown for the first time",
        sense="most",
        value=23,
        bound=25,
        status=StageStatus.BEST_SO_FAR,
    ),
    Objective(
        name="sittings",
        words="sittings, and each person's places on a day beyond the first",
        sense="fewest",
        value=4,
        bound=3,
        status=StageStatus.STOPPED,
    ),
    Objective(
        name="early",
        words="grid steps after the earliest starts",
        sense="fewest",
        value=0,
        bound=0,
        status=StageStatus.NOT_REACHED,
    ),
)


def a_plan(case: Case, **more: object) -> Plan:
    """A plan for the first learner and target of the case."""
    target = next(iter(case.targets.values()))
    extra = tuple(d.values[0] for d in target.extra_dimensions)
    base = Plan(
        week=WEEK,
        now=NOW,
        sittings=the_sittings(target.id, target.learner, extra),
        objectives=OBJECTIVES,
        coverage=(
            TargetCoverage(
                learner=target.learner,
                target=target.id,
                possible=24,
                shown_before=9,
                tested_before=8,
                met_before=3,
                new=3,
                open=12,
                fewest_further=5,
                fewest_proven=4,
            ),
        ),
        matrix=the_rows(case, target, a_log(target.id, extra)),
        left_out=left_out(target.learner, target.id),
        notes=(Note(kind=NoteKind.WEEK_BEGUN),),
    )
    return replace(base, **more)


def an_empty_plan(**more: object) -> Plan:
    return replace(
        Plan(week=WEEK, now=NOW, sittings=(), objectives=(), coverage=(), matrix=(), left_out=()), **more
    )


def a_big_plan(number: int = 12) -> tuple[Case, Plan]:
    """So many learners, each with one target and two sittings."""
    learners = [a_learner(f"child-{n:02d}", f"Child Number {n}", f"C{n}.") for n in range(number)]
    targets = [a_target(f"skill-{n:02d}", f"child-{n:02d}", name=f"Skill number {n}") for n in range(number)]
    case = a_case(learners, targets)
    return case, a_plan(
        case,
        sittings=tuple(s for t in targets for s in the_sittings(t.id, t.learner)),
        coverage=tuple(
            TargetCoverage(
                learner=t.learner,
                target=t.id,
                possible=24,
                shown_before=9,
                tested_before=8,
                met_before=3,
                new=3,
                open=12,
                fewest_further=5,
                fewest_proven=4,
            )
            for t in targets
        ),
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
