"""Random weeks, all invented, with long days, several windows a day, rests, limits, wishes dated inside the week, sets
that are missing for some hours, and needs that are no whole numbers; small enough for every sitting to be listed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from random import Random

from every_week import DAY, Given
from planning_cases import NOW, WEEK, ZONE

from genplan.case import (
    Absence,
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
    Wish,
)
from genplan.evidence.log import Log, Result, ResultKind


@dataclass(frozen=True)
class Shape:
    """`longest` is of a window, in minutes; a case has up to so many of the others."""

    learners: int = 1
    skills: int = 3
    longest: int = 240
    windows: int = 2
    days: int = 2
    grids: tuple[int, ...] = (15, 30, 60)
    a_sitting: tuple[int | None, ...] = (None, 1, 2)
    wishes: bool = False
    history: bool = False
    missing: bool = False
    nights: bool = False


SHAPES = {
    "a long day": Shape(skills=8, longest=720, windows=1, days=1, a_sitting=(1,)),
    "windows": Shape(windows=3, days=2),
    "wishes": Shape(wishes=True, days=4, windows=1, longest=120),
    "due": Shape(history=True, wishes=True, longest=120),
    "missing sets": Shape(missing=True, longest=120),
    "nights": Shape(nights=True, history=True, days=4),
    "two children": Shape(learners=2, skills=2, longest=240, windows=1),
    "two children, much": Shape(learners=2, skills=2, longest=120, wishes=True, history=True, missing=True),
}


def day_case(name: str, seed: int) -> Given:
    shape, rng = SHAPES[name], Random(f"{name} {seed}")
    days = sorted(rng.sample(range(7), rng.randint(1, shape.days)))
    if shape.nights:  # a rest goes on over midnight
        days = list(range(days[0], min(7, days[0] + 3)))

    def hours(chance: float) -> WeeklyHours:
        return WeeklyHours(
            tuple(_windows(rng, shape) if d in days and rng.random() < chance else () for d in range(7))
        )

    learners = {
        i: Learner(
            id=i,
            name=i,
            alias=i,
            free=hours(1.0),
            limits=_limits(rng, shape),
            needs=rng.choice([1, 1.2, 0.7, 2.5, 1.05, 0.001]),
        )
        for i in ("robin", "wren")[: shape.learners]
    }
    some = rng.choice([0.5, 1.0])
    adults = {
        a: Adult(
            id=a,
            name=a,
            free=WeeklyHours.always() if rng.random() < 0.4 else hours(some),
            limits=_adult_limits(rng),
        )
        for a in ("ann", "ben")
    }
    places = {
        p: Location(id=p, name=p, open=WeeklyHours.always(), capacity=rng.choice([1, 2]))
        for p in ("home", "park")
    }
    sets = {m: _set(rng, m, shape, days) for m in ("blue", "red")}
    targets = {
        f"{i}-{n}": _target(rng, shape, f"{i}-{n}", i, days)
        for i in learners
        for n in range(rng.randint(max(1, shape.skills - 3), shape.skills))
    }
    case = Case(
        timezone=ZONE,
        learners=learners,
        adults=adults,
        locations=places,
        material_sets=sets,
        targets=targets,
        travel=Travel(rng.choice([0, 0, 20, 60])),
        policy=_policy(rng, shape),
    )
    rows = [row for t in targets.values() for row in (_history(rng, t) if shape.history else ())]
    log = Log.of(replace(row, line=line) for line, row in enumerate(sorted(rows, key=lambda r: r.date), 2))
    begun = datetime.combine(WEEK.days[min(2, days[-1])], NOW.time(), ZONE)
    return Given(case, log, begun if rng.random() < 0.2 else NOW)


def _windows(rng: Random, shape: Shape) -> tuple[Window, ...]:
    if shape.nights:
        morning, night = rng.choice([10, 25, 70]), rng.choice([10, 40, 75])
        return rng.choice(
            [
                (Window(0, morning),),
                (Window(DAY - night, DAY),),
                (Window(0, morning), Window(DAY - night, DAY)),
            ]
        )
    found: list[Window] = []
    start = 8 * 60 + rng.choice([0, 0, 10, 30])
    for _ in range(rng.randint(1, shape.windows)):
        end = min(DAY - 60, start + rng.choice([10, 20, 45, 60, shape.longest // 2, shape.longest]))
        if end > start:
            found.append(Window(start, end))
        start = end + rng.choice([5, 20, 60, 240])
    return tuple(found)


def _limits(rng: Random, shape: Shape) -> LearnerLimits:
    return LearnerLimits(
        sittings_per_day=rng.choice([None, None, 1, 2, 3, 6]),
        probes_per_day=rng.choice([None, None, 2, 3, 5]),
        probes_per_sitting=rng.choice(shape.a_sitting),
        sitting_minutes=rng.choice([None, None, 15, 20]),
    )


def _adult_limits(rng: Random) -> AdultLimits:
    return AdultLimits(rng.choice([None, None, None, 1, 3]), rng.choice([None, None, None, 25, 40]))


def _policy(rng: Random, shape: Shape) -> Policy:
    return Policy(
        start_every_minutes=rng.choice(shape.grids),
        settle_minutes=rng.choice([0, 5, 5]),
        rest_minutes=rng.choice([0, 10, 30, 60]),
        probes_per_target_per_day=rng.choice([1, 1, 2]),
        probes_per_target_per_week=rng.choice([1, 2, 4]),
        # what an adult can give would be counted from the hours of sets that are there: another matter
        prefer=Preferences(rng.random() < 0.5, not shape.missing and rng.random() < 0.5, rng.random() < 0.5),
    )


def _set(rng: Random, name: str, shape: Shape, days: list[int]) -> MaterialSet:
    if not shape.missing or rng.random() < 0.3:
        return MaterialSet(id=name, name=name, copies=rng.choice([1, 2]))
    start = datetime.combine(WEEK.days[rng.choice(days)], datetime.min.time()) + timedelta(
        minutes=8 * 60 + rng.choice([0, 7, 20, 45, 60])
    )
    gap = Absence(start, start + timedelta(minutes=rng.choice([5, 20, 60, 1440])), "missing")
    return MaterialSet(id=name, name=name, copies=rng.choice([1, 2]), missing=(gap,))


def _target(rng: Random, shape: Shape, id_: str, learner: str, days: list[int]) -> Target:
    names = ("adult", "location", "material_set")
    # many skills have few combinations each, few skills have more
    few = shape.skills > 4
    values = [
        tuple(rng.sample(v, 1 if few or rng.random() < 0.4 else 2))
        for v in (("ann", "ben"), ("home", "park"), ("blue", "red"))
    ]
    dimensions = tuple(Dimension(n, tuple(sorted(v))) for n, v in zip(names, values, strict=True))
    by = [
        None,
        WEEK.monday - timedelta(days=3),
        *(WEEK.monday + timedelta(days=d) for d in (*days, 3, 8, 20)),
    ]
    wishes = [
        Wish(
            {
                n: rng.choice(v)
                for n, v in rng.sample(list(zip(names, values, strict=True)), rng.randint(1, 2))
            },
            rng.choice(by),
        )
        for _ in range(rng.randint(1, 2))
    ]
    return Target(
        id=id_,
        learner=learner,
        name=id_,
        dimensions=dimensions,
        correct_when="Does it alone",
        instruction="Your turn",
        mastered_on=date(2026, 11, 24) - timedelta(days=rng.choice([0, 3, 10])),
        taught=({n: v[0] for n, v in zip(names, values, strict=True)},) if shape.history else (),
        cover=rng.choice(["pairs", "pairs", "each-value", "all"]),
        minutes=rng.choice([5, 10]),
        first=tuple(wishes) if shape.wishes else (),
        maintenance_days=(7,) if shape.history and rng.random() < 0.7 else (),
    )


def _history(rng: Random, target: Target) -> list[Result]:
    rows = []
    for combination in target.combinations():
        day = date(2026, 11, rng.randint(2, 20))
        for days, correct in enumerate(rng.choice([[], [], [], [5], [0], [0, None], [None], [0, None, 5]])):
            kind = ResultKind.TEACHING if correct is None else ResultKind.PROBE
            trials = None if correct is None else 5
            when = day + timedelta(days=days)
            rows.append(
                Result(
                    line=0,
                    date=when,
                    time=None,
                    target=target.id,
                    kind=kind,
                    combination=combination,
                    trials=trials,
                    correct=correct,
                )
            )
    return rows
