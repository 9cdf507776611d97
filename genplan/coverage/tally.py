"""The tally of a target: which of its tuples are possible, tested, taught, met and still open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from functools import cached_property

from genplan.case import Case, Combination, Target
from genplan.case.possible import age_that_settles, possible_combinations
from genplan.coverage.held_out import taught_as_far_as_can_be
from genplan.coverage.tuples import Tuple, dimensions_of, tuples_named_as_taught, tuples_shown_by
from genplan.evidence.baseline import BaselineSeen, baselines
from genplan.evidence.log import Log
from genplan.evidence.standing import UNTESTED, Standing, Status, standings


@dataclass(frozen=True, kw_only=True)
class Tally:
    """What is shown of a target; all sets hold only tuples that some possible combination shows.

    possible_combinations  in the target's order
    once_older             what a child is only too young for yet, in the same order; part of nothing else here
    standings              of every combination that a row or `taught` speaks of
    baselines              combinations that were probed before anybody taught them; part of nothing else here

    The tuples are looked for when they are first asked for: a criterion that is met asks for none.
    """

    target: Target
    possible_combinations: tuple[Combination, ...]
    standings: Mapping[Combination, Standing]
    once_older: tuple[Combination, ...] = ()
    baselines: Mapping[Combination, BaselineSeen] = field(default_factory=dict)

    @cached_property
    def possible(self) -> frozenset[Tuple]:
        """Those there are."""
        return self._shown_by(self.possible_combinations)

    @cached_property
    def tested(self) -> frozenset[Tuple]:
        """Held by some probe."""
        return self._shown_by(c for c, s in self.standings.items() if s.tested) & self.possible

    @cached_property
    def taught(self) -> frozenset[Tuple]:
        """Held by what was taught."""
        by_standing = self._shown_by(c for c, s in self.standings.items() if s.status is Status.TAUGHT)
        return (by_standing | tuples_named_as_taught(self.target)) & self.possible

    @cached_property
    def met(self) -> frozenset[Tuple]:
        """Held by a combination that is met."""
        return self._shown_by(c for c, s in self.standings.items() if s.status is Status.MET) & self.possible

    @cached_property
    def met_untaught(self) -> frozenset[Tuple]:
        """Held by one that is met, and in which nothing was ever taught."""
        held = (c for c, s in self.standings.items() if s.status is Status.MET and not s.taught)
        return self._shown_by(held) & self.possible

    @property
    def shown(self) -> frozenset[Tuple]:
        return self.tested | self.taught

    @property
    def open(self) -> frozenset[Tuple]:
        return self.possible - self.shown

    @cached_property
    def _shown_by(self) -> Callable[[Iterable[Combination]], frozenset[Tuple]]:
        return tuples_shown_by(self.target)

    def __getstate__(self) -> dict[str, object]:
        """What is kept by pickle: the fields, of which the rest is found again."""
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def standing(self, combination: Combination) -> Standing:
        return self.standings.get(combination, UNTESTED)


def tally(case: Case, target: Target, log: Log, on: date) -> Tally:
    """Counts a target as of the day `on`, which decides ages and so what is possible."""
    possible = possible_combinations(case, target, on)
    return Tally(
        target=target,
        possible_combinations=possible,
        standings=taught_as_far_as_can_be(case, target, standings(target, log), possible),
        once_older=_once_older(case, target, on, possible),
        baselines=baselines(target, log),
    )


def _once_older(
    case: Case, target: Target, on: date, possible: tuple[Combination, ...]
) -> tuple[Combination, ...]:
    born = case.learners[target.learner].born
    if born is None or born.age_months(on) >= age_that_settles(case, target):
        return ()
    now = set(possible)
    return tuple(c for c in possible_combinations(case, target, date.max) if c not in now)


def fewest_at_least(open_tuples: frozenset[Tuple]) -> int:
    """A lower bound of the probes that show all these tuples: each probe shows one tuple of each set of dimensions,
    so there are at least as many as the fullest set has tuples open."""
    return max(Counter(dimensions_of(t) for t in open_tuples).values(), default=0)
