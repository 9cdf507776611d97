"""How far a second observer agreed, as far as the totals of each probe tell.

results.csv holds totals, not single trials. So the figure is *total agreement*: the smaller count over the
larger. Trial by trial the two may have agreed less; the totals bound by how much.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Result

SHARE_WANTED = Fraction(20, 100)
AGREEMENT_WANTED = Fraction(80, 100)
"""What Works Clearinghouse, Single-case designs technical documentation, version 1.0 (2010): agreement on at
least 20 % of the data points of each condition (from a summary of the standards), of at least 0.80 on average
(from memory)."""


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """How far a second observer agreed.

    probes       run
    observed     of these, with a second count
    total        mean of their total agreements, 0 to 1; None without any
    lowest       the least share of all trials observed on which the two can have agreed
    highest      the greatest
    kappa        Cohen's, where totals tell every trial
    kappa_words  why it is not told
    """

    probes: int
    observed: int
    total: Fraction | None = None
    lowest: Fraction | None = None
    highest: Fraction | None = None
    kappa: Fraction | None = None
    kappa_words: str = "not told by totals"

    @property
    def share(self) -> Fraction:
        return Fraction(self.observed, self.probes) if self.probes else Fraction(0)

    @property
    def still_to_observe(self) -> int:
        """How many of the probes run would have had to be observed beside those that were."""
        return max(0, -(-SHARE_WANTED.numerator * self.probes // SHARE_WANTED.denominator) - self.observed)


def agreement(results: Iterable[Result]) -> Agreement:
    """The agreement over the probes and maintenance probes among these rows, each probe once. Of n trials in which one
    counted x and the other y as correct, they differ on at least |x - y| and at most min(x + y, 2n - x - y): that
    bounds the share on which they agreed. Raises nothing."""
    valid = effective_tests(results)
    pairs = [
        (r.correct or 0, r.observer_correct, r.trials or 0) for r in valid if r.observer_correct is not None
    ]
    if not pairs:
        return Agreement(probes=len(valid), observed=0)
    trials = sum(n for _, _, n in pairs)
    apart_least = sum(abs(x - y) for x, y, _ in pairs)
    apart_most = sum(min(x + y, 2 * n - x - y) for x, y, n in pairs)
    known, words = _kappa_of_totals(pairs) if apart_least == apart_most else (None, "not told by totals")
    return Agreement(
        probes=len(valid),
        observed=len(pairs),
        total=sum((total_agreement(x, y) for x, y, _ in pairs), Fraction(0)) / len(pairs),
        lowest=Fraction(trials - apart_most, trials),
        highest=Fraction(trials - apart_least, trials),
        kappa=known,
        kappa_words=words,
    )


def total_agreement(one: int, other: int) -> Fraction:
    """min(x, y) / max(x, y) of two counts of correct trials, from 0 to 1; two counts of 0 agree: 1."""
    larger = max(one, other)
    return Fraction(min(one, other), larger) if larger else Fraction(1)


def kappa(both: int, only_one: int, only_other: int, neither: int) -> Fraction | None:
    """Agreement beyond chance, from the trials that both, one or none counted as correct: (seen - by chance) /
    (1 - by chance), at most 1 and below 0 where they agree less than by chance.

    J. Cohen, Educ. Psychol. Meas. 20 (1960), 37-46 (from memory). None where it is not defined: chance alone would
    agree on every trial, as when both count every trial as correct."""
    n = both + only_one + only_other + neither
    if not n:
        return None
    seen = Fraction(both + neither, n)
    yes_one, yes_other = Fraction(both + only_one, n), Fraction(both + only_other, n)
    by_chance = yes_one * yes_other + (1 - yes_one) * (1 - yes_other)
    return None if by_chance == 1 else (seen - by_chance) / (1 - by_chance)


def _kappa_of_totals(pairs: Iterable[tuple[int, int, int]]) -> tuple[Fraction | None, str]:
    """Where in each probe one of the two counted all trials or none, the totals tell every trial."""
    both = only_one = only_other = neither = 0
    for x, y, n in pairs:
        both += min(x, y)
        only_one += max(0, x - y)
        only_other += max(0, y - x)
        neither += n - max(x, y)
    known = kappa(both, only_one, only_other, neither)
    return known, "" if known is not None else "not defined: both counted alike on every trial"
