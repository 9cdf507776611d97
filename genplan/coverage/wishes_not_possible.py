"""Wishes that nothing possible can show: nothing of them is open, and still they did not come true."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination, Target, Wish
from genplan.case.possible import Obstacle, obstacle, possible_combinations
from genplan.case.safety import SMALL_PARTS_MONTHS
from genplan.case.targets import MATERIAL_SET
from genplan.coverage.tally import Tally
from genplan.coverage.tuples import Tuple, tuples_of_all, wished_tuples


@dataclass(frozen=True, kw_only=True)
class WishNotPossible:
    """A `first` wish of which nothing is possible on the day asked about, and nothing was probed.

    - `target`, `place`: whose, and its place in the list `first` of the target
    - `why`: what stands against it
    - `possible_from`: the first day on which the child is old enough for it; None: no day makes it possible"""

    target: str
    place: int
    wish: Wish
    why: Obstacle
    possible_from: date | None

    @property
    def in_time(self) -> bool:
        """Whether it becomes possible before its date is over."""
        day, by = self.possible_from, self.wish.by
        return day is not None and (by is None or day <= by)


def wishes_not_possible(case: Case, count: Tally, on: date) -> Iterator[WishNotPossible]:
    """In the case's order; `count` is the tally of the day `on`."""
    target = count.target
    for place, wish in enumerate(target.first):
        if wished_tuples(target, wish.pattern, count.possible):
            continue
        probed = tuples_of_all(target, (c for c, s in count.standings.items() if s.tested))
        if wished_tuples(target, wish.pattern, probed):
            continue
        if why := _why(case, target, wish, on):
            day = possible_from(case, target, wish, on)
            yield WishNotPossible(target=target.id, place=place, wish=wish, why=why, possible_from=day)


def possible_from(case: Case, target: Target, wish: Wish, on: date) -> date | None:
    """The first day after `on` on which something of it is possible by the child's age alone."""
    days = (day for day in _days_of_ages(case, target) if day > on)
    return next((day for day in days if wished_on(case, target, wish, day)), None)


def wished_on(case: Case, target: Target, wish: Wish, day: date) -> frozenset[Tuple]:
    """What it asks for of all that is possible on a day."""
    return wished_tuples(
        target, wish.pattern, tuples_of_all(target, possible_combinations(case, target, day))
    )


def _days_of_ages(case: Case, target: Target) -> Iterable[date]:
    """The days on which the child is old enough for something more, in their order."""
    born = case.learners[target.learner].born
    if born is None:
        return ()
    things = (case.material_sets[i] for i in target.values_of(MATERIAL_SET))
    ages = {SMALL_PARTS_MONTHS, *(thing.min_age_months for thing in things)}
    return [born.day_of_age(months) for months in sorted(ages)]


def _why(case: Case, target: Target, wish: Wish, on: date) -> Obstacle | None:
    """What stands against most of what would show it; of two that stand against as much the first."""
    against: dict[Obstacle, int] = {}
    for combination in _holding(target, wish):
        if found := obstacle(case, target, combination, on):
            against[found] = against.get(found, 0) + 1
    return max(against, key=lambda found: against[found], default=None)


def _holding(target: Target, wish: Wish) -> Iterable[Combination]:
    return target.holding(wish.pattern) or target.combinations()
