"""Intervals and chances against published values and scipy."""

from __future__ import annotations

import pytest
import scipy
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan.case import PassMark
from genplan.evidence.intervals import (
    Interval,
    chance_of_at_least,
    chance_of_meeting,
    clopper_pearson,
    wilson,
)

# R. G. Newcombe, Statist. Med. 17 (1998) 857-872, the worked examples (printed digits from memory, recomputed
# with scipy): x, n, score, score with correction, exact.
NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2535, 0.3682), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0598, 0.1644), (0.0578, 0.1617)),
    (0, 20, (0, 0.1611), (0, 0.2005), (0, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0018, 0.1963), (0.0009, 0.1776)),
]
# The sizes of a probe: computed with scipy 1.17.1 and by bisection on exact tail sums.
PROBES = [
    (9, 10, (0.5958, 0.9821), (0.5412, 0.9948), (0.5550, 0.9975)),
    (4, 5, (0.3755, 0.9638), (0.2988, 0.9895), (0.2836, 0.9949)),
    (3, 3, (0.4385, 1), (0.3100, 1), (0.2924, 1)),
    (1, 6, (0.0301, 0.5635), (0.0088, 0.6352), (0.0042, 0.6412)),
    (0, 5, (0, 0.4345), (0, 0.5371), (0, 0.5218)),
]


@pytest.mark.parametrize(("x", "n", "score", "corrected", "exact"), NEWCOMBE + PROBES)
def test_published_intervals(
    x: int, n: int, score: tuple[float, float], corrected: tuple[float, float], exact: tuple[float, float]
) -> None:
    for found, told in (
        (wilson(x, n), score),
        (wilson(x, n, corrected=True), corrected),
        (clopper_pearson(x, n), exact),
    ):
        assert (round(found.low, 4), round(found.high, 4)) == told


counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@settings(max_examples=60)
@given(counts, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_the_same_as_scipy(count: tuple[int, int], confidence: float) -> None:
    x, n = count
    of = scipy.stats.binomtest(x, n)
    for method, found in (
        ("exact", clopper_pearson(x, n, confidence)),
        ("wilson", wilson(x, n, confidence)),
        ("wilsoncc", wilson(x, n, confidence, corrected=True)),
    ):
        told = of.proportion_ci(confidence, method)
        assert (found.low, found.high) == pytest.approx((told.low, told.high), abs=1e-8)


@settings(max_examples=50)
@given(counts)
def test_an_interval_holds_what_was_seen_and_mirrors(count: tuple[int, int]) -> None:
    x, n = count
    for method in (clopper_pearson, wilson):
        here, mirrored = method(x, n), method(n - x, n)
        assert 0 <= here.low <= x / n <= here.high <= 1
        assert (here.low, here.high) == pytest.approx((1 - mirrored.high, 1 - mirrored.low), abs=1e-9)


@pytest.mark.parametrize("count", [(0, 0), (-1, 5), (6, 5)])
def test_counts_that_cannot_be_are_refused(count: tuple[int, int]) -> None:
    for method in (clopper_pearson, wilson):
        with pytest.raises(ValueError, match="no result"):
            method(*count)
    with pytest.raises(ValueError, match="confidence"):
        clopper_pearson(1, 2, 1.0)


# The operating characteristic at true rates 0.7, 0.8, 0.9, 0.95: sums of the binomial, and scipy 1.17.1.
@pytest.mark.parametrize(
    ("mark", "running", "chances"),
    [
        (PassMark(9, 10), 1, (0.1493, 0.3758, 0.7361, 0.9139)),
        (PassMark(8, 10), 1, (0.3828, 0.6778, 0.9298, 0.9885)),
        (PassMark(4, 5), 1, (0.5282, 0.7373, 0.9185, 0.9774)),
        (PassMark(5, 5), 1, (0.1681, 0.3277, 0.5905, 0.7738)),
        (PassMark(3, 3), 1, (0.3430, 0.5120, 0.7290, 0.8574)),
        (PassMark(9, 10), 2, (0.0223, 0.1412, 0.5418, 0.8351)),
        (PassMark(9, 10), 3, (0.0033, 0.0531, 0.3988, 0.7632)),
    ],
)
def test_the_chance_of_meeting_a_mark(mark: PassMark, running: int, chances: tuple[float, ...]) -> None:
    found = tuple(chance_of_meeting(mark, rate, running=running) for rate in (0.7, 0.8, 0.9, 0.95))
    assert found == pytest.approx(chances, abs=5e-5)


def test_a_probe_of_another_length_is_held_against_the_fraction() -> None:
    # 4/5 of 3 trials are 2.4, so 3 of 3 are needed: 0.9 cubed
    assert chance_of_meeting(PassMark(4, 5), 0.9, trials=3) == pytest.approx(0.729)


def test_certain_and_impossible_rates() -> None:
    assert [chance_of_at_least(4, 5, rate) for rate in (0.0, 1.0)] == [0.0, 1.0]
    assert [chance_of_at_least(k, 5, 0.5) for k in (0, 6)] == [1.0, 0.0]
    assert clopper_pearson(0, 5).low == wilson(0, 5).low == 0.0
    assert clopper_pearson(5, 5) == Interval(pytest.approx(0.025 ** (1 / 5)), 1.0)
