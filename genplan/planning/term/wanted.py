"""What the dates of a term ask for, and in which of its weeks who could meet for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from genplan.case import Case, Combination, TargetState, Week
from genplan.case.dated_facts import in_week
from genplan.case.possible import kept_from, obstacle, possible_combinations
from genplan.case.targets import MATERIAL_SET
from genplan.coverage.tuples import Tuple, tuples_of
from genplan.coverage.wishes_not_possible import WishNotPossible, wishes_not_possible
from genplan.evidence.standing import standings
from genplan.plan import ProbeKind
from genplan.plan.term import TriedDate
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import Busy, Hours, hours
from genplan.planning.term.problem import Wanted
from genplan.planning.week_context import WeekContext
from genplan.rules.placed_sittings import PlacedSitting

ToldProbe = tuple[str, Combination, int]
Span = tuple[int, int]
"""The first and the last day of a stretch of a week, both in it."""


@dataclass(frozen=True, kw_only=True)
class TermFacts:
    """What a term is planned from.

    - `case`: that of all weeks
    - `ground`: the facts of its first week
    - `weeks`: in a row
    - `busy`: adult -> busy times read from calendars, over all of the weeks
    - `told`: the number of a week that people were told of, and that stays as it is -> its probes that are ahead, as
      target, combination and day"""

    case: Case
    ground: WeekContext
    weeks: tuple[Week, ...]
    busy: Busy
    told: Mapping[int, frozenset[ToldProbe]] = field(default_factory=dict)

    def days_told(
        self, week: int, target: str, combination: Combination, named: int | None = None
    ) -> set[int]:
        """The days of a week on which a probe may be: all, but in a week that stays as it is those on which it is. As
        many values of the combination count as are `named`."""
        if week not in self.told:
            return set(range(7))
        wanted = (target, combination[:named])
        return {day for t, c, day in self.told[week] if (t, c[:named]) == wanted}

    def case_in(self, index: int) -> Case:
        return in_week(self.case, self.weeks[index])

    def hours_in(self, index: int, case: Case) -> Hours:
        """Everybody's hours; the case is as it is in that week. Who is new to a child in the first week may be known to
        it in a later one: there nobody is taken to need a companion."""
        if index == 0:
            return self.ground.free
        return hours(case, self.weeks[index], self.ground.now, self.busy)

    def seats_in(self, index: int) -> tuple[PlacedSitting, ...]:
        """What stays as it is."""
        return self.ground.begun_seats if index == 0 else ()


@dataclass(frozen=True, kw_only=True)
class Dates:
    """The dated wishes of a case: those in the term, and, as target and place, those before it and after it; `tried`
    are those in it of which something was not met, `not_possible` those in it of which nothing is possible as
    of today,
    `still_taught` all of skills that are not mastered yet."""

    wanted: tuple[Wanted, ...]
    over: tuple[tuple[str, int], ...]
    later: tuple[tuple[str, int], ...]
    tried: tuple[TriedDate, ...] = ()
    not_possible: tuple[WishNotPossible, ...] = ()
    still_taught: tuple[tuple[str, int], ...] = ()


def dates_of(facts: TermFacts) -> Dates:
    """Those of which something is open. What is to be taught this week may be shown by that, and is not asked for."""
    wanted, over, later = [], [], []
    not_possible = list[WishNotPossible]()
    first = max(facts.ground.now.date(), facts.weeks[0].monday)
    for need in facts.ground.needs:
        taught = {t for c in need.of_kind(ProbeKind.TEACHING) for t in tuples_of(need.target, c.combination)}
        found = {n.place: n for n in wishes_not_possible(facts.case, need.tally, facts.ground.now.date())}
        asked = {need.target.first.index(due.wish): due.tuples - taught for due in need.wishes}
        for place, wish in enumerate(need.target.first if need.is_probed else ()):
            tuples, by = asked.get(place, frozenset()), wish.by
            if by is not None and place in found and first <= by <= facts.weeks[-1].sunday:
                not_possible.append(found[place])
            if by is None or not tuples:
                continue
            if by < first:
                over.append((need.id, place))
            elif by > facts.weeks[-1].sunday:
                later.append((need.id, place))
            else:
                wanted.append(_wanted(facts, need, place, by, tuples))
    wanted.sort(key=lambda w: (w.learner, w.target, w.place))
    return Dates(
        wanted=tuple(wanted),
        over=tuple(sorted(over)),
        later=tuple(sorted(later)),
        tried=tuple(_tried(facts, first)),
        not_possible=tuple(sorted(not_possible, key=lambda n: (n.target, n.place))),
        still_taught=tuple(still_taught(facts.case)),
    )


def still_taught(case: Case) -> Iterator[tuple[str, int]]:
    """Target and place of each date that cannot be counted before the skill is mastered."""
    for id_, target in sorted(case.targets.items()):
        if target.state is TargetState.TEACHING:
            yield from ((id_, place) for place, wish in enumerate(target.first) if wish.by is not None)


def _tried(facts: TermFacts, first: date) -> Iterator[TriedDate]:
    """Dates of which something comes again: nothing asks for it anew, and a term that says nothing of it looks as if
    all were well."""
    for target in sorted(facts.case.mastered, key=lambda t: (t.learner, t.id)):
        found = standings(target, facts.ground.log) if target.first else {}
        for place, wish in enumerate(target.first):
            if wish.by is None or not first <= wish.by <= facts.weeks[-1].sunday:
                continue
            owed = {c: s for c, s in found.items() if s.comes_again and target.matches(c, wish.pattern)}
            monday = facts.weeks[0].monday
            kept = [c for c in owed if kept_from(facts.case, target, target.value(c, MATERIAL_SET), monday)]
            again = [s for c, s in owed.items() if c not in kept]
            if owed:
                yield TriedDate(
                    learner=target.learner,
                    target=target.id,
                    place=place,
                    by=wish.by,
                    to_teach=sum(s.waits_for_teaching for s in again),
                    retests=sum(s.retest_due for s in again),
                    retest_from=min((s.retest_from for s in again if s.retest_from), default=None),
                    held_back=len(kept),
                )


def _wanted(facts: TermFacts, need: TargetNeed, place: int, by: date, tuples: frozenset[Tuple]) -> Wanted:
    days = (by - facts.weeks[0].monday).days
    return Wanted(
        learner=need.target.learner,
        target=need.id,
        place=place,
        week=days // 7,
        day=days % 7,
        tuples=tuples,
    )


def spans_of(wanted: Iterable[Wanted], learner: str, week: int) -> tuple[Span, ...]:
    """A week in stretches, cut after each date of the learner."""
    ends = sorted({w.day for w in wanted if w.learner == learner and w.week == week and w.day < 6} | {6})
    return tuple(zip([0, *(e + 1 for e in ends)], ends, strict=False))


def combinations_from(
    facts: TermFacts, need: TargetNeed, tuples: frozenset[Tuple]
) -> Iterator[tuple[Combination, tuple[Tuple, ...], int]]:
    """What a new probe may hold that shows some of the tuples, with these and the first week in which it may. What
    waits for teaching or a retest may be run in the second at the soonest, what a child is too young for once it is
    not."""
    shown = {c: tuple(t for t in tuples_of(need.target, c) if t in tuples) for c in _ever(facts, need)}
    now = {c.combination for c in need.of_kind(ProbeKind.NEW)}
    waiting = {c.combination for c, _ in need.held_back if c.kind is ProbeKind.NEW}
    for combination, shows in shown.items():
        if not shows or need.tally.standing(combination).tested:
            continue
        if combination in now:
            yield combination, shows, 0
        elif combination in waiting:
            yield combination, shows, 1
        elif (week := _possible_from(facts, need, combination)) is not None:
            yield combination, shows, week


def _ever(facts: TermFacts, need: TargetNeed) -> tuple[Combination, ...]:
    at_the_end = possible_combinations(facts.case, need.target, facts.weeks[-1].sunday)
    return tuple(dict.fromkeys((*need.tally.possible_combinations, *at_the_end)))


def _possible_from(facts: TermFacts, need: TargetNeed, combination: Combination) -> int | None:
    """The first week in which a combination is possible that is not yet."""
    if combination in need.tally.possible_combinations:
        return None
    return next(
        i
        for i, week in enumerate(facts.weeks)
        if not obstacle(facts.case, need.target, combination, week.sunday)
    )


def undominated(
    found: Iterable[tuple[Combination, tuple[Tuple, ...], int]], stay: Collection[Combination] = ()
) -> list[tuple[Combination, tuple[Tuple, ...], int]]:
    """Without those that show nothing which another one with the same adult, place and set does not show as soon: any
    plan can run that other one in its place, or has no use for it. Those that `stay` are in some week that does."""
    alike: dict[tuple[str, ...], list[tuple[Combination, tuple[Tuple, ...], int]]] = defaultdict(list)
    for one in sorted(found, key=lambda f: (-len(f[1]), f[2], f[0])):
        others = alike[one[0][:3]]
        if one[0] in stay or not any(set(one[1]) <= set(o[1]) and o[2] <= one[2] for o in others):
            others.append(one)
    return sorted(one for some in alike.values() for one in some)


def wanted_tuples(wanted: Sequence[Wanted]) -> Mapping[str, frozenset[Tuple]]:
    """Target -> what its dates ask for."""
    found: dict[str, frozenset[Tuple]] = {}
    for w in wanted:
        found[w.target] = found.get(w.target, frozenset()) | w.tuples
    return found


def probes_taken(need: TargetNeed, facts: TermFacts) -> Mapping[int, int]:
    """Day of the first week -> the probes of a target that are run or seated on it already."""
    found: dict[int, int] = defaultdict(int)
    for day in facts.ground.free.recorded.get(need.id, ()):
        found[day] += 1
    for seat in facts.ground.begun_seats:
        found[seat.day] += sum(p.target == need.id for p in seat.real_probes)
    return found
