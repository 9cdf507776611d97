"""What holds a target up most, found from the weeks of the line.

What comes last decides how long it takes: the tuples shown in the last week, or never, or a combination that waits for
its retest. For each week in which that could not be run yet, every way of running it is looked at, with what stands in
it (`planning.insertion_finder`). A thing that stands alone in some way is one whose absence would have been enough;
where no way has so little in it, the strongest thing that stands in all of them counts. The thing that so stood in the
way in most weeks is told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

from genplan.case import Case, Combination, Target, Week
from genplan.case.second_adults import can_be_taught
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.coverage.briefing import briefed
from genplan.coverage.criterion import Criterion, CriterionPart, criterion_from, criterion_of
from genplan.coverage.tally import fewest_at_least, tally
from genplan.coverage.tuples import Tuple
from genplan.forecast.baseline import Baseline, BaselineWeek
from genplan.forecast.values import BottleneckKind, HeldUp, Values
from genplan.plan import ProbeKind
from genplan.planning.exemplars import exemplars
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.limits_in_the_way import enough_to_be_gone, least_in_the_way, reason_for
from genplan.planning.needs import Choice, TargetNeed, need_of
from genplan.planning.reasons_of_dates import DatedWays
from genplan.rules.limits import LESS_URGENT, Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting

Item = Tuple | Choice
"""What is still to be run: a tuple by any probe that shows it, or one retest."""

TEACHING = Limit(Kind.TEACHING)
NOBODY_TEACHES = Limit(Kind.NOBODY_TEACHES)
_HOLDERS = {
    "adult": BottleneckKind.ADULT,
    "learner": BottleneckKind.LEARNER,
    "location": BottleneckKind.PLACE,
    "material_set": BottleneckKind.MATERIAL_SET,
    "target": BottleneckKind.PROBES_OF_A_SKILL,
}
"""Whom or what a limit is of -> what holds up."""
_NEW_WAIT = (Kind.LAPSED, Kind.BREAKS)
_OTHERS_FIRST = (Kind.ADULT_TIME, Kind.LESS_URGENT)


@dataclass(frozen=True)
class BottleneckAnalysis:
    """Asks of one target what holds it up. `case` is that of all weeks. `dated`: the line holds but what ranks as high
    as a date, and what of it could as well stand on another day holds nothing up."""

    case: Case
    line: Baseline
    target: Target
    dated: bool = False

    @cached_property
    def coverage_held_up(self) -> HeldUp:
        """The one thing that holds up the coverage."""
        return self.items_held_up(self._last_tuples(self.covered_in), self._end(self.covered_in))

    def criterion_held_up(self, some_never: bool = False) -> HeldUp | None:
        """The one thing that holds up the criterion; None where there is none. `some_never`: some courses never meet
        it, though the line does; where nobody may teach, that is since what is not met stays so."""
        if some_never and self._nobody_teaches:
            return HeldUp(by=BottleneckKind.NOBODY_TEACHES, waiting=self._beyond)
        start = criterion_of(self.line.before[self.target.id])
        if start.is_out_of_reach:
            return self._out_of_reach(start)
        if young := self._too_young_for():
            return HeldUp(by=BottleneckKind.TOO_YOUNG, asked=young)
        if not start.is_set:
            return None
        reached = self.generalised_in
        if _later(reached, self.covered_in):
            retests = self._retests()
            if retests:
                return self.items_held_up(retests, self._end(reached))
            criterion = self._criterion_at_the_end()
            return self._never_together(criterion) or self._not_planned(criterion)
        return self.items_held_up(self._last_of_criterion(reached), self._end(reached))

    def items_held_up(self, items: Sequence[Item], end: int) -> HeldUp:
        """What stood in the way of the items in the weeks before the one of index `end`."""
        return self._held_up(lambda n: (limit for item in items for limit in self._in_the_way(n, item)), end)

    def _held_up(self, in_the_way_in: Callable[[int], Iterable[Limit]], end: int) -> HeldUp:
        """The same of what stood in the way in the week of each index."""
        held: dict[tuple[Kind, str], dict[Limit, list[tuple[Week, Limit]]]] = defaultdict(
            lambda: defaultdict(list)
        )
        for index in range(end):
            found = {(limit.kind, limit.subject): limit for limit in in_the_way_in(index)}
            for about, limit in found.items():
                held[about][_of_any_week(limit)].append((self.line.weeks[index].week, limit))
        if not held:
            return HeldUp(by=BottleneckKind.NOTHING)
        # of limits of one kind and subject the one of most weeks is told, of equals the latest, and of its own weeks:
        # hours that do not meet may be those of others in other weeks
        limits = min(
            held.values(), key=lambda found: (-sum(map(len, found.values())), next(iter(found)).order)
        )
        often, in_the_way = max(reversed(limits.items()), key=lambda found: len(found[1]))
        said = often if len(in_the_way) > 1 else in_the_way[0][1]
        return replace(self._told(said, len(in_the_way), end), held_in=tuple(week for week, _ in in_the_way))

    @cached_property
    def covered_in(self) -> int | None:
        """Index of the week in which nothing is open any more of what was possible at first; -1: before them."""
        at_first = self.line.before[self.target.id].open
        if not at_first:
            return -1
        left = (at_first & w.after[self.target.id].open for w in self.line.weeks)
        return next((i for i, still_open in enumerate(left) if not still_open), None)

    @cached_property
    def generalised_in(self) -> int | None:
        if criterion_of(self.line.before[self.target.id]).is_met:
            return -1
        counts = (criterion_of(w.after[self.target.id]) for w in self.line.weeks)
        return next((i for i, c in enumerate(counts) if c.is_met), None)

    @cached_property
    def _nobody_teaches(self) -> bool:
        """Whether teaching is planned, and nothing that is not held out may be taught by anybody."""
        possible = self.line.before[self.target.id].possible_combinations
        wanted = [c for c in possible if not self.target.is_held_out(c)]
        planned = self.case.policy.plan_teaching and bool(wanted)
        return planned and not any(can_be_taught(self.case, self.target, c) for c in wanted)

    @cached_property
    def _beyond(self) -> tuple[Combination, ...]:
        """What was not met and nobody may teach."""
        if not self.case.policy.plan_teaching:
            return ()
        return exemplars(self.case, self.target, self.line.before[self.target.id]).beyond

    def _criterion_at_the_end(self) -> Criterion:
        return criterion_of(self.line.weeks[-1].after[self.target.id])

    def _end(self, reached: int | None) -> int:
        return len(self.line.weeks) if reached is None else max(reached, 0)

    def _last_tuples(self, reached: int | None) -> tuple[Tuple, ...]:
        """What is open at the end, or was until the last week."""
        if reached is not None and reached < 1:
            return ()
        week = self.line.weeks[-1 if reached is None else reached - 1]
        return tuple(sorted(self.line.before[self.target.id].open & week.after[self.target.id].open))

    def _last_of_criterion(self, reached: int | None) -> tuple[Item, ...]:
        """What is open until the week that meets it, or at the end, and has a value that it still lacks there; where
        no such thing is, what it waits for is a retest."""
        still_open = self._last_tuples(reached)
        if not still_open:
            return ()
        criterion = criterion_of(
            self.line.weeks[-1 if reached is None else reached - 1].after[self.target.id]
        )
        met = {p.dimension: p.met for p in criterion.parts if p.missing}
        asked = {value for one in criterion.not_met for value in one.values}
        lacking = tuple(t for t in still_open if any(v in asked or v[1] not in met.get(v[0], v) for v in t))
        shown = frozenset() if reached is None else self.line.weeks[reached].after[self.target.id].open
        return tuple(t for t in lacking if t not in shown) or lacking or self._retests()

    def _retests(self) -> tuple[Item, ...]:
        count = self.line.before[self.target.id]
        owed = (c for c in count.possible_combinations if count.standing(c).comes_again)
        return tuple(Choice(self.target.id, c, ProbeKind.RETEST) for c in owed)

    @cached_property
    def _finders(self) -> tuple[InsertionFinder, ...]:
        """Of each week what stands in the way beside its plan."""
        return tuple(InsertionFinder(w.case, w.free, w.seats) for w in self.line.weeks)

    def _in_the_way(self, index: int, item: Item) -> Iterator[Limit]:
        """What would have been enough to be gone for the item to be run in the week."""
        week = self.line.weeks[index]
        choices = self._choices(index, item)
        if isinstance(item, Choice):
            if self._is_seated(item, index + 1):
                return
            if self._need(index).tally.standing(item.combination).waits_for_teaching and not choices:
                yield NOBODY_TEACHES if item.combination in self._beyond else TEACHING
                return
        if not choices:
            yield from self._waits(index, item)
            return
        ways = self._finders[index]
        blocked = [limits for choice in choices for limits in ways.of(choice)]
        if not blocked and (days := self._days_not_used(week, choices)):
            yield Limit(Kind.DAYS, days=days)
            return
        if blocked and self.dated:
            yield from self._beside_what_ranks_as_high(index, choices)
            return
        alone = {next(iter(limits)) for limits in blocked if len(limits) == 1}
        if alone and all(blocked):
            yield from sorted(alone, key=lambda limit: limit.order)
        else:
            yield reason_for(ways, self.target, choices)

    def _beside_what_ranks_as_high(self, index: int, choices: Sequence[Choice]) -> Iterator[Limit]:
        week = self.line.weeks[index]
        ways = DatedWays(self._finders[index], frozenset(week.begun)).of(self._need(index))
        least = least_in_the_way(limits for some in ways for c in choices for limits in some.of(c))
        if frozenset() in least:
            yield LESS_URGENT
            return
        alone = {next(iter(limits)) for limits in least if len(limits) == 1}
        yield from sorted(alone, key=lambda limit: limit.order) or (enough_to_be_gone(least),)

    def _waits(self, index: int, item: Item) -> Iterator[Limit]:
        """What the new probes wait for that would show the item, where all that would show it wait."""
        if not isinstance(item, Choice):
            held = {why for c, why in self._need(index).held_back if item in c.shows}
            yield from sorted((why for why in held if why.kind in _NEW_WAIT), key=lambda limit: limit.order)

    def _days_not_used(self, week: BaselineWeek, choices: Sequence[Choice]) -> tuple[int, ...]:
        """Days that the policy does not use, where the people and the place meet on no others."""
        ways = InsertionFinder(week.case, week.free_on_all_days(self.line.now), week.seats)
        return tuple(sorted({seat.day for c in choices for _, seat, limits in ways.each(c) if not limits}))

    def _is_seated(self, item: Choice, weeks: int) -> bool:
        seated = (p for w in self.line.weeks[:weeks] for s in w.seats for p in s.real_probes)
        return any((p.target, p.combination) == (item.target, item.combination) for p in seated)

    def _choices(self, index: int, item: Item) -> tuple[Choice, ...]:
        """What would have brought the item on: of a retest that waits for teaching, the teaching that is planned in
        another week, or in none."""
        planned = {p.combination for s in self.line.weeks[index].seats for p in self._own(s)}
        left = [c for c in self._need(index).choices if c.combination not in planned]
        if not isinstance(item, Choice):
            return tuple(c for c in left if c.kind is ProbeKind.NEW and item in c.shows)
        kinds = (ProbeKind.RETEST, ProbeKind.TEACHING)
        return tuple(c for c in left if c.kind in kinds and c.combination == item.combination)

    def _own(self, seat: PlacedSitting) -> Iterator[PlacedProbe]:
        return (p for p in seat.probes if p.target == self.target.id)

    @cached_property
    def _need(self) -> Callable[[int], TargetNeed]:
        """What the target is owed in the week of an index."""

        @cache
        def found(index: int) -> TargetNeed:
            week = self.line.weeks[index]
            return need_of(self.case, self.target, week.log, week.week, week.on)

        return found

    def _told(self, limit: Limit, weeks: int, of: int) -> HeldUp:
        found = HeldUp(by=_holder(limit), weeks=weeks, of=of, limit=limit)
        if limit.kind is Kind.TEACHING:
            waiting = tuple(c for i, c in self.line.waiting if i == self.target.id)
            return replace(found, waiting=waiting)
        if limit.kind is Kind.NOBODY_TEACHES:
            return replace(found, waiting=self._beyond)
        if limit.kind is Kind.TARGET_WEEK:
            run, beyond = self._own_probes(of + 1), self._open_after(of)
            return replace(found, needed=run + fewest_at_least(beyond), at_least=bool(beyond))
        if found.by is BottleneckKind.LEARNER and (others := self._probes(of) - self._own_probes(of)):
            return replace(found, by=BottleneckKind.OTHERS_FIRST, others=others, probes=self._probes(of))
        return found

    def _open_after(self, weeks: int) -> frozenset[Tuple]:
        """What is still open at the end of all weeks, if these are all."""
        last = self.line.weeks[-1].after[self.target.id]
        return last.open if weeks >= len(self.line.weeks) else frozenset()

    def _probes(self, weeks: int) -> int:
        """Probes of the learner in so many weeks."""
        own = (s for w in self.line.weeks[:weeks] for s in w.seats if s.learner == self.target.learner)
        return sum(len(s.real_probes) for s in own)

    def _own_probes(self, weeks: int) -> int:
        seated = (p for w in self.line.weeks[:weeks] for s in w.seats for p in s.real_probes)
        return sum(p.target == self.target.id for p in seated)

    def _never_together(self, criterion: Criterion) -> HeldUp | None:
        """Why what the criterion lacks could not be run in any of the weeks, not even beside the plan; None where it
        could, or where it asks for values by name alone."""
        never = next(filter(None, map(self._never_run, criterion.parts)), ())
        if not never:
            return None
        return self._held_up(
            lambda index: [reason_for(self._finders[index], self.target, never)], len(self.line.weeks)
        )

    def _never_run(self, part: CriterionPart) -> tuple[Choice, ...]:
        """Probes of the values that the part lacks and that no week has a way for, if the others are too few."""
        at = self.target.dimension_names.index(part.dimension)
        possible = self.line.before[self.target.id].possible_combinations
        lacking = [Choice(self.target.id, c, ProbeKind.NEW) for c in possible if c[at] not in part.met]
        reached = {
            c.combination[at] for c in lacking if any(any(True for _ in f.of(c)) for f in self._finders)
        }
        if len(reached) >= part.missing:
            return ()
        return tuple(c for c in lacking if c.combination[at] not in reached)

    def _not_planned(self, criterion: Criterion) -> HeldUp:
        lacking = tuple(Values(p.missing, p.dimension) for p in criterion.parts if p.missing)
        asked = tuple(a.values for a in criterion.not_met)
        return HeldUp(by=BottleneckKind.NOT_PLANNED, lacking=lacking, asked=asked)

    def _too_young_for(self) -> tuple[tuple[tuple[str, str], ...], ...]:
        """The sets that the child is too young for yet, if the criterion cannot be met without any."""
        count = self.line.before[self.target.id]
        now = criterion_from(self.target, count.standings, count.possible_combinations)
        if not now.is_out_of_reach:
            return ()
        sets = dict.fromkeys(self.target.value(c, MATERIAL_SET) for c in count.once_older)
        allowed = {self.target.value(c, MATERIAL_SET) for c in count.possible_combinations}
        return tuple(((MATERIAL_SET, name),) for name in sets if name not in allowed)

    def _out_of_reach(self, criterion: Criterion) -> HeldUp:
        parts, asked = criterion.out_of_reach[:1], tuple(a.values for a in criterion.asked_out_of_reach)
        wanted = tuple(Values(p.wanted, p.dimension) for p in parts)
        case, briefings = self.case, list[str]()
        for adult in self.target.values_of(ADULT):
            if case.adults[adult].is_briefed_on(self.target.id):
                continue
            case, briefings = briefed(case, adult, self.target.id), [*briefings, adult]
            on = self.line.now.date()
            if not criterion_of(tally(case, self.target, self.line.weeks[0].log, on)).is_out_of_reach:
                return HeldUp(
                    by=BottleneckKind.BRIEFING, lacking=wanted, asked=asked, adults=tuple(briefings)
                )
        in_reach = sum(p.in_reach for p in parts)
        return HeldUp(by=BottleneckKind.OUT_OF_REACH, lacking=wanted, asked=asked, in_reach=in_reach)


def _of_any_week(limit: Limit) -> Limit:
    """The same whether its week has begun or not."""
    return replace(limit, begun=False, parts=tuple(map(_of_any_week, limit.parts)))


def _later(one: int | None, other: int | None) -> bool:
    """Whether the first week is after the second; None is after all."""
    return other is not None and (one is None or one > other)


def _holder(limit: Limit) -> BottleneckKind:
    if limit.kind is Kind.TEACHING:
        return BottleneckKind.TEACHING
    if limit.kind is Kind.NOBODY_TEACHES:
        return BottleneckKind.NOBODY_TEACHES
    if limit.kind in _NEW_WAIT:
        return BottleneckKind.NEW_WAIT
    return (
        BottleneckKind.OTHERS_FIRST
        if limit.kind in _OTHERS_FIRST
        else _HOLDERS.get(limit.kind.of, BottleneckKind.HOURS)
    )
