"""What a few trials can show: exact and score intervals of a proportion, and the chance of reaching a mark.

In plain floating point, without a statistics library. Every function takes whole numbers of trials and treats
them as independent with one true rate, which real trials of a child only roughly are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import exp, fsum, lgamma, log, log1p, sqrt
from statistics import NormalDist

from genplan.case import PassMark

CONFIDENCE = 0.95
_MOST_STEPS = 100
_CLOSE = 1e-15


@dataclass(frozen=True)
class Interval:
    """The true rates that go with what was seen: shares of trials from 0 to 1, both ends in it."""

    low: float
    high: float


@lru_cache(maxsize=4096)
def clopper_pearson(correct: int, trials: int, confidence: float = CONFIDENCE) -> Interval:
    """The exact binomial interval: it holds the true rate in at least the share `confidence` of all cases.

    With a = 1 - confidence and X ~ Bin(n, p): `low` solves P(X >= x) = a/2 and is 0 for x = 0, `high` solves
    P(X <= x) = a/2 and is 1 for x = n. C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), 404-413 (from memory).

    Raises ValueError unless 0 <= correct <= trials, trials >= 1 and 0 < confidence < 1."""
    _refuse(correct, trials, confidence)
    tail = (1 - confidence) / 2
    near = wilson(correct, trials, confidence)
    low, high = 0.0, 1.0
    if correct:
        low = _root(
            lambda p: chance_of_at_least(correct, trials, p) - tail,
            lambda p: _slope_of_at_least(correct, trials, p),
            near.low,
        )
    if correct < trials:
        high = _root(
            lambda p: tail - _at_most(correct, trials, p),
            lambda p: _slope_of_at_least(correct + 1, trials, p),
            near.high,
        )
    return Interval(low, high)


def wilson(correct: int, trials: int, confidence: float = CONFIDENCE, corrected: bool = False) -> Interval:
    """The score interval, narrower than the exact one and right on average only; `corrected` for continuity.

    With p = x/n and z the normal quantile of (1 + confidence)/2: (2np + z^2 -+ z sqrt(z^2 + 4np(1 - p))) / 2(n + z^2).
    E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927), 209-212 (from memory). Corrected, the ends are
    (2np + z^2 - 1 - z sqrt(z^2 - 2 - 1/n + 4p(n(1 - p) + 1))) / 2(n + z^2) and
    (2np + z^2 + 1 + z sqrt(z^2 + 2 - 1/n + 4p(n(1 - p) - 1))) / 2(n + z^2), as in R. G. Newcombe, Statist. Med. 17
    (1998), 857-872 (from memory). The low end is 0 for x = 0, the high end 1 for x = n.

    Raises ValueError unless 0 <= correct <= trials, trials >= 1 and 0 < confidence < 1."""
    _refuse(correct, trials, confidence)
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    n, p, c = trials, correct / trials, int(corrected)
    middle, below = 2 * n * p + z * z, 2 * (n + z * z)
    low, high = 0.0, 1.0
    if correct:
        low = (middle - c - z * sqrt(z * z - c * (2 + 1 / n) + 4 * p * (n * (1 - p) + c))) / below
    if correct < trials:
        high = (middle + c + z * sqrt(z * z + c * (2 - 1 / n) + 4 * p * (n * (1 - p) - c))) / below
    return Interval(max(0.0, low), min(1.0, high))


def chance_of_at_least(correct: int, trials: int, rate: float) -> float:
    """P(X >= correct) for X ~ Bin(trials, rate): the sum over k of C(n, k) rate^k (1 - rate)^(n - k); 1 for
    `correct` <= 0. Raises nothing: a rate outside 0 to 1 counts as the nearer of the two."""
    if correct <= 0:
        return 1.0
    return _chance_of_any(range(correct, trials + 1), trials, rate)


def chance_of_meeting(mark: PassMark, rate: float, trials: int | None = None, running: int = 1) -> float:
    """The operating characteristic of a pass mark: P(X >= the correct it needs)^running, which is how likely a learner
    with this true rate (0 to 1) meets it in so many independent probes running, each of `trials` (None: the mark's)."""
    length = mark.trials if trials is None else trials
    return chance_of_at_least(mark.needed(length), length, rate) ** running


def _at_most(correct: int, trials: int, rate: float) -> float:
    return _chance_of_any(range(correct + 1), trials, rate)


def _chance_of_any(counts: range, trials: int, rate: float) -> float:
    if rate <= 0 or rate >= 1:
        return float((trials if rate >= 1 else 0) in counts)
    yes, no, ways = log(rate), log1p(-rate), _log_ways(trials)
    return fsum([exp(ways[k] + k * yes + (trials - k) * no) for k in counts])


@lru_cache(maxsize=256)
def _log_ways(trials: int) -> tuple[float, ...]:
    """Of each number of correct trials the logarithm of in how many ways it comes about."""
    ways = [lgamma(n + 1) for n in range(trials + 1)]
    return tuple(ways[trials] - ways[k] - ways[trials - k] for k in range(trials + 1))


def _slope_of_at_least(correct: int, trials: int, rate: float) -> float:
    """The derivative of P(X >= k), k >= 1, by the rate p inside 0 to 1: k C(n, k) p^(k - 1) (1 - p)^(n - k)."""
    of_rate = (correct - 1) * log(rate) + (trials - correct) * log1p(-rate)
    return correct * exp(_log_ways(trials)[correct] + of_rate)


def _root(rising: Callable[[float], float], slope: Callable[[float], float], near: float) -> float:
    """Where a function that rises from below 0 to above 0 on [0, 1] crosses 0: Newton's steps, and a halving of what is
    left where such a step leads out of it or goes nowhere."""
    low, high = 0.0, 1.0
    at = near if low < near < high else (low + high) / 2
    for _ in range(_MOST_STEPS):
        value = rising(at)
        low, high = (low, at) if value > 0 else (at, high)
        steep = slope(at)
        following = at - value / steep if steep else low
        if abs(following - at) <= _CLOSE:
            return following
        at = following if low < following < high else (low + high) / 2
    return at


def _refuse(correct: int, trials: int, confidence: float) -> None:
    if trials < 1 or not 0 <= correct <= trials:
        raise ValueError(f"{correct} of {trials} trials is no result")
    if not 0 < confidence < 1:
        raise ValueError(f"{confidence} is no confidence between 0 and 1")
