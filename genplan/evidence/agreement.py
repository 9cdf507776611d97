"""How far a second observer agreed.

Of totals only the *total agreement* is known, the smaller count over the larger; trial by trial the two may have agreed
less, and the totals bound by how much. Where the marks of both are written down, trial by trial is exact. A trial is
agreed on if both or neither counted it as correct without help; whether they gave it the same sign, so that help is
told apart from a trial that was not correct, is a figure of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Result
from genplan.evidence.marks import CORRECT

SHARE_WANTED = Fraction(20, 100)
AGREEMENT_WANTED = Fraction(80, 100)
"""What Works Clearinghouse, Single-case designs technical documentation, version 1.0 (2010): agreement on at
least 20 % of the data points of each condition (from a summary of the standards), of at least 0.80 on average
(from memory)."""


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """How far a second observer agreed.

    probes           run
    observed         of these, with a second count
    total            mean of their total agreements, 0 to 1; None without any
    lowest           the least share of all trials observed on which the two can have agreed
    highest          the greatest
    marked           probes among the observed of which the marks of both are written down
    marked_trials    of these
    trial_agreement  the share of these trials on which the two agreed; None without any
    sign_agreement   the share of these trials with the same sign
    kappa            Cohen's, over these trials; None without any, or where it is not defined
    """

    probes: int
    observed: int
    total: Fraction | None = None
    lowest: Fraction | None = None
    highest: Fraction | None = None
    marked: int = 0
    marked_trials: int = 0
    trial_agreement: Fraction | None = None
    sign_agreement: Fraction | None = None
    kappa: Fraction | None = None

    @property
    def share(self) -> Fraction:
        return Fraction(self.observed, self.probes) if self.probes else Fraction(0)

    @property
    def still_to_observe(self) -> int:
        """How many of the probes run would have had to be observed beside those that were."""
        return max(0, -(-SHARE_WANTED.numerator * self.probes // SHARE_WANTED.denominator) - self.observed)


def agreement(results: Iterable[Result]) -> Agreement:
    """The agreement over the probes and maintenance probes among these rows, each probe once. Raises nothing."""
    valid = effective_tests(results)
    seen = [r for r in valid if r.is_observed]
    if not seen:
        return Agreement(probes=len(valid), observed=0)
    trials = sum(r.trials or 0 for r in seen)
    least, most = (sum(several) for several in zip(*map(_apart, seen), strict=True))
    totals = (total_agreement(r.correct or 0, r.observer_correct or 0) for r in seen)
    found = Agreement(
        probes=len(valid),
        observed=len(seen),
        total=sum(totals, Fraction(0)) / len(seen),
        lowest=Fraction(trials - most, trials),
        highest=Fraction(trials - least, trials),
    )
    return _with_marks(found, [r for r in seen if r.marks and r.observer_marks])


def _apart(row: Result) -> tuple[int, int]:
    """The least and the most trials on which the two can differ. By totals of n trials, where one counted x and the
    other y as correct, these are |x - y| and min(x + y, 2n - x - y); by marks there is nothing to bound."""
    if row.marks and row.observer_marks:
        apart = sum(_is_correct(a) != _is_correct(b) for a, b in _pairs(row))
        return apart, apart
    x, y, n = row.correct or 0, row.observer_correct or 0, row.trials or 0
    return abs(x - y), min(x + y, 2 * n - x - y)


def _with_marks(found: Agreement, rows: Sequence[Result]) -> Agreement:
    if not rows:
        return found
    pairs = [pair for row in rows for pair in _pairs(row)]
    table = Counter((_is_correct(a), _is_correct(b)) for a, b in pairs)
    both, neither = table[True, True], table[False, False]
    return replace(
        found,
        marked=len(rows),
        marked_trials=len(pairs),
        trial_agreement=Fraction(both + neither, len(pairs)),
        sign_agreement=Fraction(sum(a == b for a, b in pairs), len(pairs)),
        kappa=kappa(both, table[True, False], table[False, True], neither),
    )


def _pairs(row: Result) -> list[tuple[str, str]]:
    return list(zip(row.marks, row.observer_marks, strict=True))


def _is_correct(sign: str) -> bool:
    return sign == CORRECT


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
