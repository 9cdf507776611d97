"""What the solver is given to plan a term, as plain values.

Every line of it is a relaxation of the weeks' own rules: what any weeks in a row can hold satisfies it. So what it
bounds is bounded for all of them. Ways between places, second adults, which sets stand where at which minute and what
else a week is asked for are left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import ceil

from genplan.case import Combination
from genplan.coverage.tuples import Tuple
from genplan.plan.term import Whose


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One date: the `tuples` that are to be shown up to the day `day` (0 is Monday) of the week `week`."""

    learner: str
    target: str
    place: int
    week: int
    day: int
    tuples: frozenset[Tuple]

    def is_in_time(self, week: int, last: int) -> bool:
        """Whether a stretch of days that ends so lies before the date, or on it."""
        return (week, last) <= (self.week, self.day)


@dataclass(frozen=True, order=True, kw_only=True)
class Meeting:
    """A learner with an adult at a location, from the day `first` to the day `last` of a week. Each sitting of theirs
    has so many `probes` and `minutes` of them at the most."""

    learner: str
    adult: str
    location: str
    week: int
    first: int
    last: int
    probes: int
    minutes: int


@dataclass(frozen=True, kw_only=True)
class Column:
    """A combination that a new probe may hold, with the wanted tuples that it shows, and the numbers of the meetings in
    which there are hours for it. Of what is due `check` is the number of the check that it would answer."""

    target: str
    combination: Combination
    material_set: str
    minutes: int
    shows: tuple[Tuple, ...]
    meetings: tuple[int, ...]
    check: int | None = None


@dataclass(frozen=True, kw_only=True)
class Capacity:
    """No more than `most` in these meetings together, where a sitting counts `sitting`, a probe `probe`, and a minute
    of a probe `minute`; of probes only those of the target, or with the set, where one is named."""

    whose: Whose
    names: tuple[str, ...]
    week: int
    most: int
    meetings: tuple[int, ...]
    sitting: int = 0
    probe: int = 0
    minute: int = 0
    target: str = ""
    material_set: str = ""

    @property
    def is_sittings_of_one(self) -> bool:
        """Whether it says no more than how many sittings one meeting has room for, by which `most_sittings` knows."""
        return self.sitting == 1 and not (self.probe or self.minute) and len(self.meetings) == 1

    def counts(self, column: Column) -> bool:
        return self.target in ("", column.target) and self.material_set in ("", column.material_set)

    def of_probe(self, column: Column) -> int:
        """What a probe of a column takes of it."""
        return self.probe + self.minute * column.minutes if self.counts(column) else 0


@dataclass(frozen=True, order=True)
class Place:
    """Where a probe lies in a term: in which week, from which day on, with which adult, place and set."""

    week: int
    first: int
    where: Combination


