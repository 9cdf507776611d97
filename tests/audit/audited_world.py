"""A tiny case with a good plan, made by hand; a test changes one thing and asks the auditor.

Wren's zips and greets: 2 adults x 2 locations x 2 sets, so 3 x 4 = 12 pairs each. Robin's buttons:
1 x 2 x 2, so 2 + 2 + 4 = 8 pairs. Week 2026-W49 is Monday 30 November to Sunday 6 December.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import combinations
from typing import Any
from zoneinfo import ZoneInfo

from genplan.audit import audit
from genplan.case import (
    Absence,
    Adult,
    Birth,
    Case,
    Combination,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    Policy,
    Target,
    Travel,
    Week,
    WeeklyHours,
    Window,
)
from genplan.coverage.matrix import MatrixRow, matrix
from genplan.coverage.tally import tally
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.maintenance import maintenance_due
from genplan.evidence.standing import Status
from genplan.plan import LeftOut, Plan, Probe, ProbeKind, Sitting, TargetCoverage
from genplan.rules.limits import Kind, Limit

HOURS = Limit(Kind.HOURS)
ZONE = ZoneInfo("Europe/Dublin")
MON, TUE, WED = 30, 31, 32


def at(day: int, clock: str) -> datetime:
    """30 is Monday 30 November 2026, 31 Tuesday 1 December, …"""
    hour, minute = map(int, clock.split(":"))
    return datetime(2026, 11, 1, hour, minute, tzinfo=ZONE) + timedelta(days=day - 1)


def wall(day: int, clock: str) -> datetime:
    return at(day, clock).replace(tzinfo=None)


WEEK = Week(2026, 49)
NOON_BEFORE = at(29, "12:00")


def hours(start: int, end: int) -> WeeklyHours:
    return WeeklyHours(((Window(start, end),),) * 7)


def target(id_: str, learner: str, *values: str, **more: Any) -> Target:
    names = ("adult", "location", "material_set", "wording")
    dimensions = tuple(Dimension(n, tuple(v.split())) for n, v in zip(names, values, strict=False))
    return Target(id_, learner, id_, dimensions, mastered_on=date(2026, 11, 1), **more)


def the_case() -> Case:
    free = hours(15 * 60, 18 * 60)
    learners = [Learner("robin", "Robin", "R.", free), Learner("wren", "Wren", "W.", free, Birth(2021, 4))]
    sets = [MaterialSet(id_, id_) for id_ in ("cards", "coats", "dolls", "jackets", "ribbons")]
    taught = ({"adult": "mum", "location": "home", "material_set": "jackets"},)
    targets = [
        target("buttons", "robin", "grandad", "home park", "jackets ribbons"),
        target("greets", "wren", "mum grandad", "home park", "cards dolls"),
        target("zips", "wren", "mum grandad", "home park", "coats jackets", taught=taught),
    ]
    return Case(
        ZONE,
        {x.id: x for x in learners},
        {id_: Adult(id_, id_, free) for id_ in ("grandad", "mum")},
        {"home": Location("home", "home", free), "park": Location("park", "park", free, capacity=2)},
        {x.id: x for x in sets},
        {x.id: x for x in targets},
        Travel(0, {frozenset(("home", "park")): 20}),
        Policy(start_every_minutes=15, settle_minutes=5, rest_minutes=30),
    )


def probe(target_id: str, values: str, kind: ProbeKind = ProbeKind.NEW) -> Probe:
    return Probe(target=target_id, combination=tuple(values.split()), kind=kind, trials=5, new_tuples=0)


def sitting(id_: str, learner: str, start: datetime, *probes: Probe) -> Sitting:
    """As long as its probes, with the adult and at the location of the first."""
    adult, location = probes[0].combination[:2]
    return Sitting(
        id=id_,
        learner=learner,
        adult=adult,
        location=location,
        start=start,
        end=start + timedelta(minutes=5 + 5 * len(probes)),
        probes=probes,
    )


def the_sittings() -> dict[str, Sitting]:
    zips, greets = probe("zips", "mum park coats"), probe("greets", "mum park cards")
    listed = [
        sitting("a", "wren", at(MON, "16:00"), zips, greets),
        sitting("b", "robin", at(WED, "17:00"), probe("buttons", "grandad park ribbons")),
        sitting("c", "wren", at(TUE, "16:00"), probe("zips", "grandad home coats")),
        sitting("d", "robin", at(TUE, "17:00"), probe("buttons", "grandad home jackets")),
    ]
    return {s.id: s for s in listed}


@dataclass(frozen=True)
class World:
    case: Case = field(default_factory=the_case)
    sittings: Mapping[str, Sitting] = field(default_factory=the_sittings)
    log: Log = field(default_factory=Log)
    now: datetime = NOON_BEFORE
    week: Week = WEEK
    busy: Mapping[str, tuple[Absence, ...]] = field(default_factory=dict)
    kept: tuple[Sitting, ...] = ()

    def having(self, group: str, id_: str, **changes: Any) -> World:
        """With changed fields of one learner, adult, location, set or target."""
        things = getattr(self.case, group)
        return self.in_case(**{group: {**things, id_: replace(things[id_], **changes)}})

    def in_case(self, **changes: Any) -> World:
        return replace(self, case=replace(self.case, **changes))

    def under(self, **changes: Any) -> World:
        """With a changed policy."""
        return self.in_case(policy=replace(self.case.policy, **changes))

    def moved(self, id_: str, start: datetime) -> World:
        s = self.sittings[id_]
        return self.seated(replace(s, start=start, end=start + (s.end - s.start)))

    def seated(self, *sittings: Sitting) -> World:
        """With these sittings beside, or in the place of, those of the same id."""
        return replace(self, sittings={**self.sittings, **{s.id: s for s in sittings}})

    def knowing(self, *rows: tuple[str, str, str, int, int]) -> World:
        """With rows (day, target, combination, trials, correct); teaching where there are no trials."""
        results = []
        for line, (day, id_, values, trials, correct) in enumerate(rows, 2):
            kind = ResultKind.PROBE if trials else ResultKind.TEACHING
            counts = (trials, correct) if trials else (None, None)
            results.append(
                Result(line, date.fromisoformat(day), None, id_, kind, tuple(values.split()), *counts)
            )
        return replace(self, log=Log.of(results))

    @property
    def plan(self) -> Plan:
        """The plan of these sittings, its figures made with the coverage room."""
        sittings = _with_new_tuples(self)
        coverage = tuple(_coverage(self, t) for t in self.case.mastered)
        plan = Plan(
            week=self.week,
            now=self.now,
            sittings=sittings,
            objectives=(),
            coverage=coverage,
            matrix=_matrix(self),
            left_out=tuple(_left_out(self)),
        )
        return replace(plan, alone=_most_alone(self), last_chances=frozenset(_last_chances(self)))

    def complaints(self) -> tuple[str, ...]:
        return audit(self.case, self.log, self.plan, self.busy, self.kept)


def _most_alone(world: World) -> dict[str, float]:
    """As if each learner alone could have all that is open; of one learner nothing is told."""
    most: dict[str, float] = {}
    for target in world.case.mastered:
        count = tally(world.case, target, world.log, world.now.date())
        if count.open:
            most[target.learner] = most.get(target.learner, 0) + len(count.open)
    return most if len(most) > 1 else {}


def _last_chances(world: World) -> Iterator[tuple[str, int]]:
    """Wishes whose date is over with the week."""
    for target in world.case.mastered:
        for n, wish in enumerate(target.first):
            if wish.by is not None and wish.by <= world.week.sunday:
                yield target.id, n


def _known_probes(world: World, target: Target) -> list[Combination]:
    return [
        p.combination
        for s in sorted(world.sittings.values(), key=lambda s: s.start)
        for p in s.probes
        if p.target == target.id and len(p.combination) == len(target.dimensions)
    ]


def _with_new_tuples(world: World) -> tuple[Sitting, ...]:
    seen: dict[str, frozenset[Tuple]] = {}
    counts = {t.id: tally(world.case, t, world.log, world.now.date()) for t in world.case.targets.values()}
    listed = []
    for s in sorted(world.sittings.values(), key=lambda s: s.start):
        probes = []
        for p in s.probes:
            count = counts.get(p.target)
            if count is None or len(p.combination) != len(count.target.dimensions):
                probes.append(p)
                continue
            shown = frozenset(tuples_of(count.target, p.combination)) & count.open
            probes.append(replace(p, new_tuples=len(shown - seen.get(p.target, frozenset()))))
            seen[p.target] = seen.get(p.target, frozenset()) | shown
        listed.append(replace(s, probes=tuple(probes)))
    return tuple(listed)


def _coverage(world: World, target: Target) -> TargetCoverage:
    count = tally(world.case, target, world.log, world.now.date())
    planned = frozenset(t for c in _known_probes(world, target) for t in tuples_of(target, c)) & count.open
    left = count.open - planned
    fewest = smallest_cover(target, count.possible_combinations, left)
    return TargetCoverage(
        learner=target.learner,
        target=target.id,
        possible=len(count.possible),
        shown_before=len(count.shown),
        tested_before=len(count.tested),
        met_before=len(count.met),
        new=len(planned),
        open=len(left),
        fewest_further=fewest,
        fewest_proven=fewest,
    )


def smallest_cover(target: Target, possible: tuple[Combination, ...], left: frozenset[Tuple]) -> int:
    """By trying all subsets, smallest first."""
    for size in range(len(possible) + 1):
        for chosen in combinations(possible, size):
            if left <= {t for c in chosen for t in tuples_of(target, c)}:
                return size
    raise AssertionError("some tuple is in no possible combination")


def _matrix(world: World) -> tuple[MatrixRow, ...]:
    today = world.now.date()
    return tuple(
        row
        for t in world.case.mastered
        for row in matrix(world.case, tally(world.case, t, world.log, today), today)
    )


def _left_out(world: World) -> Iterator[LeftOut]:
    """What is owed and not in the sittings, each with a reason of its own."""
    for target in world.case.mastered:
        count = tally(world.case, target, world.log, world.now.date())
        planned = _known_probes(world, target)
        shown = {t for c in planned for t in tuples_of(target, c)}
        for t in sorted(count.open - shown):
            yield LeftOut(
                learner=target.learner, target=target.id, kind=ProbeKind.NEW, values=t, limit=HOURS, tuples=1
            )
        for c in count.possible_combinations:
            standing = count.standing(c)
            if standing.status is Status.NOT_MET or (standing.retest_due and c not in planned):
                yield LeftOut(
                    learner=target.learner,
                    target=target.id,
                    kind=ProbeKind.RETEST,
                    values=tuple(zip(target.dimension_names, c, strict=True)),
                    limit=HOURS,
                )
        probes = [p for s in world.sittings.values() for p in s.probes if p.target == target.id]
        run = any(p.kind is ProbeKind.MAINTENANCE for p in probes)
        if not run and maintenance_due(target, world.log, world.week.sunday, world.case.policy):
            yield LeftOut(
                learner=target.learner,
                target=target.id,
                kind=ProbeKind.MAINTENANCE,
                values=(),
                limit=HOURS,
                due=world.week.sunday,
            )
