"""Why something that was owed is not in the plan: one true reason for each, found from the data.

For every way in which it could be run (a probe more in a planned sitting, or a sitting of its own at any start) the
limits in the way are collected. A limit that stands in every way is a true reason: without it gone nothing helps. The
strongest such limit is told; where different ways are blocked by different limits, that is told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil
from types import MappingProxyType

from genplan.case import Case, Combination, Target
from genplan.case.wishes_of_planners import Rather
from genplan.coverage.held_out import held_by_some
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.evidence.standing import Standing, Status, was_taught
from genplan.plan import COVERAGE, LeftOut, Objective, ProbeKind, StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.caseload_problem import Caseload
from genplan.planning.exemplars import can_be_answered, exemplars
from genplan.planning.figures import is_held
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.limits_in_the_way import Blocks, reason_for
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.openings import Hours
from genplan.planning.reasons_of_dates import DatedWays, reason_of_dated, with_these_alone
from genplan.planning.search_settings import SETTINGS
from genplan.planning.told_anew import ToldAnew
from genplan.rules.limits import LESS_URGENT, Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Owed:
    """What some targets are owed beside all sittings of the week.

    - `case`: as it is in the week
    - `free`: everybody's hours before anything was planned
    - `needs`: of these targets
    - `seats`: all sittings of the week
    - `begun`: those of them that have begun; the needs have counted what was taught in them
    - `clear`: what is told where nothing stands in some way
    - `told_anew`: where the fewest people are told, who is
    - `rather`: what somebody would rather have
    - `dated`: of all targets of the week, the tuples that have their last chance in it"""

    case: Case
    free: Hours
    needs: tuple[TargetNeed, ...]
    seats: tuple[PlacedSitting, ...]
    begun: tuple[PlacedSitting, ...] = ()
    clear: Limit = LESS_URGENT
    told_anew: ToldAnew | None = None
    rather: tuple[Rather, ...] = ()
    dated: frozenset[tuple[str, Tuple]] = frozenset()

    @property
    def before_new(self) -> tuple[PlacedSitting, ...]:
        """The seats without what gives way to something due."""
        return self.only_with(lambda _, probe: ProbeKind(probe.kind).is_due)

    def ways_before_dated(self) -> DatedWays | None:
        """Those beside the seats without what gives way to a tuple at its last chance; None where no tuple has it."""
        if not self.dated:
            return None

        def stays(_: PlacedSitting, probe: PlacedProbe) -> bool:
            shown = tuples_of(self.case.targets[probe.target], probe.combination) if probe.is_test else ()
            return ProbeKind(probe.kind).is_due or any((probe.target, t) in self.dated for t in shown)

        return DatedWays(InsertionFinder(self.case, self.free, self.only_with(stays)), self.fixed)

    def only_with(self, stays: Callable[[PlacedSitting, PlacedProbe], bool]) -> tuple[PlacedSitting, ...]:
        """The seats with these probes alone, but as they are where somebody wished or decided them, or they have
        begun."""
        return with_these_alone(self.case, self.seats, stays, self.fixed)

    @cached_property
    def fixed(self) -> frozenset[PlacedSitting]:
        """The sittings that stay as they are."""
        wished = (s for s in self.seats if any(is_held(r, [s]) for r in self.rather))
        return frozenset((*self.begun, *wished))

    @property
    def ahead(self) -> tuple[PlacedSitting, ...]:
        return tuple(s for s in self.seats if s not in self.begun)

    def in_parts(self) -> Iterator[Owed]:
        at_once = max(SETTINGS.needs_at_once, ceil(len(self.needs) / SETTINGS.reasons_jobs))
        for start in range(0, len(self.needs), at_once):
            yield replace(self, needs=self.needs[start : start + at_once])


def dated_of(needs: Iterable[TargetNeed]) -> frozenset[tuple[str, Tuple]]:
    return frozenset((n.id, t) for n in needs for t in n.dated)


AnswerKey = tuple[str, ProbeKind, Tuple]
Answers = Mapping[AnswerKey, LeftOut]
"""What was found by planning again."""


def answer_key(item: LeftOut) -> AnswerKey:
    return item.target, item.kind, item.values


def left_out(
    owed: Owed, budget: Budget = ENDLESS, answers: Answers = MappingProxyType({})
) -> tuple[LeftOut, ...]:
    """Everything owed that the seats do not hold, by target, each with its reason: that of `answers` where it is
    there; once the budget is over, with the word that none was looked for."""
    seats = owed.seats
    ways = InsertionFinder(owed.case, owed.free, seats)
    before_new = InsertionFinder(owed.case, owed.free, owed.before_new)
    before_dated = owed.ways_before_dated()
    found, tested = list[LeftOut](), defaultdict[str, set[Combination]](set)
    for probe in (p for s in seats for p in s.probes if p.is_test):
        tested[probe.target].add(probe.combination)
    for need in owed.needs:
        planned = tested[need.id]
        found += _maintenance(owed, before_new, need, budget)
        found += _retests(owed, before_new, need, planned, budget)
        found += _waiting(owed, need) if need.is_probed else ()
        found += teachings_left_out(ways, need, owed.ahead, owed.clear, budget, owed.told_anew)
        found += _baseline(owed, ways, need, budget)
        found += tuples_left_out(
            ways, need, planned, owed.clear, budget, owed.told_anew, before_dated=before_dated
        )
    return tuple(answers.get(answer_key(item), item) for item in found)


def _maintenance(owed: Owed, ways: InsertionFinder, need: TargetNeed, budget: Budget) -> Iterator[LeftOut]:
    if need.maintenance is None or need.beside(owed.seats).maintenance is None:
        return
    choices = need.of_kind(ProbeKind.MAINTENANCE)
    limit = (
        _reason(ways, need.target, choices, {}, owed.clear, budget, None)
        if choices
        else nothing_to_repeat(need)
    )
    yield replace(_left_out(need, ProbeKind.MAINTENANCE, limit), due=need.maintenance.due)


def nothing_to_repeat(need: TargetNeed) -> Limit:
    """Why no combination can be repeated for a maintenance probe: nothing was ever met or taught; what was is not met
    any more; or what is met cannot be run, or was only taught."""
    known = need.tally.standings.items()
    gone = [
        s
        for c, s in known
        if s.lost_on or (was_taught(need.target, c) and s.tested and s.status is not Status.MET)
    ]
    if gone:
        days = [s.lost_on or s.last_date for s in gone if s.lost_on or not s.retest_due]
        return Limit(Kind.NO_LONGER_MET, on=max((d for d in days if d), default=None))
    taught = need.target.wholly_taught
    if taught and taught.isdisjoint(need.tally.possible_combinations):
        return Limit(Kind.TAUGHT_NOT_POSSIBLE)
    if need.target.taught or any(s.status in (Status.MET, Status.TAUGHT) for _, s in known):
        return Limit(Kind.NOTHING_IS_MET)
    return Limit(Kind.NOTHING_TO_REPEAT)


def _retests(
    owed: Owed, ways: InsertionFinder, need: TargetNeed, planned: set[tuple[str, ...]], budget: Budget
) -> Iterator[LeftOut]:
    for choice in need.of_kind(ProbeKind.RETEST):
        if choice.combination not in planned:
            limit = _reason(ways, need.target, (choice,), {}, owed.clear, budget, None)
            yield _retest(need, choice.combination, limit)


def _waiting(owed: Owed, need: TargetNeed) -> Iterator[LeftOut]:
    """What may not be probed again this week, whatever is planned: it has to be taught, or the days after that to
    pass."""
    taught = _taught_in(owed.ahead, need)
    taught |= _taught_in(owed.begun, need) - {c for due in need.teachings for c in due.combinations}
    due = [c for one in need.teachings for c in one.combinations]
    beyond = (
        exemplars(owed.case, need.target, need.tally, due).beyond if owed.case.policy.plan_teaching else ()
    )
    for combination in need.tally.possible_combinations:
        standing = need.tally.standing(combination)
        if standing.waits_for_teaching:
            kind = Kind.TEACHING
            if combination in taught:
                kind = Kind.TEACHING_PLANNED
            elif combination in beyond:
                others = (c for c in need.tally.possible_combinations if not need.target.is_held_out(c))
                alone = not held_by_some(need.target, standing.suspects, others)
                kind = (
                    Kind.HELD_OUT if alone and need.target.is_held_out(combination) else Kind.NOBODY_TEACHES
                )
            elif (
                some := can_be_answered(owed.case, need.target, need.tally, combination)
            ) and some == held_by_some(need.target, some, taught):
                kind = Kind.TAUGHT_ELSEWHERE
            limit = Limit(kind, on=standing.last_date)
            if kind is Kind.TEACHING:
                limit = waits_for_teaching(need.target, standing)
            yield _retest(need, combination, limit)
    for choice, why in need.held_back:
        if choice.kind is ProbeKind.RETEST:
            yield _retest(need, choice.combination, why)


def waits_for_teaching(target: Target, standing: Standing) -> Limit:
    """Of what was taught, but not often enough or not well enough, it is not said that it was not."""
    limit = Limit(Kind.TEACHING, on=standing.last_date, figure=standing.teachings)
    short, mark = standing.uncounted, target.taught_when
    if short is None or mark is None:
        return limit
    counts = (short.correct, short.trials, mark.correct, mark.trials)
    return replace(limit, uncounted=short.on, counts=counts)


def _taught_in(seats: Iterable[PlacedSitting], need: TargetNeed) -> set[Combination]:
    return {p.combination for s in seats for p in s.probes if p.target == need.id and not p.is_probe}


def teachings_left_out(
    ways: InsertionFinder,
    need: TargetNeed,
    ahead: Iterable[PlacedSitting],
    clear: Limit = LESS_URGENT,
    budget: Budget = ENDLESS,
    told_anew: ToldAnew | None = None,
) -> Iterator[LeftOut]:
    """What a target is owed in teaching that is not in the sittings ahead, each with its reason."""
    for due in need.beside(ahead).teachings if need.teachings else ():
        choices = [c for c in need.of_kind(ProbeKind.TEACHING) if c.combination in due.combinations]
        limit = _reason(ways, need.target, choices, {}, clear, budget, told_anew)
        alone = due.combinations[0] if due.unlocks else ()
        values = tuple(zip(need.target.dimension_names, alone, strict=False))
        item = _left_out(need, ProbeKind.TEACHING, limit, values)
        yield replace(item, teachings=due.times, instead_of=need.instead_of(alone))


def _baseline(owed: Owed, ways: InsertionFinder, need: TargetNeed, budget: Budget) -> Iterator[LeftOut]:
    """Probes of what nobody has taught that are owed and not planned."""
    if not need.baseline.times:
        return
    left = need.beside(owed.ahead)
    if left.baseline.times:
        limit = _reason(
            ways, need.target, left.of_kind(ProbeKind.BASELINE), {}, owed.clear, budget, owed.told_anew
        )
        yield replace(_left_out(need, ProbeKind.BASELINE, limit), teachings=left.baseline.times)


def tuples_left_out(
    ways: InsertionFinder,
    need: TargetNeed,
    planned: Collection[Combination],
    clear: Limit = LESS_URGENT,
    budget: Budget = ENDLESS,
    told_anew: ToldAnew | None = None,
    before_dated: DatedWays | None = None,
) -> Iterator[LeftOut]:
    """The open tuples of a target that the planned combinations do not show, each with its reason; of one at its last
    chance that is looked for beside what ranks as high alone (`before_dated`)."""
    shown = {t for c in planned for t in tuples_of(need.target, c)}
    showing: dict[Tuple, list[Choice]] = defaultdict(list)
    for choice in need.of_kind(ProbeKind.NEW):
        for tuple_ in choice.shows:
            showing[tuple_].append(choice)
    blocks: Blocks = {}
    waits = {t: why for choice, why in reversed(need.held_back) for t in choice.shows}
    for tuple_ in sorted(need.open - shown):
        limit = waits[tuple_] if tuple_ in waits and not showing[tuple_] else None
        if limit is None and before_dated is not None and tuple_ in need.dated and not budget.is_over:
            limit = reason_of_dated(before_dated, need, tuple_, showing[tuple_])
        if limit is None:
            limit = _reason(ways, need.target, showing[tuple_], blocks, clear, budget, told_anew)
        yield replace(_left_out(need, ProbeKind.NEW, limit, tuple_), tuples=1)


def _reason(
    ways: InsertionFinder,
    target: Target,
    choices: Sequence[Choice],
    blocks: Blocks,
    clear: Limit,
    budget: Budget,
    told_anew: ToldAnew | None,
) -> Limit:
    if budget.is_over:
        return Limit(Kind.NO_TIME)
    limit = reason_for(ways, target, choices, blocks)
    if limit != LESS_URGENT:
        return limit
    if told_anew is None or any(leaves_alone(ways, told_anew, *w) for c in choices for w in ways.clear(c)):
        return clear
    return Limit(Kind.TOLD_ANEW)


def leaves_alone(
    ways: InsertionFinder, told_anew: ToldAnew, old: PlacedSitting | None, new: PlacedSitting
) -> bool:
    """Whether nobody more has to be told, whoever has to sit beside among them."""
    if not told_anew.is_left_alone(old, new):
        return False
    beside = ways.second_adults(new, old)
    return beside is None or any(told_anew.is_left_alone(old, replace(new, beside=a)) for a in beside)


def if_nothing_stands(
    objectives: Sequence[Objective], load: Caseload, repeatable: bool, shortest_way: bool
) -> Limit:
    """What is told of a probe that could be added to the plan as it is. Where the search was ended it was not looked
    at; where more cannot be shown, what people were told of counts more."""
    if shortest_way:
        return Limit(Kind.SHORTEST_WAY)
    upto = [o for o in objectives if o.name in COVERAGE]
    if all(o.status is StageStatus.OPTIMAL for o in upto):
        return Limit(Kind.AS_TOLD) if load.told or load.fewest_told else LESS_URGENT
    return Limit(Kind.SEARCH_ENDED if repeatable else Kind.SEARCH_STOPPED)


def _retest(need: TargetNeed, combination: Combination, limit: Limit) -> LeftOut:
    values = tuple(zip(need.target.dimension_names, combination, strict=True))
    return _left_out(need, ProbeKind.RETEST, limit, values)


def _left_out(need: TargetNeed, kind: ProbeKind, limit: Limit, values: Tuple = ()) -> LeftOut:
    return LeftOut(learner=need.target.learner, target=need.id, kind=kind, values=values, limit=limit)
