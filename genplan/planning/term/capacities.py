"""What people, places, sets and limits have room for in one week of a term.

Each is a sum over days of what a day has room for, so it holds of any sittings that the days can hold: no more begin
than there are starts far enough apart, and one after the other they take no more minutes than there are.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from genplan.case.people import AdultLimits, LearnerLimits
from genplan.case.windows import merge
from genplan.plan.term import Whose
from genplan.planning.term.meetings import DayOf, Numbered, Trio, WeekOfTerm, by_trio, from_grid
from genplan.planning.term.problem import Capacity, Column, Meeting
from genplan.planning.term.wanted import Span
from genplan.planning.wishes import most_apart
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount, Unit
from genplan.rules.amounts import Span as AmountSpan
from genplan.rules.placed_sittings import PlacedSitting, of_adult, of_learner

WHOLE: Span = (0, 6)


@dataclass(frozen=True, kw_only=True)
class _Group:
    """Meetings that share something: `gap` minutes lie between two starts, `rest` behind each sitting, `at_once` go on
    at the same time. `amounts` with the `limits` they are read from, of which the `seats` take some already."""

    whose: Whose
    names: tuple[str, ...]
    trios: tuple[Trio, ...]
    gap: int
    rest: int = 0
    at_once: int = 1
    amounts: tuple[Amount, ...] = ()
    limits: LearnerLimits | AdultLimits | None = None
    seats: tuple[PlacedSitting, ...] = ()


def capacities_in(
    week: WeekOfTerm,
    meetings: Numbered,
    columns: Sequence[Column],
    seats: Collection[PlacedSitting],
    taken: Mapping[str, Mapping[int, int]],
) -> Iterator[Capacity]:
    """All of one week. `seats` stay as they are; `taken` are the probes of each target on each day that are run or
    seated already."""
    at = by_trio(meetings)
    for group in _groups(week, seats):
        own = sorted(one for trio in group.trios for one in at.get(trio, ()))
        for span in _spans(m for _, m in own):
            members = tuple(i for i, m in own if _is_within(m, span))
            if members:
                yield from _of_group(week, group, span, members)
    yield from _of_targets(week, meetings, columns, taken)
    yield from _of_sets(week, meetings, columns)


def _is_within(meeting: Meeting, span: Span) -> bool:
    return span[0] <= meeting.first and meeting.last <= span[1]


def _groups(week: WeekOfTerm, seats: Collection[PlacedSitting]) -> Iterator[_Group]:
    case, rest = week.case, week.case.policy.rest_minutes
    for learner, trios in _by(week.days, lambda t: t[:1]):
        child, gap = case.learners[learner[0]], week.shortest(learner[0]) + rest
        own = of_learner(seats, child.id)
        yield _Group(
            whose=Whose.LEARNER, names=learner, trios=trios, gap=gap, rest=rest,
            amounts=LEARNER_AMOUNTS, limits=child.limits, seats=own,
        )  # fmt: skip
    for names, trios in _by(week.days, lambda t: t[1:2]):
        limits, hers = case.adults[names[0]].limits, of_adult(seats, names[0])
        yield _Group(
            whose=Whose.ADULT, names=names, trios=trios, gap=_gap(week, trios),
            amounts=ADULT_AMOUNTS, limits=limits, seats=hers,
        )  # fmt: skip
    for names, trios in _by(week.days, lambda t: t[2:]):
        at_once = case.locations[names[0]].capacity
        yield _Group(whose=Whose.LOCATION, names=names, trios=trios, gap=_gap(week, trios), at_once=at_once)
    for names, trios in _by(week.days, lambda t: t[1:]):
        yield _Group(whose=Whose.PAIR, names=names, trios=trios, gap=_gap(week, trios))
    for trio in sorted(week.days):
        gap = week.shortest(trio[0]) + rest
        yield _Group(whose=Whose.MEETING, names=trio, trios=(trio,), gap=gap, rest=rest)


def _by(
    trios: Iterable[Trio], key: Callable[[Trio], tuple[str, ...]]
) -> list[tuple[tuple[str, ...], tuple[Trio, ...]]]:
    found: dict[tuple[str, ...], list[Trio]] = defaultdict(list)
    for trio in sorted(trios):
        found[key(trio)].append(trio)
    return [(names, tuple(some)) for names, some in sorted(found.items())]


def _gap(week: WeekOfTerm, trios: Iterable[Trio]) -> int:
    return min(week.shortest(learner) for learner, _, _ in trios)


def _spans(meetings: Iterable[Meeting]) -> Iterator[Span]:
    """The whole week, and where dates cut it what lies before and behind each cut."""
    spans = {(m.first, m.last) for m in meetings}
    yield WHOLE
    yield from ((WHOLE[0], last) for last in sorted({last for _, last in spans} - {WHOLE[1]}))
    yield from ((first, WHOLE[1]) for first in sorted({first for first, _ in spans} - {WHOLE[0]}))


def _of_group(week: WeekOfTerm, group: _Group, span: Span, members: tuple[int, ...]) -> Iterator[Capacity]:
    settle, grid = week.case.policy.settle_minutes, week.case.policy.start_every_minutes
    sittings, minutes, on_grid, probes = 0, 0, 0, 0
    a_day = [a for a in group.amounts if a.span is AmountSpan.DAY]
    for day, found in _days_of(week, group.trios, span).items():
        apart = group.at_once * most_apart({s for d in found for s in d.starts}, group.gap)
        stretches = [from_grid(w, grid) for w in merge(o for d in found for o in d.openings)]
        sittings += min([apart, *_left(group, a_day, Unit.SITTINGS, day)])
        probes += min([len(week.case.targets) * apart, *_left(group, a_day, Unit.PROBES, day)])
        minutes += group.at_once * sum(w.length + group.rest for w in stretches)
        on_grid += group.at_once * sum(_up(w.length + group.rest, grid) for w in stretches)
    a_week = [a for a in group.amounts if a.span is AmountSpan.WEEK]
    most_sittings = min([sittings, *_left(group, a_week, Unit.SITTINGS)])
    most_probes = min([probes, *_left(group, a_week, Unit.PROBES)])
    capacity = partial(Capacity, whose=group.whose, names=group.names, week=week.index, meetings=members)
    yield capacity(most=most_sittings, sitting=1)
    yield capacity(most=minutes, sitting=settle + group.rest, minute=1)
    # the next sitting begins on the grid, so up to there this one takes the time
    lengths = {n + group.rest for learner in {t[0] for t in group.trios} for n in week.lengths[learner]}
    if lost := min(_up(n, grid) - n for n in lengths):
        yield capacity(most=on_grid, sitting=settle + group.rest + lost, minute=1)
    if any(
        a.unit is Unit.PROBES and a.most(group.limits) is not None for a in a_day + a_week if group.limits
    ):
        yield capacity(most=most_probes, probe=1)
    for most in _left(group, a_week, Unit.MINUTES):
        yield capacity(most=most, sitting=settle, minute=1)


def _up(minutes: int, grid: int) -> int:
    """The least multiple of the grid that is no less."""
    return -(-minutes // grid) * grid


def _left(group: _Group, amounts: Iterable[Amount], unit: Unit, day: int | None = None) -> list[int]:
    """What limits on so much of a unit leave beside the seats, on a day or in the week."""
    found = []
    for amount in amounts:
        most = amount.most(group.limits) if group.limits else None
        if amount.unit is unit and most is not None:
            used = sum(amount.of(s) for s in group.seats if day is None or s.day == day)
            found.append(max(0, most - used))
    return found


def _days_of(week: WeekOfTerm, trios: Iterable[Trio], span: Span) -> dict[int, list[DayOf]]:
    found: dict[int, list[DayOf]] = defaultdict(list)
    for trio in trios:
        for day, one in week.days[trio].items():
            if span[0] <= day <= span[1]:
                found[day].append(one)
    return found


def _of_targets(
    week: WeekOfTerm, meetings: Numbered, columns: Sequence[Column], taken: Mapping[str, Mapping[int, int]]
) -> Iterator[Capacity]:
    """What the policy allows of each target on the days of a stretch on which it can be probed, in the week and with
    each adult."""
    policy, on = week.case.policy, _days_of_targets(week)
    for target in sorted({c.target for c in columns}):
        run, learner = taken.get(target, {}), week.case.targets[target].learner
        a_week = max(0, policy.probes_per_target_per_week - sum(run.values()))
        own = [(i, m) for i, m in meetings if m.learner == learner]
        for key, span, members in _shared_by(own, week.spans[learner]):
            days = [d for d in on[target, *key] if span[0] <= d <= span[1]]
            most = sum(max(0, policy.probes_per_target_per_day - run.get(d, 0)) for d in days)
            yield Capacity(
                whose=Whose.TARGET,
                names=(target,),
                week=week.index,
                most=min(most, a_week),
                meetings=members,
                probe=1,
                target=target,
            )


def _days_of_targets(week: WeekOfTerm) -> Mapping[tuple[str, ...], set[int]]:
    """Target; target and adult; target, adult and location -> the days on which it can be probed there."""
    on = defaultdict[tuple[str, ...], set[int]](set)
    for (target, combination), there in week.hours_for.items():
        for key in ((), combination[:1], combination[:2]):
            on[target, *key] |= there
    return on


def _shared_by(
    own: Numbered, spans: Iterable[Span]
) -> Iterator[tuple[tuple[str, ...], Span, tuple[int, ...]]]:
    """The meetings of a learner: all, those with each adult, and each; in each stretch of the week and in all of it."""
    keys = sorted({key for _, m in own for key in ((), (m.adult,), (m.adult, m.location))})
    for key in keys:
        those = [(i, m) for i, m in own if (m.adult, m.location)[: len(key)] == key]
        for span in dict.fromkeys((*spans, WHOLE)):
            if members := tuple(i for i, m in those if _is_within(m, span)):
                yield key, span, members


def _of_sets(week: WeekOfTerm, meetings: Numbered, columns: Sequence[Column]) -> Iterator[Capacity]:
    """Probes with a set that go on at the same time are in as many sittings as it has copies at the most."""
    names = sorted({c.material_set for c in columns} & week.with_set.keys())
    for name in names:
        grid = week.case.policy.start_every_minutes
        minutes = sum(
            from_grid(w, grid).length for stretches in week.with_set[name].values() for w in stretches
        )
        most = week.case.material_sets[name].copies * minutes
        yield Capacity(
            whose=Whose.MATERIAL_SET,
            names=(name,),
            week=week.index,
            most=most,
            meetings=tuple(i for i, _ in meetings),
            minute=1,
            material_set=name,
        )