@dataclass(frozen=True, kw_only=True)
class TermProblem:
    """The dates, the columns that can serve them, where, and what there is room for. `work` is the solver's for each of
    its searches.

    - `checks`: how many checks are due; each has its columns, in the weeks in which it may be run, and one of them is
      run if it has any
    - `most_kept`: no more dates than that are kept, and none of `never`: proven without what is due
    - `dates_alone`: no later aim than how many dates are kept is searched for"""

    weeks: int
    wanted: tuple[Wanted, ...]
    columns: tuple[Column, ...]
    meetings: tuple[Meeting, ...]
    capacities: tuple[Capacity, ...]
    work: float
    checks: int = 0
    places: Mapping[int, Place] = field(default_factory=dict)
    without_due: TermProblem | None = None
    most_kept: int | None = None
    never: frozenset[int] = frozenset()
    dates_alone: bool = False

    @cached_property
    def held_in(self) -> Mapping[int, tuple[int, ...]]:
        """The number of a meeting -> the numbers of the columns that it may hold."""
        return self._by_meeting(c.meetings for c in self.columns)

    @cached_property
    def drawn_on(self) -> Mapping[int, tuple[int, ...]]:
        """The number of a meeting -> the numbers of the capacities that it draws on."""
        return self._by_meeting(c.meetings for c in self.capacities)

    def _by_meeting(self, meetings: Iterable[Iterable[int]]) -> Mapping[int, tuple[int, ...]]:
        found: dict[int, list[int]] = {at: [] for at in range(len(self.meetings))}
        for number, some in enumerate(meetings):
            for at in some:
                found[at].append(number)
        return {at: tuple(numbers) for at, numbers in found.items()}

    @cached_property
    def most_sittings(self) -> Mapping[int, int]:
        """The most sittings of each meeting that are of use: no more than it has room for, nor than it has columns."""
        found = {at: len(numbers) for at, numbers in self.held_in.items()}
        for c in self.capacities:
            if c.is_sittings_of_one:
                found[c.meetings[0]] = min(found[c.meetings[0]], c.most)
        return found

    @cached_property
    def most_probes(self) -> Mapping[int, int]:
        """The most probes that a sitting of each meeting holds: by its limit, and by how many of the shortest fit."""
        return {at: self._most_in_one(at, numbers) for at, numbers in self.held_in.items()}

    def _most_in_one(self, at: int, numbers: Iterable[int]) -> int:
        meeting = self.meetings[at]
        shortest = min((self.columns[n].minutes for n in numbers), default=meeting.minutes)
        return max(1, min(meeting.probes, meeting.minutes // max(1, shortest)))

    def without_slack(self) -> TermProblem:
        """The same without capacities that all columns together cannot use up: most of what is not scarce."""
        return replace(self, capacities=tuple(c for c in self.capacities if self._can_bind(c)))

    def _can_bind(self, capacity: Capacity) -> bool:
        if capacity.is_sittings_of_one:
            return True
        counted = {
            n for at in capacity.meetings for n in self.held_in[at] if capacity.counts(self.columns[n])
        }
        probes = sum(capacity.of_probe(self.columns[n]) for n in counted)
        sittings = min(len(counted), sum(self.most_sittings[at] for at in capacity.meetings))
        return capacity.sitting * sittings + probes > capacity.most

    @cached_property
    def showing(self) -> Mapping[tuple[str, Tuple], tuple[int, ...]]:
        """Target and tuple -> the numbers of the columns that show it."""
        found: dict[tuple[str, Tuple], list[int]] = {}
        for number, column in enumerate(self.columns):
            for tuple_ in column.shows:
                found.setdefault((column.target, tuple_), []).append(number)
        return {key: tuple(numbers) for key, numbers in found.items()}

    def sittings_of(self, probes: Iterable[tuple[int, int]]) -> Mapping[int, int]:
        """The fewest sittings in which each meeting holds its probes, given as numbers of column and meeting."""
        held: dict[int, list[Column]] = {}
        for number, at in probes:
            held.setdefault(at, []).append(self.columns[number])
        return {at: self._fewest(at, columns) for at, columns in sorted(held.items())}

    def _fewest(self, at: int, columns: Sequence[Column]) -> int:
        of_one = max(Counter(c.target for c in columns).values())
        minutes = sum(c.minutes for c in columns)
        return max(
            of_one, ceil(len(columns) / self.most_probes[at]), ceil(minutes / self.meetings[at].minutes)
        )

    def ways(self, wanted: Wanted, tuple_: Tuple) -> tuple[tuple[int, int], ...]:
        """The columns and meetings that show a tuple in time."""
        return tuple(
            (number, at)
            for number in self.showing.get((wanted.target, tuple_), ())
            for at in self.columns[number].meetings
            if wanted.is_in_time(self.meetings[at].week, self.meetings[at].last)
        )

    def place_of(self, way: tuple[int, int]) -> Place:
        m = self.meetings[way[1]]
        return Place(m.week, m.first, self.columns[way[0]].combination[:3])

    def places_in(self, probes: Iterable[tuple[int, int]]) -> dict[int, Place]:
        """The number of a check -> its place among these probes."""
        named = ((self.columns[way[0]].check, self.place_of(way)) for way in probes)
        return {check: place for check, place in named if check is not None}

    def ways_of_check(self, check: int) -> tuple[tuple[int, int], ...]:
        """The columns and meetings that answer a check: its place, then the earliest."""
        found = ((n, at) for n in self.answering[check] for at in self.columns[n].meetings)
        place = self.places.get(check)
        return tuple(sorted(found, key=lambda way: (self.place_of(way) != place, self.place_of(way), way)))

    @cached_property
    def same_without_due(self) -> Mapping[tuple[int, int], tuple[int, int]]:
        """The columns and meetings of dates -> the same in the problem without what is due."""
        if self.without_due is None:
            return {}
        theirs = self.without_due.ways_by_name
        return {way: theirs[name] for name, way in self.ways_by_name.items()}

    @cached_property
    def ways_by_name(self) -> Mapping[tuple[str, Combination, int, int], tuple[int, int]]:
        """Target, combination, week and first day -> column and meeting, of what dates ask for."""
        return {
            (c.target, c.combination, self.meetings[at].week, self.meetings[at].first): (number, at)
            for number, c in enumerate(self.columns)
            if c.check is None
            for at in c.meetings
        }

    @cached_property
    def answering(self) -> Mapping[int, tuple[int, ...]]:
        """The number of a check -> the numbers of its columns."""
        found: dict[int, list[int]] = {check: [] for check in range(self.checks)}
        for number, column in enumerate(self.columns):
            if column.check is not None:
                found[column.check].append(number)
        return {check: tuple(numbers) for check, numbers in found.items()}

    def with_checks_at(self, places: Mapping[int, Place]) -> TermProblem:
        """The same where each check is answered in the week of its place; without those that have none."""
        weeks = {check: place.week for check, place in places.items()}
        columns = tuple(c for column in self.columns if (c := self._only_in(column, weeks)))
        return replace(self, columns=columns, places=places)

    def _only_in(self, column: Column, weeks: Mapping[int, int]) -> Column | None:
        if column.check is None:
            return column
        here = tuple(at for at in column.meetings if self.meetings[at].week == weeks.get(column.check))
        return replace(column, meetings=here) if here else None

    def alone(self, wanted: Wanted) -> TermProblem:
        """The same for one date, as if nothing else were wanted but what is due."""
        serving = {n for t in wanted.tuples for n in self.showing.get((wanted.target, t), ())}
        columns = tuple(c for n, c in enumerate(self.columns) if n in serving or c.check is not None)
        without = self.without_due and self.without_due.alone(wanted)
        return replace(
            self, wanted=(wanted,), columns=columns, without_due=without, most_kept=None, never=frozenset()
        )

    def is_kept(self, wanted: Wanted, probes: Collection[tuple[int, int]]) -> bool:
        """Whether the probes show all that a date asks for."""
        return all(any(way in probes for way in self.ways(wanted, t)) for t in wanted.tuples)


@dataclass(frozen=True, kw_only=True)
class TermAnswer:
    """What the solver found.

    - `probes`: numbers of column and meeting
    - `sittings`: the number of a meeting -> its sittings
    - `kept`: of each of the wanted dates whether it is kept
    - `alone`: whether it could be if nothing else were wanted; None where that was not found out
    - `bound`: proven: no more of them can be
    - `repeatable`: False if the clock ended a search"""

    probes: tuple[tuple[int, int], ...]
    sittings: Mapping[int, int]
    kept: tuple[bool, ...]
    alone: tuple[bool | None, ...]
    bound: int
    repeatable: bool
