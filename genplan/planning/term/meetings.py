"""Who can meet where on which days of one week of a term, and which combinations there are hours for in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from genplan.case import Case, Combination, Week
from genplan.case.dated_facts import missing_in
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.windows import Window, Windows, merge
from genplan.planning.openings import Opening, openings_of, starts_beside, starts_in
from genplan.planning.term.problem import Meeting, Wanted
from genplan.planning.term.wanted import Span, TermFacts, spans_of

Trio = tuple[str, str, str]
"""Learner, adult and location."""
Numbered = Sequence[tuple[int, Meeting]]


@dataclass(kw_only=True)
class DayOf:
    """One day of a trio: the minutes at which a sitting with one probe alone can begin, and the openings that hold
    one."""

    starts: set[int] = field(default_factory=set)
    openings: list[Window] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class WeekOfTerm:
    """One week of a term.

    - `index`, `case`: its number, and the case as it is in it
    - `days`: trio -> day -> when sittings of theirs can begin
    - `hours_for`: target and combination -> its days
    - `lengths`: learner -> the minutes that a sitting of it can take, by which of its targets it holds
    - `with_set`: set -> day -> the openings in which it can be used
    - `spans`: learner -> the stretches of the week"""

    index: int
    case: Case
    days: Mapping[Trio, Mapping[int, DayOf]]
    hours_for: Mapping[tuple[str, Combination], frozenset[int]]
    lengths: Mapping[str, frozenset[int]]
    with_set: Mapping[str, Mapping[int, Windows]]
    spans: Mapping[str, tuple[Span, ...]]

    def shortest(self, learner: str) -> int:
        """The fewest minutes that a sitting of it with one probe takes."""
        return min(self.lengths[learner])

    def meetings(self) -> Iterator[Meeting]:
        for (learner, adult, location), days in sorted(self.days.items()):
            limits = self.case.learners[learner].limits
            for first, last in self.spans[learner]:
                grid = self.case.policy.start_every_minutes
                openings = [
                    from_grid(o, grid)
                    for day, found in days.items()
                    if first <= day <= last
                    for o in found.openings
                ]
                if openings:
                    longest = min(
                        max(o.length for o in openings),
                        limits.sitting_minutes or max(o.length for o in openings),
                    )
                    yield Meeting(
                        learner=learner,
                        adult=adult,
                        location=location,
                        week=self.index,
                        first=first,
                        last=last,
                        probes=limits.probes_per_sitting or len(self.case.targets),
                        minutes=longest - self.case.policy.settle_minutes,
                    )


def from_grid(stretch: Window, grid: int) -> Window:
    """The part of it in which sittings can be: nothing begins before its first minute on the grid."""
    return Window(starts_in(stretch, 0, grid).start, stretch.end)


def _lengths(settle: int, minutes: Sequence[int]) -> frozenset[int]:
    """What sittings with one probe of some of the targets take, of each target its minutes."""
    found: set[int] = set()
    for some in minutes:
        found |= {some + before for before in found} | {settle + some}
    return frozenset(found)


def by_trio(meetings: Iterable[tuple[int, Meeting]]) -> Mapping[Trio, Numbered]:
    found: dict[Trio, list[tuple[int, Meeting]]] = defaultdict(list)
    for number, m in meetings:
        found[m.learner, m.adult, m.location].append((number, m))
    return found


def week_of_term(
    facts: TermFacts,
    index: int,
    wanted: tuple[Wanted, ...],
    combinations: Mapping[str, Iterable[tuple[Combination, range]]],
) -> WeekOfTerm:
    """`combinations`: target -> those that may serve its dates or answer what is due, each with the weeks in which it
    may."""
    case, days, hours_for = facts.case_in(index), _days(), defaultdict[tuple[str, Combination], set[int]](set)
    free, seats = facts.hours_in(index, case), facts.seats_in(index)
    with_set: dict[str, dict[int, list[Window]]] = defaultdict(lambda: defaultdict(list))
    learners = sorted({case.targets[t].learner for t in combinations})
    for learner in learners:
        targets = [t for t in sorted(combinations) if case.targets[t].learner == learner]
        starting = Starts(case, facts.weeks[index], openings_of(case, free, learner, seats))
        for target, (combination, weeks) in ((t, c) for t in targets for c in combinations[t]):
            if index not in weeks:
                continue
            for opening, starts in starting.of(target, combination):
                hours_for[target, combination].add(opening.day)
                day = days[learner, opening.adult, opening.location][opening.day]
                day.starts.update(starts)
                day.openings.append(Window(opening.start, opening.end))
                with_set[combination[2]][opening.day].append(Window(opening.start, opening.end))
    settle = case.policy.settle_minutes
    return WeekOfTerm(
        index=index,
        case=case,
        days=days,
        hours_for={key: frozenset(on) for key, on in hours_for.items()},
        lengths={
            i: _lengths(
                settle, [case.targets[t].minutes for t in combinations if case.targets[t].learner == i]
            )
            for i in learners
        },
        with_set={m: {day: merge(o) for day, o in on.items()} for m, on in with_set.items()},
        spans={i: spans_of(wanted, i, index) for i in learners},
    )


def _days() -> dict[Trio, dict[int, DayOf]]:
    return defaultdict(lambda: defaultdict(DayOf))


class Starts:
    """When sittings with one probe alone can begin in the openings of a learner. Many combinations ask the same."""

    def __init__(self, case: Case, week: Week, openings: Iterable[Opening]) -> None:
        self.case, self.week = case, week
        self.openings: dict[tuple[str, str], list[Opening]] = defaultdict(list)
        for opening in openings:
            self.openings[opening.adult, opening.location].append(opening)
        self.known: dict[tuple[str, str, str, int], list[tuple[Opening, list[int]]]] = {}

    def of(self, target: str, combination: Combination) -> list[tuple[Opening, list[int]]]:
        skill = self.case.targets[target]
        adult, location, name = (skill.value(combination, d) for d in (ADULT, LOCATION, MATERIAL_SET))
        minutes = self.case.policy.settle_minutes + skill.minutes
        if minutes > (self.case.learners[skill.learner].limits.sitting_minutes or minutes):
            return []
        key = (adult, location, name, minutes)
        if key not in self.known:
            gone, grid = (
                missing_in(self.case.material_sets[name], self.week),
                self.case.policy.start_every_minutes,
            )
            here = (
                (o, starts_beside(gone, starts_in(o, minutes, grid), minutes)) for o in self.openings[key[:2]]
            )
            self.known[key] = [(o, starts) for o, starts in here if starts]
        return self.known[key]
