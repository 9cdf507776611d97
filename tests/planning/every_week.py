"""Every week of a tiny case, found without the planner: what is owed counted in plain loops, then all sittings tried.

For one or two learners, and targets whose sets, people and places have no odd properties: what is possible is
decided by `never` alone here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import combinations, product

from planning_cases import WEEK

from genplan.case import Case, Combination, Target, Window
from genplan.evidence.log import Log, Result
from genplan.plan import Plan, Sitting

DAY = 24 * 60
NEW, RETEST, MAINTENANCE = "new", "retest", "maintenance"

Shown = frozenset[tuple[str, str]]
"""The (dimension, value) pairs that a probe shows together."""

Ran = tuple[str, Combination, str]
"""A probe: target, combination, kind."""


@dataclass(frozen=True)
class Given:
    """What the planner is given; `kept` is what people were told of the week."""

    case: Case
    log: Log
    now: datetime
    kept: tuple[Sitting, ...] = ()


@dataclass(frozen=True, order=True)
class Tried:
    """A sitting, minutes `[start, end)` from Monday 00:00."""

    learner: str
    adult: str
    location: str
    start: int
    end: int
    probes: tuple[Ran, ...]

    @property
    def day(self) -> int:
        return self.start // DAY


Tries = tuple[Tried, ...]
"""A week: its sittings, sorted."""


def tried(sitting: Sitting) -> Tried:
    monday = datetime.combine(WEEK.monday, time())
    start, end = (
        int((t.replace(tzinfo=None) - monday).total_seconds()) // 60 for t in (sitting.start, sitting.end)
    )
    probes = tuple(sorted((p.target, p.combination, p.kind.value) for p in sitting.probes))
    return Tried(sitting.learner, sitting.adult, sitting.location, start, end, probes)


def ahead(plan: Plan) -> Tries:
    """The part of a plan that it decides."""
    return tuple(sorted(tried(s) for s in plan.sittings if not s.begun))


def begun(given: Given) -> Tries:
    return tuple(tried(s) for s in given.kept if s.start < given.now)


def told(given: Given) -> Tries:
    return tuple(tried(s) for s in given.kept if s.start >= given.now)


def shown_by(target: Target, combination: Combination) -> frozenset[Shown]:
    pairs = list(zip(target.dimension_names, combination, strict=True))
    return frozenset(frozenset(some) for some in combinations(pairs, target.strength))


@dataclass(frozen=True)
class Owed:
    """What a target is owed: `new` maps the combinations for new probes to what is open and they would show; `known`
    are those that were met or taught."""

    target: Target
    open: frozenset[Shown]
    new: dict[Combination, frozenset[Shown]] = field(default_factory=dict)
    retests: tuple[Combination, ...] = ()
    repeats: tuple[Combination, ...] = ()
    overdue: bool = False
    known: tuple[Combination, ...] = ()
    first_day: int = 0

    @property
    def choices(self) -> list[Ran]:
        kinds = ((NEW, self.new), (RETEST, self.retests), (MAINTENANCE, self.repeats))
        return [(self.target.id, c, kind) for kind, some in kinds for c in some]


def owed(given: Given, target: Target) -> Owed:
    """What was run or taught counts in combinations that are not possible, too: it happened."""
    everything = target.combinations()
    possible = [c for c in everything if not any(target.matches(c, p) for p in target.never)]
    rows = {c: [r for r in given.log.of_target(target.id) if r.combination == c] for c in everything}
    stands = {c: _stands(target, c, rows[c]) for c in everything}
    seated = {c for s in begun(given) for t, c, _ in s.probes if t == target.id}
    seen = {c for c in everything if stands[c] or c in seated}
    left = frozenset(_all_shown(target, possible) - _all_shown(target, seen))
    fresh = {c: shown_by(target, c) & left for c in possible if c not in seen}
    due = _maintenance_due(given, target)
    return Owed(
        target,
        left,
        {c: shown for c, shown in fresh.items() if shown},
        tuple(c for c in possible if stands[c] == "retest" and c not in seated),
        tuple(c for c in possible if due and stands[c] in ("met", "taught") and c not in seated),
        due is not None and due < WEEK.monday,
        tuple(c for c in everything if stands[c] in ("met", "taught", "retest")),
        (answered_from(target, due) - WEEK.monday).days if due else 0,
    )


def _all_shown(target: Target, some: Iterable[Combination]) -> set[Shown]:
    return {shown for c in some for shown in shown_by(target, c)}


def _stands(target: Target, combination: Combination, rows: list[Result]) -> str:
    """met, failed, retest (failed and taught since), taught or nothing; the rows are in order of time."""
    stands = "taught" if any(target.matches(combination, p) for p in target.taught) else ""
    for row in rows:
        if row.trials:
            stands = "met" if target.pass_mark.is_met_by(row.correct or 0, row.trials) else "failed"
        elif stands != "met":
            stands = "retest" if stands in ("failed", "retest") else "taught"
    return stands


def _maintenance_due(given: Given, target: Target) -> date | None:
    if target.mastered_on is None:
        return None
    run = [r.date for r in given.log.of_target(target.id) if r.kind == "maintenance"]
    run += [
        WEEK.monday + timedelta(days=s.day)
        for s in begun(given)
        for t, _, kind in s.probes
        if (t, kind) == (target.id, MAINTENANCE)
    ]
    dates = [target.mastered_on + timedelta(days=n) for n in target.maintenance_days]
    latest = max((d for d in dates if d <= WEEK.sunday), default=None)
    if latest is None or any(r >= answered_from(target, latest) for r in run):
        return None
    return latest


def answered_from(target: Target, due: date) -> date:
    """The first day that answers a date: its week's Monday, and after the date before it (nothing here is early)."""
    steps = [target.mastered_on + timedelta(days=n) for n in (0, *target.maintenance_days)]
    before = max(d for d in steps if d < due)
    return next(
        day
        for n in range(7)
        if (day := due - timedelta(days=6 - n)) > before and day.isocalendar()[:2] == due.isocalendar()[:2]
    )


