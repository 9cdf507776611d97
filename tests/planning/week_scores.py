"""What a week is worth by each objective, counted from its words in plain loops, and the best of all weeks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import ceil

from every_week import (
    DAY,
    MAINTENANCE,
    NEW,
    RETEST,
    Given,
    Owed,
    Shown,
    Tried,
    Tries,
    begun,
    owed,
    told,
)
from planning_cases import WEEK
from week_hours import Asked, at_last_chance, can_give, wished

MOST, FEWEST = "most", "fewest"


@dataclass(frozen=True)
class Stage:
    """The best value of an objective among the weeks that are best in all before it; `bites`: some are worse."""

    name: str
    value: float
    bites: bool


class Scores:
    """Counts for one given case. `weeks` are all its weeks."""

    def __init__(self, given: Given, weeks: Sequence[Tries]) -> None:
        self.given, self.case, self.weeks = given, given.case, weeks
        self.owed = {t.id: owed(given, t) for t in given.case.mastered}
        self.fixed, self.told = begun(given), told(given)
        self.all_wishes = wished(given, self.owed.values())
        self.dated_wishes = at_last_chance(given, self.owed.values())
        self.can_give = can_give(given, self.owed.values())
        self._fresh: dict[Tried, frozenset[tuple[str, Shown]]] = {}
        self._further: dict[tuple[str, frozenset[Shown]], int] = {}

    @property
    def learners(self) -> list[str]:
        """Those who are owed something."""
        return sorted({o.target.learner for o in self.owed.values() if o.choices})

    def fresh(self, week: Tries) -> frozenset[tuple[str, Shown]]:
        """What is open of each target and shown by the week."""
        for s in week:
            if s not in self._fresh:
                self._fresh[s] = frozenset(
                    (t, shown) for t, c, kind in s.probes if kind == NEW for shown in self.owed[t].new[c]
                )
        return frozenset().union(*(self._fresh[s] for s in week))

    def fresh_of(self, week: Tries, learner: str) -> int:
        return sum(self.case.targets[t].learner == learner for t, _ in self.fresh(week))

    def due(self, week: Tries) -> float:
        """A retest counts 1, a maintenance probe 1, or 2 if it was due before this week."""
        worth = {NEW: 0, RETEST: 1}
        return sum(worth.get(kind, 2 if self.owed[t].overdue else 1) for s in week for t, _, kind in s.probes)

    def dated(self, week: Tries) -> float:
        return self._in_time(week, self.dated_wishes)

    def wished(self, week: Tries) -> float:
        return self._in_time(week, self.all_wishes)

    def _in_time(self, week: Tries, wanted: Asked) -> int:
        by_day = {day: self.fresh(tuple(s for s in week if s.day <= day)) for day in set(wanted.values())}
        return sum(key in by_day[day] for key, day in wanted.items())

    def shares(self, week: Tries) -> float:
        """In thousandths, rounded down: of what each learner could have alone, the least; all at once is all."""
        if len(self.learners) < 2 or not any(self._alone.values()):
            return 0
        parts = [1000 * self.fresh_of(week, i) // most for i, most in self._alone.items() if most]
        return min(1000, *parts) / 1000

    def new_tuples(self, week: Tries) -> float:
        return (
            sum(round(100 * self.case.learners[i].needs) * self.fresh_of(week, i) for i in self.learners)
            / 100
        )

    def as_told(self, week: Tries) -> float:
        """A sitting that stays at its time counts 2; a probe that stays with its people, place and day 1; and a sitting
        that stays at its time with the same probes, none more and none less, 2 again."""
        value = 0
        for t in self.told:
            same = [
                s
                for s in week
                if (s.learner, s.adult, s.location, s.day) == (t.learner, t.adult, t.location, t.day)
            ]
            value += 2 * any(s.start == t.start for s in same)
            value += len({p[:2] for p in t.probes} & {p[:2] for s in same for p in s.probes})
            told = (t.start, {p[:2] for p in t.probes})
            value += 2 * any((s.start, {p[:2] for p in s.probes}) == told for s in same)
        return value

    def changes(self, week: Tries) -> float:
        """Of each new probe the dimensions in which it differs from the nearest that was met or taught, less one."""
        if not self.case.policy.prefer.one_change_at_a_time:
            return 0
        value = 0
        for t, combination, kind in (p for s in week for p in s.probes):
            known = self.owed[t].known
            if kind == NEW and known:
                value += min(sum(a != b for a, b in zip(combination, k, strict=True)) for k in known) - 1
        return value

    def further_probes(self, week: Tries) -> float:
        shown = self.fresh(week)
        return sum(
            self._fewest(o, frozenset(s for t, s in shown if t == o.target.id)) for o in self.owed.values()
        )

    def _fewest(self, own: Owed, shown: frozenset[Shown]) -> int:
        """By trying all sets of combinations, smallest first."""
        key = own.target.id, shown
        if key not in self._further:
            left = frozenset().union(*own.new.values()) - shown
            sizes = range(len(own.new) + 1)
            self._further[key] = next(
                n
                for n in sizes
                if any(left <= frozenset().union(*some) for some in combinations(own.new.values(), n))
            )
        return self._further[key]

    def sittings(self, week: Tries) -> float:
        """And for each person and day the places, less one."""
        places: dict[tuple[str, int], set[str]] = defaultdict(set)
        for s in week:
            places[s.learner, s.day].add(s.location)
            places[s.adult, s.day].add(s.location)
        return len(week) + sum(len(p) - 1 for p in places.values())

    def probes(self, week: Tries) -> float:
        return sum(len(s.probes) for s in week)

    def loads(self, week: Tries) -> float:
        """Tenths of what an adult can give, begun sittings counted, rounded up, for the most burdened who can still
        be met."""
        if not self.case.policy.prefer.fair_shares:
            return 0
        asked = {
            adult: sum(s.end - s.start for s in (*week, *self.fixed) if s.adult == adult) / minutes
            for adult, minutes in self.can_give.items()
        }
        return max((ceil(round(10 * share, 9)) for share in asked.values()), default=0)

    def spread(self, week: Tries) -> float:
        if not self.case.policy.prefer.spread_over_days:
            return 0
        days: dict[tuple[str, int], int] = defaultdict(int)
        for s in week:
            days[s.learner, s.day] += len(s.probes)
        return sum(max((n for (who, _), n in days.items() if who == i), default=0) for i in self.learners)

    def waiting(self, week: Tries) -> float:
        return sum(s.day for s in week for _, _, kind in s.probes if kind in (RETEST, MAINTENANCE))

    def early(self, week: Tries) -> float:
        return sum(s.start % DAY for s in week) / self.case.policy.start_every_minutes

    @cached_property
    def _alone(self) -> dict[str, int]:
        """The new tuples that each learner could have if there were no other."""
        order = self.order[: [name for name, *_ in self.order].index("new tuples") + 1]
        names = [o for o in order if o[0] != "shares"]
        found = {}
        for learner in self.learners:
            own = [w for w in self.weeks if all(s.learner == learner for s in w)]
            _, best = best_of(own, names)
            found[learner] = self.fresh_of(best[0], learner)
        return found

    @property
    def order(self) -> list[tuple[str, str, Callable[[Tries], float]]]:
        """The objectives in their order."""
        order = [
            ("due", MOST, self.due),
            ("dated", MOST, self.dated),
            ("wished", MOST, self.wished),
            ("shares", MOST, self.shares),
            ("new tuples", MOST, self.new_tuples),
            ("changes", FEWEST, self.changes),
            ("further probes", FEWEST, self.further_probes),
            ("sittings", FEWEST, self.sittings),
            ("probes", FEWEST, self.probes),
            ("loads", FEWEST, self.loads),
            ("spread", FEWEST, self.spread),
            ("waiting", FEWEST, self.waiting),
            ("early", FEWEST, self.early),
        ]
        if self.told:
            week_begun = WEEK.monday <= self.given.now.date()
            before = [name for name, *_ in order].index("wished" if week_begun else "further probes")
            order.insert(before, ("told", MOST, self.as_told))
        return order


def best_of(
    weeks: Sequence[Tries], order: Iterable[tuple[str, str, Callable[[Tries], float]]]
) -> tuple[list[Stage], list[Tries]]:
    """The best value of each objective given those before it, and the weeks that reach them all."""
    stages, left = [], list(weeks)
    for name, sense, score in order:
        values = [score(w) for w in left]
        best = max(values) if sense == MOST else min(values)
        stages.append(Stage(name, best, any(v != best for v in values)))
        left = [w for w, v in zip(left, values, strict=True) if v == best]
    return stages, left
