"""The exact tests against published values, brute force and scipy; Holm's correction."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import pytest
import scipy
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan.evidence.exact_tests import Table2x2, exact_test, holm

# Penicillin and rabbits: the help page of R's mantelhaen.test, after Agresti 1990. Exact p-values there: 0.040
# two-sided, 0.020 one-sided. The first stratum has no cure and the last no death: they must add nothing.
RABBITS = [
    Table2x2(0, 6, 0, 5),
    Table2x2(3, 3, 0, 6),
    Table2x2(6, 0, 2, 4),
    Table2x2(5, 1, 6, 0),
    Table2x2(2, 0, 5, 0),
]


def test_penicillin_and_rabbits() -> None:
    found = exact_test(RABBITS)
    assert found.more == Fraction(29, 1452)
    assert found.either == Fraction(29, 726)
    assert round(float(found.either), 3) == 0.040
    assert round(float(found.more), 3) == 0.020
    # the distribution of the sum runs from 9 to 17 with P(9) = 1/726
    assert found.smallest_attainable == Fraction(1, 726)


# UCBAdmissions of R's datasets package (P. J. Bickel, E. A. Hammel, J. W. O'Connell, Science 187 (1975), 398-404; the
# paper from memory): men admitted and rejected, women admitted and rejected, by department A to F.
ADMISSIONS = [
    Table2x2(512, 313, 89, 19),
    Table2x2(353, 207, 17, 8),
    Table2x2(120, 205, 202, 391),
    Table2x2(138, 279, 131, 244),
    Table2x2(53, 138, 94, 299),
    Table2x2(22, 351, 24, 317),
]


def test_strata_turn_what_the_sums_seem_to_say() -> None:
    """The Mantel-Haenszel chi-squared with continuity correction gives 0.2323 and without it 0.2169, with a common odds
    ratio of 0.90 against 1.84 of the sums (statsmodels, recomputed). The exact chance lies between the two."""
    found = exact_test(ADMISSIONS)
    assert 0.2169 < float(found.either) < 0.2323
    assert found.fewer < found.more
    men, rejected, women, not_admitted = (
        sum(getattr(s, name) for s in ADMISSIONS)
        for name in ("met", "not_met", "met_without", "not_met_without")
    )
    pooled = exact_test([Table2x2(men, rejected, women, not_admitted)])
    assert pooled.more < Fraction(1, 10**20) < pooled.fewer


# R. A. Fisher, The Design of Experiments (1935), chapter 2 (chapter from memory; counted): four cups of each
# kind, k of four named right.
@pytest.mark.parametrize(("right", "one", "two"), [(4, (1, 70), (2, 70)), (3, (17, 70), (34, 70))])
def test_the_tea_tasting(right: int, one: tuple[int, int], two: tuple[int, int]) -> None:
    found = exact_test([Table2x2(right, 4 - right, 4 - right, right)])
    assert (found.more, found.either) == (Fraction(*one), Fraction(*two))


# Two probes of the usual sizes, two-sided: scipy.stats.fisher_exact.
@pytest.mark.parametrize(
    ("table", "two"),
    [
        ((5, 0, 0, 5), 2 / 252),
        ((5, 0, 2, 3), 1 / 6),
        ((5, 0, 1, 4), 0.0476),
        ((3, 0, 0, 3), 0.1),
        ((9, 1, 4, 6), 0.0573),
    ],
)
def test_small_tables(table: tuple[int, int, int, int], two: float) -> None:
    assert float(exact_test([Table2x2(*table)]).either) == pytest.approx(two, abs=5e-5)


cells = st.integers(0, 12)
tables = st.builds(Table2x2, cells, cells, cells, cells)


@settings(max_examples=80)
@given(tables)
def test_one_stratum_is_fishers_test(table: Table2x2) -> None:
    rows = [[table.met, table.not_met], [table.met_without, table.not_met_without]]
    found = exact_test([table])
    for ours, side in ((found.fewer, "less"), (found.more, "greater"), (found.either, "two-sided")):
        told = scipy.stats.fisher_exact(rows, alternative=side).pvalue
        assert float(ours) == pytest.approx(told, abs=1e-9)


def brute_force(strata: list[Table2x2]) -> tuple[Fraction, Fraction]:
    """Every way to share out each stratum's met among its probes, one by one."""
    ways = []
    for s in strata:
        n, met = s.probes + s.probes_without, s.met + s.met_without
        ways.append([sum(i < s.probes for i in chosen) for chosen in combinations(range(n), met)])
    sums = [sum(one) for one in product(*ways)]
    seen = sum(s.met for s in strata)
    return (
        Fraction(sum(x <= seen for x in sums), len(sums)),
        Fraction(sum(x >= seen for x in sums), len(sums)),
    )


small = st.builds(Table2x2, *[st.integers(0, 2)] * 4)


@settings(max_examples=60)
@given(st.lists(small, min_size=1, max_size=3))
def test_strata_against_brute_force(strata: list[Table2x2]) -> None:
    found = exact_test(strata)
    assert (found.fewer, found.more) == brute_force(strata)
    assert found.smallest_attainable <= found.fewer
    assert found.either >= min(found.fewer, found.more)


def test_nothing_to_tell_is_certain() -> None:
    for strata in ([], [Table2x2(0, 0, 3, 2)], [Table2x2(3, 0, 2, 0)]):
        found = exact_test(strata)
        assert (found.fewer, found.more, found.either, found.smallest_attainable) == (1, 1, 1, 1)


# S. Holm, Scand. J. Statist. 6 (1979) 65-70 (from memory); adjusted values as by statsmodels' multipletests.
@pytest.mark.parametrize(
    ("given_", "adjusted"),
    [
        ((1, 4, 3, 0.5), (3, 6, 6, 2)),
        ((1, 2, 3, 4, 5), (5, 8, 9, 9, 9)),
        ((60, 70), (100, 100)),
        ((), ()),
    ],
)
def test_holm(given_: tuple[float, ...], adjusted: tuple[float, ...]) -> None:
    chances = [Fraction(str(p)) / 100 for p in given_]
    assert holm(chances) == tuple(Fraction(str(p)) / 100 for p in adjusted)


# The 15 p-values of Benjamini and Hochberg 1995 (from memory): Holm rejects 3 at 0.05 (checked with statsmodels).
def test_holm_on_a_published_list() -> None:
    told = [
        "1",
        "4",
        "19",
        "95",
        "201",
        "278",
        "298",
        "344",
        "459",
        "3240",
        "4262",
        "5719",
        "6528",
        "7590",
        "10000",
    ]
    assert sum(p <= Fraction(1, 20) for p in holm([Fraction(int(p), 10_000) for p in told])) == 3
