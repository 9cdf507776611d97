"""A first plan of a term for the search to begin with: date by date, the soonest first, where there is room."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from genplan.coverage.tuples import Tuple
from genplan.planning.term.problem import TermProblem, Wanted

Way = tuple[int, int]
"""The numbers of a column and a meeting."""


def first_probes(problem: TermProblem) -> tuple[Way, ...]:
    """What is due first; then the probes of every date that has room beside those before it; of a date without room for
    all, none."""
    room = _Room(problem)
    _answer_checks(problem, room)
    for wanted in sorted(problem.wanted, key=lambda w: (w.week, w.day, len(w.tuples), w.target, w.place)):
        before = len(room.held)
        if not _serve(problem, room, wanted):
            room.take_back(before)
    return tuple(room.held)


def first_checks(problem: TermProblem) -> tuple[Way, ...]:
    """Of every check that has room beside those before it the earliest way."""
    room = _Room(problem)
    _answer_checks(problem, room)
    return tuple(room.held)


def _answer_checks(problem: TermProblem, room: _Room) -> None:
    for check in range(problem.checks):
        if (way := next(filter(room.has, problem.ways_of_check(check)), None)) is not None:
            room.hold(way)


def _serve(problem: TermProblem, room: _Room, wanted: Wanted) -> bool:
    ways = {t: problem.ways(wanted, t) for t in sorted(wanted.tuples)}
    held = set(room.held)
    missing = {t for t, some in ways.items() if held.isdisjoint(some)}
    while missing:
        if (way := _next(problem, room, ways, missing)) is None:
            return False
        room.hold(way)
        missing -= set(problem.columns[way[0]].shows)
    return True


def _next(
    problem: TermProblem, room: _Room, ways: dict[Tuple, tuple[Way, ...]], missing: set[Tuple]
) -> Way | None:
    """The way that shows the most of what is missing, then the earliest, for which there is room."""
    taken = room.columns
    open_to = {way for t in missing for way in ways[t] if way[0] not in taken}

    def worth(way: Way) -> tuple[int, int, int, Way]:
        at = problem.meetings[way[1]]
        return -len(missing.intersection(problem.columns[way[0]].shows)), at.week, at.first, way

    return next((way for way in sorted(open_to, key=worth) if room.has(way)), None)


class _Room:
    """What the capacities have left beside what is held; for dates those without what is due as well."""

    def __init__(self, problem: TermProblem) -> None:
        self.problem = problem
        self.without_due = _Room(problem.without_due) if problem.without_due else None
        self.held: list[Way] = []
        self.at: dict[int, list[Way]] = defaultdict(list)
        self.left = [c.most for c in problem.capacities]

    @property
    def columns(self) -> set[int]:
        return {number for number, _ in self.held}

    def has(self, way: Way) -> bool:
        if self._sittings(way[1], [*self.at[way[1]], way]) > self.problem.most_sittings[way[1]]:
            return False
        if (other := self._without_due(way)) and not other[0].has(other[1]):
            return False
        return all(self.left[c] >= takes for c, takes in self._takes(way))

    def _without_due(self, way: Way) -> tuple[_Room, Way] | None:
        same = self.problem.same_without_due.get(way)
        return (self.without_due, same) if self.without_due and same else None

    def hold(self, way: Way) -> None:
        if other := self._without_due(way):
            other[0].hold(other[1])
        for c, takes in self._takes(way):
            self.left[c] -= takes
        self.held.append(way)
        self.at[way[1]].append(way)

    def take_back(self, count: int) -> None:
        """All but the first so many."""
        while len(self.held) > count:
            way = self.held.pop()
            if other := self._without_due(way):
                other[0].take_back(len(other[0].held) - 1)
            self.at[way[1]].remove(way)
            for c, takes in self._takes(way):
                self.left[c] += takes

    def _takes(self, way: Way) -> Iterable[tuple[int, int]]:
        """What it takes of each capacity beside what is held, with the sittings that its meeting then needs more."""
        number, at = way
        more = self._sittings(at, [*self.at[at], way]) - self._sittings(at, self.at[at])
        column, capacities = self.problem.columns[number], self.problem.capacities
        return [
            (c, capacities[c].sitting * more + capacities[c].of_probe(column))
            for c in self.problem.drawn_on[at]
        ]

    def _sittings(self, at: int, held: Iterable[Way]) -> int:
        return self.problem.sittings_of(held).get(at, 0)