def together(case: Case, learner: str, adult: str, location: str) -> list[Window]:
    """The stretches of any week in which all three are free."""
    people = (case.learners[learner].free, case.adults[adult].free, case.locations[location].open)
    return [
        Window(day * DAY + start, day * DAY + end)
        for day in case.policy.days
        for parts in product(*(hours.days[day] for hours in people))
        if (start := max(p.start for p in parts)) < (end := min(p.end for p in parts))
    ]


def every_sitting(given: Given) -> Iterator[Tried]:
    """Every sitting that could be held if there were no other but those that have begun."""
    case, policy = given.case, given.case.policy
    now = now_minute(given)
    first = {t.id: owed(given, t).first_day for t in case.mastered}
    for learner in case.learners.values():
        lists = [owed(given, t).choices for t in case.mastered if t.learner == learner.id]
        for adult, location in product(case.adults, case.locations):
            here = [[None, *(p for p in some if p[1][:2] == (adult, location))] for some in lists]
            for picks in product(*here):
                probes = tuple(sorted(p for p in picks if p))
                minutes = policy.settle_minutes + sum(case.targets[t].minutes for t, *_ in probes)
                if not probes or minutes > (learner.limits.sitting_minutes or DAY):
                    continue
                if len(probes) > (learner.limits.probes_per_sitting or len(probes)):
                    continue
                for start, end in together(case, learner.id, adult, location):
                    for at in range(start, end - minutes + 1):
                        if at < now or at % DAY % policy.start_every_minutes:
                            continue
                        if any(kind == MAINTENANCE and at // DAY < first[t] for t, _, kind in probes):
                            continue
                        if all(is_there(case, c[2], at, at + minutes) for _, c, _ in probes):
                            yield Tried(learner.id, adult, location, at, at + minutes, probes)


def is_there(case: Case, material_set: str, start: int, end: int) -> bool:
    """Whether the set is not missing in any of these minutes of the week."""
    begins, ends = (datetime.combine(WEEK.monday, time()) + timedelta(minutes=m) for m in (start, end))
    return not any(begins < x.end and x.start < ends for x in case.material_sets[material_set].missing)


def now_minute(given: Given) -> int:
    monday = datetime.combine(WEEK.monday, time())
    return int((given.now.replace(tzinfo=None) - monday).total_seconds()) // 60


def apart(case: Case, one: Tried, other: Tried) -> bool:
    """Whether two sittings can both be held."""
    first, second = sorted((one, other), key=lambda s: (s.start, s.end))
    gap, same_day = second.start - first.end, first.day == second.day
    way = case.travel.minutes(one.location, other.location) if same_day else 0
    if one.learner == other.learner and gap < max(case.policy.rest_minutes, way):
        return False
    if one.adult == other.adult and gap < way:
        return False
    if one.location == other.location and case.locations[one.location].capacity == 1 and gap < 0:
        return False
    shared = {c[2] for _, c, _ in one.probes} & {c[2] for _, c, _ in other.probes}
    return gap >= way or not any(case.material_sets[m].copies == 1 for m in shared)


def within_limits(case: Case, week: Tries) -> bool:
    """Whether all limits of a day, a week and a target hold for the sittings, those that have begun among them."""
    policy = case.policy
    held = Counter((who, s.day) for s in week for who in (s.learner, s.adult))
    run = Counter(key for s in week for t, *_ in s.probes for key in ((s.learner, s.day), (t, s.day), t))
    all_week = Counter(who for s in week for who in (s.learner, s.adult))
    minutes: Counter[str] = Counter()
    for s in week:
        minutes[s.adult] += s.end - s.start
    ran = Counter((t, c if kind != MAINTENANCE else kind) for s in week for t, c, kind in s.probes)
    return (
        all(held[s.learner, s.day] <= (case.learners[s.learner].limits.sittings_per_day or 99) for s in week)
        and all(run[s.learner, s.day] <= (case.learners[s.learner].limits.probes_per_day or 99) for s in week)
        and all(held[s.adult, s.day] <= (case.adults[s.adult].limits.sittings_per_day or 99) for s in week)
        and all(all_week[a] <= (x.limits.sittings_per_week or 99) for a, x in case.adults.items())
        and all(all_week[i] <= (x.limits.sittings_per_week or 99) for i, x in case.learners.items())
        and all(m <= (case.adults[a].limits.minutes_per_week or DAY) for a, m in minutes.items())
        and all(run[t] <= policy.probes_per_target_per_week for t in case.targets)
        and all(run[t, s.day] <= policy.probes_per_target_per_day for t in case.targets for s in week)
        and max(ran.values(), default=0) <= 1
    )


def every_week(given: Given, most: int) -> list[Tries]:
    """All weeks that hold every rule, the empty one first; an empty list where there are more than `most`."""
    if len(given.case.learners) > 2:
        raise ValueError("that two sittings can be held says all only up to two learners")
    case, fixed = given.case, begun(given)
    sittings = sorted(s for s in every_sitting(given) if all(apart(case, s, f) for f in fixed))
    beside = [
        sum(1 << j for j in range(i + 1, len(sittings)) if apart(case, s, sittings[j]))
        for i, s in enumerate(sittings)
    ]
    weeks: list[Tries] = [()]
    rising = [((), (1 << len(sittings)) - 1)]
    while rising:
        week, later = rising.pop()
        for i in _bits(later):
            grown = (*week, sittings[i])
            if within_limits(case, (*fixed, *grown)):
                weeks.append(grown)
                rising.append((grown, later & beside[i]))
            if len(weeks) > most:
                return []
    return weeks


def _bits(number: int) -> Iterator[int]:
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low
