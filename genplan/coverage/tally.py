"""The tally of a target: which of its tuples are possible, tested, taught, met and still open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.possible import Possible, age_that_settles, possible_combinations
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
    possible               tuples there are
    tested                 held by some probe
    taught                 held by what was taught
    met                    held by a combination that is met
    met_untaught           held by one that is met, and in which nothing was ever taught
    baselines              combinations that were probed before anybody taught them; part of nothing else here
    """

    target: Target
    possible_combinations: tuple[Combination, ...]
    standings: Mapping[Combination, Standing]
    possible: frozenset[Tuple]
    tested: frozenset[Tuple]
    taught: frozenset[Tuple]
    met: frozenset[Tuple]
    met_untaught: frozenset[Tuple] = frozenset()
    once_older: tuple[Combination, ...] = ()
    baselines: Mapping[Combination, BaselineSeen] = field(default_factory=dict)

    @property
    def shown(self) -> frozenset[Tuple]:
        return self.tested | self.taught

    @property
    def open(self) -> frozenset[Tuple]:
        return self.possible - self.shown

    def standing(self, combination: Combination) -> Standing:
        return self.standings.get(combination, UNTESTED)


def tally(case: Case, target: Target, log: Log, on: date) -> Tally:
    """Counts a target as of the day `on`, which decides ages and so what is possible."""
    shown_by = tuples_shown_by(target)
    possible = possible_combinations(case, target, on)
    space = shown_by(possible)
    known = taught_as_far_as_can_be(case, target, standings(target, log), possible)
    tested = shown_by(c for c, s in known.items() if s.tested)
    taught = shown_by(c for c, s in known.items() if s.status is Status.TAUGHT)
    taught |= tuples_named_as_taught(target)
    met = shown_by(c for c, s in known.items() if s.status is Status.MET)
    untaught = shown_by(c for c, s in known.items() if s.status is Status.MET and not s.taught)
    return Tally(
        target=target,
        possible_combinations=possible,
        standings=known,
        possible=space,
        tested=tested & space,
        taught=taught & space,
        met=met & space,
        met_untaught=untaught & space,
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
    left = (c for c in target.combinations() if c not in now)
    return tuple(Possible(case, target, date.max).among(left))


def fewest_at_least(open_tuples: frozenset[Tuple]) -> int:
    """A lower bound of the probes that show all these tuples: each probe shows one tuple of each set of dimensions,
    so there are at least as many as the fullest set has tuples open."""
    return max(Counter(dimensions_of(t) for t in open_tuples).values(), default=0)
