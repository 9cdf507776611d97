"""Planned week after week with every probe met, a target takes as many probes as the smallest design, and no more.

Sources: two-valued pairs by Rényi, Katona (Period. Math. Hungar. 3, 1973) and Kleitman & Spencer (Discrete Math. 6,
1973; titles and pages from memory): the smallest N with C(N-1, ceil(N/2)) >= k. 3x3x3x3 in 9 is the orthogonal
array L9 (its name from memory), triples of four two-valued dimensions in 8 the one with the parity column; three
dimensions a >= b >= c take a*b rows, by the rows (i, j, (i+j) mod c): arrays that were written down and counted.
For L9 and every a*b the product of the two largest dimensions is also the lower bound. Other sizes are in none of
these: they are our own computation, checked by a second solver.
"""

from itertools import combinations, product

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, milp

from genplan.coverage.tally import fewest_at_least
from genplan.planning.solver.design import smallest_design
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import product_case, weeks_until_done


@pytest.mark.parametrize("a_week", by_day_the_first([3, 2, 4]))
@pytest.mark.parametrize(
    ("levels", "cover", "rows"),
    by_day_the_first([((3, 3, 3, 3), "pairs", 9), ((2, 2, 2, 2), "triples", 8), ((3, 3, 3), "pairs", 9)], 2),
)
def test_small_targets_in_the_smallest_number(
    levels: tuple[int, ...], cover: str, rows: int, a_week: int
) -> None:
    assert sum(weeks_until_done(product_case(levels, cover, a_week))) == rows


@pytest.mark.parametrize(
    ("levels", "rows"), by_day_the_first([((4, 3, 3), 12), ((5, 4, 3), 20), ((4, 4, 4), 16)])
)
def test_larger_targets_in_the_product_of_the_two_largest(levels: tuple[int, ...], rows: int) -> None:
    assert sum(weeks_until_done(product_case(levels, a_week=7))) == rows


@pytest.mark.parametrize(
    ("levels", "work", "weeks"),
    by_day_the_first(
        [
            ((2,) * 4, 0.5, [4, 1]),
            ((3, 2, 2, 2), 0.5, [4, 2]),
            ((3, 2, 2, 2, 2), 0.5, [4, 2]),
            ((2,) * 7, 0.5, [4, 2]),
            ((2,) * 7, 12.0, [4, 2]),
        ],
        2,
    ),
)
def test_the_fewest_though_the_fullest_week_would_take_more(
    levels: tuple[int, ...], work: float, weeks: list[int]
) -> None:
    """The fullest first week shows 37 of 48 pairs, or 74 of 84 with seven dimensions, and no six probes that begin so
    show all: the planner must see that."""
    assert weeks_until_done(product_case(levels, a_week=4, work=work)) == weeks


@pytest.mark.parametrize(
    ("levels", "fullest", "after"),
    [((2,) * 4, (22, 24), 1), ((3, 2, 2, 2), (23, 30), 2), ((3, 2, 2, 2, 2), (37, 48), 2)],
)
def test_the_fullest_week_would_take_more(
    levels: tuple[int, ...], fullest: tuple[int, int], after: int
) -> None:
    """What the test before this one rests on, by every week of four probes and every probe or two `after` it; the first
    one is of the first values, since values can change places."""
    rows = list(product(*map(range, levels)))
    pairs = [{(i, row[i], j, row[j]) for i, j in combinations(range(len(levels)), 2)} for row in rows]
    number = {pair: n for n, pair in enumerate(sorted(set().union(*pairs)))}
    shown = [sum(1 << number[p] for p in row) for row in pairs]
    weeks = {shown[0] | a | b | c for a, b, c in combinations(shown[1:], 3)}
    most = max(w.bit_count() for w in weeks)
    assert (most, len(number)) == fullest
    then = {a | b for a, b in product(shown, repeat=2)} if after == 2 else set(shown)
    everything = (1 << len(number)) - 1
    assert not any(w | t == everything for w in weeks if w.bit_count() == most for t in then)
    assert any(w | t == everything for w in weeks for t in then)


def test_one_pair_ruled_out_takes_one_probe_more() -> None:
    # own computed value: 3x3x3 without one adult and location together is 26 pairs in 10 rows. All 9 pairs of adult
    # and set need a row each; the two other adults have 3 rows each, so the third place gets at most 2 of its 3 sets.
    never = ({"adult": "a0-0", "location": "l1-0"},)
    assert sum(weeks_until_done(product_case((3, 3, 3), never=never))) == 10


PUBLISHED = [((2,) * 4, "pairs", 5, 5), ((2,) * 6, "pairs", 6, 6)]
LARGE = [((2,) * 11, "pairs", 7, 4)]
OWN = [
    ((2,) * 5, "triples", 10, 10),
    ((3, 3, 3, 2, 2), "pairs", 9, 9),
    ((4, 3, 2, 2), "triples", 24, 24),
    ((6, 5, 4, 3), "pairs", 30, 30),
]
"""Levels, what is covered, the fewest rows, and what is proven of them. Those of `LARGE` and `OWN`, but for its first,
have the product of the largest dimensions as their proof; five triples and `PUBLISHED` are proven by the search."""


@pytest.mark.parametrize(("levels", "cover", "rows", "_"), by_day_the_first(OWN, 3))
def test_own_values_by_a_second_solver(levels: tuple[int, ...], cover: str, rows: int, _: int) -> None:
    """The least number of rows that hold each tuple, as a covering problem for HiGHS."""
    grid = list(product(*map(range, levels)))
    sets = combinations(range(len(levels)), {"pairs": 2, "triples": 3}[cover])
    shown = np.array(
        [
            [[row[i] for i in chosen] == list(values) for row in grid]
            for chosen in sets
            for values in product(*(range(levels[i]) for i in chosen))
        ]
    )
    found = milp(np.ones(len(grid)), constraints=LinearConstraint(shown, 1), integrality=1, bounds=(0, 1))
    assert found.status == 0, found.message
    assert (found.fun, found.mip_dual_bound) == (pytest.approx(rows), pytest.approx(rows))


@pytest.mark.parametrize(("levels", "cover", "rows", "proven"), by_day_the_first(PUBLISHED + OWN + LARGE, 3))
def test_the_smallest_design_is_found(levels: tuple[int, ...], cover: str, rows: int, proven: int) -> None:
    columns, open_tuples = _columns(levels, cover)
    design = smallest_design(columns, 4.0)
    shown = {t for c, shows in columns if c in design.combinations for t in shows}
    assert shown == open_tuples
    assert len(design.combinations) == rows
    assert proven <= design.at_least <= rows
    assert fewest_at_least(frozenset(open_tuples)) <= design.at_least


def _columns(levels: tuple[int, ...], cover: str):  # type: ignore[no-untyped-def]
    from genplan.coverage.tuples import tuples_of

    target = product_case(levels, cover).targets["skill"]
    columns = [(c, tuples_of(target, c)) for c in target.combinations()]
    return columns, {t for _, shows in columns for t in shows}
