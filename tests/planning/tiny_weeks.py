"""Tiny random weeks, all invented, of a few sorts; small enough for every week to be tried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from random import Random

from every_week import Given, Tried, Tries, every_week
from planning_cases import NOW, WEEK, ZONE

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
    Wish,
)
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Probe, ProbeKind, Sitting

FEWEST_WEEKS, MOST_WEEKS, MOST_OF_A_LONG_DAY = 30, 1500, 3500
TUESDAY = datetime.combine(WEEK.days[1], time(0, 30), ZONE)


@dataclass(frozen=True)
class Sort:
    """`history`: something was run before, so that retests and maintenance fall due. `told`: people were told of some
    week, and then an adult's hours changed; `week_begun`: it is Tuesday. `weekly`: sittings of a week have limits.
    `windows`: stretches of hours in a day. `wish_days`: days after Monday that are dates of wishes. `long`: a day of
    five hours and a skill of five combinations, each in a sitting of its own."""

    learners: int = 1
    targets: int = 2
    history: bool = False
    taught: bool = False
    wishes: bool = False
    told: bool = False
    week_begun: bool = False
    limits: bool = True
    weekly: bool = False
    covers: tuple[str, ...] = ("pairs", "pairs", "each-value", "all")
    week_most: tuple[int, ...] = (1, 2, 4)
    windows: int = 1
    needs: tuple[float, ...] = (1, 1, 2, 0.5)
    wish_days: tuple[int, ...] = (1, 6, 8, 20, 90)
    long: bool = False


SORTS = {
    "plain": Sort(),
    "one skill": Sort(targets=1, history=True),
    "due": Sort(history=True),
    "few of many": Sort(targets=1, taught=True, covers=("all",), week_most=(1, 2)),
    "more than needed": Sort(limits=False, covers=("each-value", "all"), week_most=(4,)),
    "wished": Sort(wishes=True),
    "wished by a day": Sort(wishes=True, wish_days=(0, 0, 1, 8)),
    "two windows": Sort(targets=1, windows=2, covers=("each-value", "all"), week_most=(1, 2)),
    "long day": Sort(targets=1, covers=("all",), week_most=(9,), long=True),
    "odd needs": Sort(learners=2, targets=1, needs=(1.2, 0.7, 2.3, 1.1)),
    "shared": Sort(learners=2, targets=1),
    "shared and due": Sort(learners=2, targets=1, history=True, wishes=True),
    "few a week": Sort(learners=2, targets=1, wishes=True, weekly=True),
    "told": Sort(history=True, told=True),
    "shared and told": Sort(learners=2, targets=1, told=True),
    "begun": Sort(targets=1, history=True, wishes=True, told=True, week_begun=True),
    "shared and begun": Sort(learners=2, targets=1, told=True, week_begun=True),
}


def tiny_week(name: str, seed: int) -> tuple[Given, list[Tries]]:
    """A case of the sort and all its weeks: the first that the seed brings that has neither too few nor too many."""
    sort, rng = SORTS[name], Random(f"{name} {seed}")
    while True:
        given = _given(rng, sort)
        if sort.told and not (given := _told(rng, sort, given)).kept:
            continue
        weeks = every_week(given, MOST_OF_A_LONG_DAY if sort.long else MOST_WEEKS)
        if len(weeks) >= FEWEST_WEEKS:
            return given, weeks


def _given(rng: Random, sort: Sort) -> Given:
    days = range(3 if sort.week_begun else 2)
    learners = {
        i: Learner(
            i,
            i,
            i,
            _hours(rng, sort, days, 0.9),
            limits=_learner_limits(rng, sort),
            needs=rng.choice(sort.needs),
        )
        for i in ("robin", "wren")[: sort.learners]
    }
    adults = {
        a: Adult(a, a, _hours(rng, sort, days, 0.7), role="parent", limits=_adult_limits(rng, sort))
        for a in ("ann", "ben")
    }
    places = {p: Location(p, p, WeeklyHours.always(), rng.choice([1, 2])) for p in ("home", "park")}
    sets = {m: MaterialSet(m, m, rng.choice([1, 1, 2])) for m in _sets(sort)}
    targets = {
        f"{i}-{n}": _target(rng, sort, f"{i}-{n}", i, (adults, places, sets))
        for i in learners
        for n in range(1, rng.randint(1, sort.targets) + 1)
    }
    case = Case(
        ZONE, learners, adults, places, sets, targets, Travel(rng.choice([0, 10, 40])), _policy(rng, sort)
    )
    rows = [row for t in targets.values() for row in (_history(rng, t) if sort.history else ())]
    log = Log.of(replace(row, line=line) for line, row in enumerate(rows, 2))
    return Given(case, log, TUESDAY if sort.week_begun else NOW)


def _sets(sort: Sort) -> tuple[str, ...]:
    return ("blue", "green", "pink", "red", "tan") if sort.long else ("blue", "red")


def _hours(rng: Random, sort: Sort, days: Sequence[int], chance: float) -> WeeklyHours:
    def one(hour: int) -> Window:
        start = hour * 60 + rng.choice([0, 10, 30])
        length = rng.choice([20, 35, 50, 75])
        return Window(start, start + length)

    def of_day(day: int) -> tuple[Window, ...]:
        if sort.long:
            return (Window(9 * 60, 14 * 60),) if day == 0 else ()
        some = tuple(one(15 - 6 * n) for n in reversed(range(sort.windows)))
        return some if day in days and rng.random() < chance else ()

    return WeeklyHours(tuple(of_day(day) for day in range(7)))


def _learner_limits(rng: Random, sort: Sort) -> LearnerLimits:
    if sort.long:
        return LearnerLimits(probes_per_sitting=1)
    if not sort.limits:
        return LearnerLimits()
    return LearnerLimits(
        rng.choice([None, 1, 2]),
        rng.choice([None, 1, 2, 3]),
        rng.choice([None, None, 1, 2]),
        rng.choice([None, None, 15]),
        rng.choice([None, 1, 2]) if sort.weekly else None,
    )


def _adult_limits(rng: Random, sort: Sort) -> AdultLimits:
    if sort.long or not sort.limits:
        return AdultLimits()
    a_day, minutes = rng.choice([None, None, 1]), rng.choice([None, None, 15, 30])
    return AdultLimits(a_day, minutes, rng.choice([None, 1, 1]) if sort.weekly else None)


def _policy(rng: Random, sort: Sort) -> Policy:
    return Policy(
        start_every_minutes=60 if sort.long else rng.choice([15, 30]),
        settle_minutes=rng.choice([0, 5]),
        rest_minutes=rng.choice([10, 30]),
        probes_per_target_per_day=9 if sort.long else rng.choice([1, 1, 2]),
        probes_per_target_per_week=rng.choice(sort.week_most),
        prefer=Preferences(*(rng.random() < 0.6 for _ in range(3))),
    )


def _target(rng: Random, sort: Sort, id_: str, learner: str, values: Sequence[Sequence[str]]) -> Target:
    names = ("adult", "location", "material_set")
    some = [
        tuple(v)[: n if sort.long else rng.choice([1, 2, 2])] for n, v in zip((1, 1, 5), values, strict=True)
    ]
    dimensions = tuple(Dimension(n, v) for n, v in zip(names, some, strict=True))
    patterns = [{n: rng.choice(v)} for n, v in zip(names, some, strict=True)]
    patterns += [{**a, **b} for a, b in pairwise(patterns)]
    by = rng.choice([None, *(WEEK.monday + timedelta(days=n) for n in sort.wish_days)])
    return Target(
        id_,
        learner,
        id_,
        dimensions,
        "Does it alone",
        "Your turn",
        mastered_on=date(2026, 11, 24) - timedelta(days=rng.choice([0, 3, 10])),
        taught=({n: v[0] for n, v in zip(names, some, strict=True)},) if sort.history or sort.taught else (),
        cover=rng.choice(sort.covers),
        minutes=rng.choice([5, 10]),
        never=(rng.choice(patterns[3:]),) if rng.random() < 0.2 else (),
        first=(Wish(rng.choice(patterns), by),) if sort.wishes else (),
        maintenance_days=(7,) if sort.history and rng.random() < 0.7 else (),
    )


def _history(rng: Random, target: Target) -> list[Result]:
    """Some combinations met, some not, some taught since, each a day or more apart."""
    rows = []
    for combination in target.combinations():
        day = date(2026, 11, rng.randint(2, 20))
        events = rng.choice([[], [], [], [5], [0], [0, None], [None], [0, None, 5], [5, 0, None]])
        for days, correct in enumerate(events):
            kind = ResultKind.TEACHING if correct is None else ResultKind.PROBE
            trials = None if correct is None else 5
            when = day + timedelta(days=days)
            rows.append(Result(0, when, None, target.id, kind, combination, trials, correct))
    return sorted(rows, key=lambda r: r.date)


def _told(rng: Random, sort: Sort, given: Given) -> Given:
    """People were told of some week of the case; then one adult's hours became others."""
    weeks = [w for w in every_week(replace(given, now=NOW), MOST_WEEKS) if w]
    if not weeks:
        return given
    kept = tuple(_sitting(n, s) for n, s in enumerate(rng.choice(weeks)))
    adult = given.case.adults[rng.choice(["ann", "ben"])]
    other = replace(adult, free=_hours(rng, sort, range(3 if sort.week_begun else 2), 1.0))
    return replace(given, case=replace(given.case, adults={**given.case.adults, adult.id: other}), kept=kept)


def _sitting(number: int, s: Tried) -> Sitting:
    probes = tuple(
        Probe(target=t, combination=c, kind=ProbeKind(kind), trials=5, new_tuples=0)
        for t, c, kind in s.probes
    )
    start, end = (WEEK.moment(m, ZONE) for m in (s.start, s.end))
    return Sitting(
        id=f"told-{number}",
        learner=s.learner,
        adult=s.adult,
        location=s.location,
        start=start,
        end=end,
        probes=probes,
    )
