"""The best week by another solver: HiGHS over every whole sitting that the hours allow.

A column is a sitting with its people, place, start and probes, so nothing here counts sittings of an opening, merges
hours, leaves choices out or settles anything between two stages. What is owed and what the objectives count come from
the plain loops of `every_week` and `week_scores`; no line of the planner is used.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import highspy
from every_week import DAY, MAINTENANCE, NEW, RETEST, Given, Tried, apart, begun, every_sitting
from week_scores import FEWEST, MOST, Scores

MANY = 500
NEEDS_SCALE = 1_000_000


@dataclass(frozen=True)
class Best:
    """The best value of an objective among the weeks that are best in all before it."""

    name: str
    value: float


class ExactWeek:
    """The model. `sittings` are all that could be held; empty where they are more than `MANY`."""

    def __init__(self, given: Given, only: str | None = None) -> None:
        self.given, self.case, self.only = given, given.case, only
        self.scores = Scores(given, ())
        fixed = begun(given)
        self.sittings = sorted(
            s
            for s in every_sitting(given)
            if only in (None, s.learner) and all(apart(self.case, s, f) for f in fixed)
        )
        if len(self.sittings) <= MANY:
            self._build(fixed)

    def _build(self, fixed: Sequence[Tried]) -> None:
        self.model = highspy.Highs()
        self.model.silent()
        self.model.setOptionValue("mip_rel_gap", 0.0)
        self.model.setOptionValue("mip_abs_gap", 0.0)
        self.held = [self.model.addBinary() for _ in self.sittings]
        self._never_at_once()
        self._limits(fixed)
        self.shown = {key: self._shown(key) for key in sorted(self._keys(), key=str)}

    def _keys(self) -> set[tuple[str, Any]]:
        return {key for s in self.sittings for key in self.scores.fresh((s,))}

    def _shown(self, key: tuple[str, Any], until: int = 6) -> Any:
        var = self.model.addBinary()
        showing = [
            x
            for s, x in zip(self.sittings, self.held, strict=True)
            if s.day <= until and key in self.scores.fresh((s,))
        ]
        self.model.addConstr(var <= sum(showing) if showing else var <= 0)
        return var

    def _never_at_once(self) -> None:
        """Two sittings that cannot both be held. Those of a learner at the same moment, or in the rest after it,
        exclude each other all at once: that is the same, and the solver sees more of it."""
        rest = self.case.policy.rest_minutes
        told: set[tuple[int, int]] = set()
        for learner in {s.learner for s in self.sittings}:
            own = [i for i, s in enumerate(self.sittings) if s.learner == learner]
            for moment in sorted({self.sittings[i].start for i in own}):
                there = [i for i in own if self.sittings[i].start <= moment < self.sittings[i].end + rest]
                told.update(combinations(there, 2))
                if len(there) > 1:
                    self.model.addConstr(sum(self.held[i] for i in there) <= 1)
        for (i, one), (j, other) in combinations(enumerate(self.sittings), 2):
            if (i, j) not in told and not apart(self.case, one, other):
                self.model.addConstr(self.held[i] + self.held[j] <= 1)

    def _limits(self, fixed: Sequence[Tried]) -> None:
        policy, case = self.case.policy, self.case
        counts: dict[Any, list[Any]] = defaultdict(list)
        most: dict[Any, int | None] = {}

        def count(key: Any, limit: int | None, terms: Iterable[Any], sitting: Tried) -> None:
            most[key] = limit
            counts[key] += terms
            assert sitting

        for s, x in [*zip(self.sittings, self.held, strict=True), *((f, 1) for f in fixed)]:
            own, hers = case.learners[s.learner].limits, case.adults[s.adult].limits
            count(("sittings", s.learner, s.day), own.sittings_per_day, [x], s)
            count(("sittings", s.learner), own.sittings_per_week, [x], s)
            count(("hers", s.adult), hers.sittings_per_week, [x], s)
            count(("probes", s.learner, s.day), own.probes_per_day, [len(s.probes) * x], s)
            count(("hers", s.adult, s.day), hers.sittings_per_day, [x], s)
            count(("minutes", s.adult), hers.minutes_per_week, [(s.end - s.start) * x], s)
            for target, combination, kind in s.probes:
                count(("day", target, s.day), policy.probes_per_target_per_day, [x], s)
                count(("week", target), policy.probes_per_target_per_week, [x], s)
                once = kind if kind == MAINTENANCE else combination
                count(("once", target, once), 1, [x], s)
        for key, terms in counts.items():
            limit = most[key]
            if limit is not None:
                taken = sum(t for t in terms if isinstance(t, int))
                left = [t for t in terms if not isinstance(t, int)]
                if left:
                    self.model.addConstr(sum(left) <= max(0, limit - taken))

    def best(self) -> list[Best]:
        """The stages in their order, each within the best of those before it."""
        found = []
        for name, sense, expression, scale in self._objectives():
            terms = expression()
            if terms is None:
                found.append(Best(name, 0.0))
                continue
            (self.model.maximize if sense == MOST else self.model.minimize)(terms)
            assert self.model.getModelStatus() == highspy.HighsModelStatus.kOptimal
            value = round(self.model.getInfo().objective_function_value)
            # all are whole numbers
            self.model.addConstr(terms >= value - 0.5 if sense == MOST else terms <= value + 0.5)
            found.append(Best(name, value / scale))
            if self.only is not None and name == "new tuples":
                break
        return found

    def _objectives(self) -> list[tuple[str, str, Callable[[], Any], int]]:
        return [
            ("due", MOST, self._due, 1),
            ("dated", MOST, lambda: self._asked(self.scores.dated_wishes), 1),
            ("wished", MOST, lambda: self._asked(self.scores.all_wishes), 1),
            ("shares", MOST, self._shares, 1000),
            ("new tuples", MOST, self._new, NEEDS_SCALE),
            ("changes", FEWEST, lambda: self._each(lambda s: self.scores.changes((s,))), 1),
            ("further probes", FEWEST, self._further, 1),
            ("sittings", FEWEST, self._sittings, 1),
            ("probes", FEWEST, lambda: self._each(lambda s: len(s.probes)), 1),
            ("loads", FEWEST, self._loads, 1),
            ("spread", FEWEST, self._spread, 1),
            ("waiting", FEWEST, lambda: self._each(self._waits), 1),
            ("early", FEWEST, lambda: self._each(self._steps), 1),
        ]

    def _each(self, worth: Callable[[Tried], float]) -> Any:
        terms = [w * x for s, x in zip(self.sittings, self.held, strict=True) if (w := worth(s))]
        return sum(terms) if terms else None

    def _due(self) -> Any:
        return self._each(lambda s: self.scores.due((s,)))

    def _waits(self, s: Tried) -> int:
        return s.day * sum(kind in (RETEST, MAINTENANCE) for *_, kind in s.probes)

    def _steps(self, s: Tried) -> int:
        return s.start % DAY // self.case.policy.start_every_minutes

    def _asked(self, wanted: Any) -> Any:
        terms = [self._shown(key, until) for key, until in wanted.items() if key in self.shown]
        return sum(terms) if terms else None

    def _new_of(self, learner: str) -> Any:
        return [var for (t, _), var in self.shown.items() if self.case.targets[t].learner == learner]

    def _shares(self) -> Any:
        learners = self.scores.learners
        if len(learners) < 2 or self.only is not None:
            return None
        alone = {}
        for learner in learners:
            exact = ExactWeek(self.given, learner)
            best = {b.name: b.value for b in exact.best()} if exact.sittings else {}
            alone[learner] = round(best.get("new tuples", 0) / self.case.learners[learner].needs)
        if not any(alone.values()):
            return None
        share = self.model.addIntegral(0, 1000)
        for learner, most in alone.items():
            if most:
                self.model.addConstr(most * share <= sum(1000 * x for x in self._new_of(learner)))
        return 1 * share

    def _new(self) -> Any:
        terms = [
            round(NEEDS_SCALE * self.case.learners[i].needs) * x
            for i in self.scores.learners
            for x in self._new_of(i)
        ]
        return sum(terms) if terms else None

    def _further(self) -> Any:
        columns = []
        for own in self.scores.owed.values():
            later = {c: self.model.addBinary() for c in own.new}
            columns += later.values()
            for shown in frozenset().union(*own.new.values()):
                terms = [var for c, var in later.items() if shown in own.new[c]]
                now = self.shown.get((own.target.id, shown))
                self.model.addConstr(sum([*terms, *([] if now is None else [now])]) >= 1)
        return sum(columns) if columns else None

    def _sittings(self) -> Any:
        used: dict[tuple[str, int], dict[str, Any]] = defaultdict(dict)
        for s, x in zip(self.sittings, self.held, strict=True):
            for who in (s.learner, s.adult):
                places = used[who, s.day]
                if s.location not in places:
                    places[s.location] = self.model.addBinary()
                self.model.addConstr(x <= places[s.location])
        journeys = []
        for places in used.values():
            if len(places) > 1:
                journeys.append(self.model.addIntegral(0, len(places)))
                self.model.addConstr(journeys[-1] >= sum(places.values()) - 1)
        return sum([*self.held, *journeys]) if self.held else None

    def _loads(self) -> Any:
        if not (self.case.policy.prefer.fair_shares and self.held):
            return None
        largest = self.model.addIntegral(0, 100_000)
        for adult, minutes in self.scores.can_give.items():
            fixed = sum(s.end - s.start for s in begun(self.given) if s.adult == adult)
            asked = [
                10 * (s.end - s.start) * x
                for s, x in zip(self.sittings, self.held, strict=True)
                if s.adult == adult
            ]
            self.model.addConstr(
                sum(asked) + 10 * fixed <= minutes * largest if asked else minutes * largest >= 10 * fixed
            )
        return 1 * largest

    def _spread(self) -> Any:
        if not (self.case.policy.prefer.spread_over_days and self.held):
            return None
        fullest = []
        for learner in self.scores.learners:
            fullest.append(self.model.addIntegral(0, 100))
            for day in range(7):
                today = [
                    len(s.probes) * x
                    for s, x in zip(self.sittings, self.held, strict=True)
                    if (s.learner, s.day) == (learner, day)
                ]
                if today:
                    self.model.addConstr(sum(today) <= fullest[-1])
        return sum(fullest)


assert NEW
