"""Random cases, all invented: from one learner with two targets up to a caseload, the same for the same seed.

    case = random_case(7)                                  # tiny: for brute force
    case = random_case(7, **CASELOAD, learners=60)         # for benchmarks
    folder = write_case(case, tmp_path, random_log(case, 7))

A case is planned for `WEEK`, seen from `now_of(case)`. `oddity` from 0 to 1 is how often a thing gets an
unusual property: days away, limits, single copies, allergens, what is never to be, more dimensions.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import yaml

from genplan.case import (
    Absence,
    Adult,
    AdultLimits,
    Birth,
    Case,
    Dimension,
    Learner,
    LearnerLimits,
    Location,
    MaterialSet,
    PassMark,
    Policy,
    Target,
    TargetState,
    Travel,
    Week,
    WeeklyHours,
    Window,
    Wish,
)
from genplan.case.possible import possible_combinations
from genplan.evidence.log import Log, Result, ResultKind

WEEK = Week(2026, 49)
NOW = datetime(2026, 11, 29, 12, 0)
FAMILY = {"learners": 1, "targets": 5, "adults": 4, "locations": 3, "sets": 3, "oddity": 0.25}
CASELOAD = {"targets": 5, "adults": 6, "locations": 4, "sets": 3, "staff": 2, "oddity": 0.15}
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
BASE = ("adult", "location", "material_set")


@dataclass(frozen=True)
class Size:
    """`adults`, `locations` and `sets` are what one target can vary; `staff` of the adults work with every
    learner, and all locations but the home are shared by all. Every target has material sets of its own."""

    learners: int = 1
    targets: int = 2
    adults: int = 2
    locations: int = 2
    sets: int = 2
    staff: int = 1
    oddity: float = 0.3


def now_of(case: Case) -> datetime:
    return NOW.replace(tzinfo=case.timezone)


def random_case(seed: int, **size: float) -> Case:
    """A valid case; `size` are fields of `Size`."""
    shape, rng = Size(**size), Random(f"case {seed}")  # type: ignore[arg-type]
    learners = {
        f"learner-{i:03d}": _learner(rng, f"learner-{i:03d}", shape) for i in range(1, shape.learners + 1)
    }
    shared = [f"place-{i}" for i in range(2, shape.locations + 1)]
    locations = {id_: _location(rng, id_, shape, shared_by=shape.learners) for id_ in shared}
    adults: dict[str, Adult] = {}
    sets: dict[str, MaterialSet] = {}
    targets: dict[str, Target] = {}
    staff = [f"staff-{i}" for i in range(1, min(shape.staff, shape.adults) + 1)]
    for learner in learners:
        home = f"home-{learner[-3:]}"
        locations[home] = replace(_location(rng, home, shape, 1), learners=frozenset({learner}))
    for id_ in staff:
        adults[id_] = _adult(rng, id_, shape, None, None)
    for learner in learners:
        places = [f"home-{learner[-3:]}", *shared]
        own = [f"adult-{learner[-3:]}-{i}" for i in range(1, shape.adults - len(staff) + 1)]
        for id_ in own:
            where = frozenset(p for p in places if rng.random() > shape.oddity / 2) or frozenset(places[:1])
            adults[id_] = _adult(rng, id_, shape, frozenset({learner}), where)
        for number in range(1, shape.targets + 1):
            id_ = f"skill-{learner[-3:]}-{number}"
            own_sets = [f"set-{learner[-3:]}-{number}-{i}" for i in range(1, shape.sets + 1)]
            sets |= {s: _set(rng, s, shape, places) for s in own_sets}
            targets[id_] = _target(rng, id_, learner, ([*own, *staff], places, own_sets), shape)
    for id_, adult in adults.items():
        if rng.random() < shape.oddity / 2:
            briefed = frozenset(t for t in targets if rng.random() < 0.7)
            adults[id_] = replace(adult, briefed_on=briefed or None)
    return Case(
        timezone=ZoneInfo(rng.choice(["Europe/Dublin", "America/Halifax", "Australia/Sydney"])),
        learners=learners,
        adults=dict(sorted(adults.items())),
        locations=dict(sorted(locations.items())),
        material_sets=dict(sorted(sets.items())),
        targets=dict(sorted(targets.items())),
        travel=_travel(rng, shared),
        policy=Policy(
            name="own",
            start_every_minutes=rng.choice([5, 15, 30]),
            settle_minutes=rng.choice([0, 5]),
            rest_minutes=rng.choice([15, 30]),
        ),
    )


def _odd(rng: Random, shape: Size) -> bool:
    return rng.random() < shape.oddity


def _hours(rng: Random, days: Sequence[int], earliest: int, latest: int, shortest: int) -> WeeklyHours:
    """One window on some of the days, on quarter hours."""
    found = []
    for day in range(7):
        start = rng.randrange(earliest, latest - shortest + 1, 15)
        end = rng.randrange(start + shortest, latest + 1, 15)
        found.append((Window(start, end),) if day in days else ())
    return WeeklyHours(tuple(found))


def _absences(rng: Random, shape: Size, why: str) -> tuple[Absence, ...]:
    if not _odd(rng, shape):
        return ()
    day = datetime.combine(rng.choice(WEEK.days), time())
    if rng.random() < 0.5:
        return (Absence(day, day + timedelta(days=rng.choice([1, 1, 2])), why),)
    return (Absence(day + timedelta(hours=16), day + timedelta(hours=17, minutes=10), why),)


def _learner(rng: Random, id_: str, shape: Size) -> Learner:
    days = sorted(rng.sample(range(7), rng.randint(3, 6)))
    young = _odd(rng, shape)
    limits = LearnerLimits()
    if _odd(rng, shape) or shape.learners > 1:
        limits = LearnerLimits(
            sittings_per_day=rng.choice([1, 2]),
            probes_per_day=rng.choice([2, 4, 6]),
            probes_per_sitting=rng.choice([2, 3]),
            sitting_minutes=rng.choice([20, 30]),
        )
    return Learner(
        id=id_,
        name=f"Learner {id_[-3:]}",
        alias=f"L{id_[-3:]}.",
        free=_hours(rng, days, 15 * 60, 18 * 60 + 30, 60),
        born=Birth(2024 if young else 2021, rng.randint(1, 12), rng.choice([None, 15])),
        away=_absences(rng, shape, "away"),
        limits=limits,
        allergens=frozenset(rng.sample(["egg", "gluten", "milk", "latex"], 1))
        if _odd(rng, shape)
        else frozenset(),
        needs=rng.choice([2.0, 1.5]) if _odd(rng, shape) else 1.0,
    )


def _adult(
    rng: Random, id_: str, shape: Size, learners: frozenset[str] | None, locations: frozenset[str] | None
) -> Adult:
    is_staff = id_.startswith("staff")
    days = list(range(5)) if is_staff else sorted(rng.sample(range(7), rng.randint(2, 5)))
    limits = AdultLimits()
    if _odd(rng, shape):
        limits = AdultLimits(rng.choice([None, 1, 2]), rng.choice([None, 45, 90]))
    return Adult(
        id=id_,
        name=id_.replace("-", " ").capitalize(),
        free=_hours(rng, days, (9 if is_staff else 14) * 60, 19 * 60, 180 if is_staff else 90),
        role="therapist" if is_staff else rng.choice(["parent", "relative", "teacher"]),
        learners=learners,
        locations=locations,
        away=_absences(rng, shape, "away"),
        busy=None,
        limits=limits,
    )


def _location(rng: Random, id_: str, shape: Size, shared_by: int) -> Location:
    always = id_.startswith("home")
    hours = WeeklyHours.always() if always else _hours(rng, range(6), 9 * 60, 19 * 60, 420)
    capacity = 1 if always else rng.choice([1, 2, max(2, shared_by // 4)])
    return Location(
        id=id_,
        name=id_.replace("-", " ").capitalize(),
        open=hours,
        capacity=capacity,
        closed=_absences(rng, shape, "closed"),
    )


def _set(rng: Random, id_: str, shape: Size, places: Sequence[str]) -> MaterialSet:
    plain = MaterialSet(id=id_, name=id_.replace("-", " ").capitalize(), copies=rng.choice([1, 1, 2]))
    if not _odd(rng, shape):
        return plain
    oddities: list[dict[str, Any]] = [
        {"kept_at": frozenset(rng.sample(list(places), max(1, len(places) - 1)))},
        {"small_parts": rng.choice([True, False])},
        {"dimensions_mm": rng.choice([(24.0, 24.0, 2.0), (40.0, 60.0, 80.0)])},
        {"min_age_months": rng.choice([18, 36])},
        {"allergens": frozenset({rng.choice(["wheat", "egg", "milk"])})},
        {"hazards": frozenset({rng.choice(["small-ball", "magnet", "cord", "water"])})},
    ]
    return replace(plain, **rng.choice(oddities))


def _target(rng: Random, id_: str, learner: str, values: tuple[Sequence[str], ...], shape: Size) -> Target:
    dimensions = [Dimension(n, tuple(v)) for n, v in zip(BASE, values, strict=True)]
    if _odd(rng, shape):
        dimensions.append(Dimension("wording", ("Your turn", "Can you do it?")))
    first = {d.name: d.values[0] for d in dimensions}
    taught = first if rng.random() < 0.8 else {n: first[n] for n in BASE}
    never = [{"adult": rng.choice(values[0]), "location": rng.choice(values[1])}] if _odd(rng, shape) else []
    wishes = [Wish({"location": rng.choice(values[1])}, date(2026, 12, 18))] if _odd(rng, shape) else []
    state = rng.choice(list(TargetState)) if rng.random() < shape.oddity / 2 else TargetState.MASTERED
    return Target(
        id=id_,
        learner=learner,
        name=f"Skill {id_[6:]}",
        dimensions=tuple(dimensions),
        correct_when="Does it within 30 s without help",
        instruction="Your turn",
        state=state,
        mastered_on=date(2026, 10, 5) + timedelta(days=rng.randrange(50)),
        criterion=PassMark(9, 10),
        taught=(taught,),
        cover=rng.choice(["each-value", "triples", "all"]) if _odd(rng, shape) else "pairs",
        trials=rng.choice([3, 5]),
        pass_mark=PassMark(4, 5),
        minutes=rng.choice([5, 5, 10]),
        never=tuple(never),
        first=tuple(wishes),
        generalised_when={n: min(2, len(v)) for n, v in zip(BASE, values, strict=True)},
        maintenance_days=(7, 14, 28) if rng.random() < 0.7 else (),
    )


def _travel(rng: Random, shared: Sequence[str]) -> Travel:
    routes = {frozenset((a, b)): rng.choice([5, 10, 40]) for a in shared for b in shared if a < b}
    return Travel(rng.choice([0, 10, 20]), routes)


def random_log(case: Case, seed: int, rows_a_target: float = 3.0) -> Log:
    """What was run before `NOW`: probes met and not met, teaching after some failures, refusals, maintenance;
    a few of them in combinations that are not possible."""
    rng = Random(f"log {seed}")
    rows: list[Result] = []
    for target in case.mastered:
        everything = target.combinations()
        possible = possible_combinations(case, target, NOW.date()) or everything
        for _ in range(rng.randint(0, round(2 * rows_a_target))):
            rows += _history(rng, target, rng.choice(possible if rng.random() < 0.95 else everything))
    rows.sort(key=lambda r: (r.date, r.time or time(), r.target, r.combination))
    return Log.of(replace(r, line=line) for line, r in enumerate(rows, 2))


def _history(rng: Random, target: Target, combination: tuple[str, ...]) -> list[Result]:
    day = date(2026, 11, 2) + timedelta(days=rng.randrange(20))
    moment = rng.choice([None, time(16, 15), time(17, 0)])
    if rng.random() < 0.1:
        return [
            Result(
                line=0,
                date=day,
                time=moment,
                target=target.id,
                kind=ResultKind.NOT_RUN,
                combination=combination,
                note="walked away",
            )
        ]
    correct = rng.choice([target.trials, target.trials, target.trials, 1, 0])
    kind = rng.choice([ResultKind.PROBE] * 4 + [ResultKind.MAINTENANCE])
    rows = [
        Result(
            line=0,
            date=day,
            time=moment,
            target=target.id,
            kind=kind,
            combination=combination,
            trials=target.trials,
            correct=correct,
        )
    ]
    if correct <= 1 and rng.random() < 0.6:
        taught = day + timedelta(days=rng.randint(1, 5))
        rows.append(
            Result(
                line=0,
                date=taught,
                time=None,
                target=target.id,
                kind=ResultKind.TEACHING,
                combination=combination,
            )
        )
    return rows


def write_case(case: Case, folder: Path, log: Log | None = None) -> Path:
    """A case folder that loads as this case, with this log."""
    folder.mkdir(parents=True, exist_ok=True)
    tree = yaml.safe_dump(document(case), sort_keys=False, allow_unicode=True)
    text = "# Everything here is invented.\n" + tree
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    if log is not None:
        write_results(case, log, folder / "results.csv")
    return folder


def write_results(case: Case, log: Log, path: Path) -> None:
    extra = sorted({d.name for t in case.targets.values() for d in t.extra_dimensions})
    head = "date time target kind adult location material_set"
    counts_and_words = "trials correct prompted observer observer_correct note"
    with open(path, "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([*head.split(), *counts_and_words.split(), *extra])
        for r in sorted(log.results, key=lambda r: r.line):
            values = dict(zip(case.targets[r.target].dimension_names, r.combination, strict=True))
            counts = ["" if n is None else n for n in (r.trials, r.correct, r.prompted)]
            when = f"{r.time:%H:%M}" if r.time else ""
            seen = "" if r.observer_correct is None else r.observer_correct
            row = [r.date, when, r.target, r.kind.value, *(values[n] for n in BASE), *counts]
            writer.writerow([*row, r.observer, seen, r.note, *(values.get(n, "") for n in extra)])


def document(case: Case) -> dict[str, Any]:
    """The case as the tree of its YAML file."""
    policy = case.policy
    routes = [{"between": sorted(pair), "minutes": m} for pair, m in case.travel.routes.items()]
    return {
        "format": 1,
        "timezone": case.timezone.key,
        "policy": {
            "start_every_minutes": policy.start_every_minutes,
            "settle_minutes": policy.settle_minutes,
            "rest_minutes": policy.rest_minutes,
            "probes_per_target_per_day": policy.probes_per_target_per_day,
            "probes_per_target_per_week": policy.probes_per_target_per_week,
            "days": [DAYS[d] for d in policy.days],
        },
        "learners": {x.id: _learner_keys(x) for x in case.learners.values()},
        "adults": {x.id: _adult_keys(x) for x in case.adults.values()},
        "locations": {x.id: _location_keys(x) for x in case.locations.values()},
        "travel_minutes": {"otherwise": case.travel.otherwise, "routes": routes},
        "material_sets": {x.id: _set_keys(x) for x in case.material_sets.values()},
        "targets": {x.id: _target_keys(x) for x in case.targets.values()},
    }


def _hours_keys(hours: WeeklyHours) -> dict[str, list[str]]:
    days = zip(DAYS, hours.days, strict=True)
    return {day: [f"{_clock(w.start)}-{_clock(w.end)}" for w in windows] for day, windows in days if windows}


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _absence_text(a: Absence) -> str:
    if a.start.time() == a.end.time() == time():
        last = a.end.date() - timedelta(days=1)
        return f"{a.start:%Y-%m-%d}" if last == a.start.date() else f"{a.start:%Y-%m-%d}..{last}"
    return f"{a.start:%Y-%m-%d %H:%M}-{a.end:%H:%M}"


def _all_or(ids: frozenset[str] | None) -> Any:
    return "all" if ids is None else sorted(ids)


def _limits_keys(limits: LearnerLimits | AdultLimits) -> dict[str, int]:
    return {key: value for key, value in vars(limits).items() if value is not None}


def _learner_keys(x: Learner) -> dict[str, Any]:
    keys: dict[str, Any] = {"name": x.name, "alias": x.alias}
    if x.born:
        keys["born"] = f"{x.born.year}-{x.born.month:02d}" + (f"-{x.born.day:02d}" if x.born.day else "")
    keys |= {"free": _hours_keys(x.free), "away": [_absence_text(a) for a in x.away]}
    return keys | {"limits": _limits_keys(x.limits), "allergens": sorted(x.allergens), "needs": x.needs}


def _adult_keys(x: Adult) -> dict[str, Any]:
    return {
        "name": x.name,
        "role": x.role,
        "learners": _all_or(x.learners),
        "locations": _all_or(x.locations),
        "free": _hours_keys(x.free),
        "away": [_absence_text(a) for a in x.away],
        "limits": _limits_keys(x.limits),
        "briefed_on": _all_or(x.briefed_on),
    }


def _location_keys(x: Location) -> dict[str, Any]:
    keys: dict[str, Any] = {"name": x.name, "capacity": x.capacity, "learners": _all_or(x.learners)}
    if x.open != WeeklyHours.always():
        keys["open"] = _hours_keys(x.open)
    return keys | {"closed": [_absence_text(a) for a in x.closed]}


def _set_keys(x: MaterialSet) -> dict[str, Any]:
    keys: dict[str, Any] = {"name": x.name, "copies": x.copies}
    if x.kept_at is not None:
        keys["kept_at"] = sorted(x.kept_at)
    if x.small_parts is not None:
        keys["small_parts"] = x.small_parts
    if x.dimensions_mm is not None:
        keys["dimensions_mm"] = list(x.dimensions_mm)
    return keys | {
        "min_age_months": x.min_age_months,
        "allergens": sorted(x.allergens),
        "hazards": sorted(x.hazards),
    }


def _pattern_keys(patterns: Sequence[Mapping[str, str]]) -> list[dict[str, str]]:
    return [dict(p) for p in patterns]


def _target_keys(x: Target) -> dict[str, Any]:
    plural = {"adult": "adults", "location": "locations", "material_set": "material_sets"}
    keys: dict[str, Any] = {
        "learner": x.learner,
        "name": x.name,
        "correct_when": x.correct_when,
        "instruction": x.instruction,
        "state": x.state.value,
    }
    if x.mastered_on:
        keys["mastered_on"] = x.mastered_on.isoformat()
    if x.criterion:
        keys["criterion"] = str(x.criterion)
    keys |= {plural[d.name]: list(d.values) for d in x.dimensions if d.name in plural}
    keys["also_vary"] = {d.name: list(d.values) for d in x.extra_dimensions}
    return keys | {
        "taught": _pattern_keys(x.taught),
        "never": _pattern_keys(x.never),
        "first": [{**w.pattern, **({"by": w.by.isoformat()} if w.by else {})} for w in x.first],
        "cover": x.cover,
        "trials": x.trials,
        "pass_mark": str(x.pass_mark),
        "minutes": x.minutes,
        "generalised_when": {plural.get(n, n): count for n, count in x.generalised_when.items()},
        "maintenance_days": list(x.maintenance_days),
    }
