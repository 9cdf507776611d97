"""The smallest cover, against every subset of tiny ones, HiGHS on larger ones, and published covering arrays.

The sizes of arrays: 2^4 in 5 by Rényi, Katona, Kleitman & Spencer, 3^4 in 9 (the orthogonal array L9), as in
`test_covering.py`; CA(9;2,4,3) is the same array in the notation of covering arrays (from memory).
"""

from __future__ import annotations

from itertools import combinations
from random import Random

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, milp

from genplan.coverage.tuples import tuples_of
from genplan.planning import fewest_columns as module
from genplan.planning.fewest_columns import Cover, fewest_columns
from genplan.planning.solver.exemplars import smallest_cover
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import product_case

Columns = tuple[frozenset[int], ...]


def drawn(seed: int, columns: int, rows: int) -> tuple[Columns, frozenset[int]]:
    """Columns that hold a part of the rows that differs from draw to draw, some of them a last resort."""
    dice = Random(seed)
    part, resort = dice.choice((0.15, 0.3, 0.5)), dice.choice((0.0, 0.3, 0.6))
    found = tuple(frozenset(r for r in range(rows) if dice.random() < part) for _ in range(columns))
    return found, frozenset(i for i in range(columns) if dice.random() < resort)


def by_trying_all(columns: Columns, last_resort: frozenset[int]) -> tuple[int, ...]:
    """Of all subsets that hold every row the first by last resorts, size and order."""
    rows = frozenset[int]().union(*columns)
    return min(
        (len(last_resort.intersection(picks)), len(picks), picks)
        for size in range(len(columns) + 1)
        for picks in combinations(range(len(columns)), size)
        if rows <= frozenset[int]().union(*(columns[i] for i in picks))
    )[-1]


@pytest.mark.parametrize("block", by_day_the_first(range(10), 5))
def test_no_subset_is_better_and_none_as_good_comes_first(block: int) -> None:
    for seed in range(40 * block, 40 * block + 40):
        columns, last_resort = drawn(seed, 3 + seed % 7, 2 + seed % 9)
        assert fewest_columns(columns, last_resort) == Cover(by_trying_all(columns, last_resort))


@pytest.mark.parametrize("seed", range(25))
def test_the_search_alone_gives_the_same_answer(seed: int) -> None:
    """Nothing taken first: the model itself, with the last resorts and the order in it."""
    columns, last_resort = drawn(1000 + seed, 3 + seed % 6, 2 + seed % 8)
    if any(columns):
        assert smallest_cover(columns, last_resort) == (by_trying_all(columns, last_resort), True)


def test_more_columns_than_are_put_in_order_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("genplan.planning.solver.exemplars.AT_ONCE", 3)
    for seed in range(12):
        columns, last_resort = drawn(2000 + seed, 9, 9)
        assert smallest_cover(columns, last_resort) == (by_trying_all(columns, last_resort), True)


@pytest.mark.parametrize("seed", by_day_the_first(range(8), 4))
def test_larger_ones_by_a_second_solver(seed: int) -> None:
    columns, last_resort = drawn(3000 + seed, 60, 40)
    cover = fewest_columns(columns, last_resort)
    rows = sorted(frozenset[int]().union(*columns))
    held = np.array([[r in rows_of for rows_of in columns] for r in rows])
    dear = np.array([100 * (i in last_resort) + 1 for i in range(len(columns))])
    found = milp(dear, constraints=LinearConstraint(held, 1), integrality=1, bounds=(0, 1))
    assert found.status == 0, found.message
    assert cover.proven
    assert sum(dear[i] for i in cover.picks) == pytest.approx(found.fun)
    assert frozenset(rows) == frozenset[int]().union(*(columns[i] for i in cover.picks))


@pytest.mark.parametrize(
    ("levels", "rows"), [((3, 3, 3), 9), ((3, 3, 3, 3), 9), ((2,) * 4, 5), ((4, 3, 2), 12)]
)
def test_published_covering_arrays(levels: tuple[int, ...], rows: int) -> None:
    """To teach every pair of values takes as many combinations as the smallest covering array has rows."""
    target = product_case(levels).targets["skill"]
    held = [tuples_of(target, c) for c in target.combinations()]
    number = {t: i for i, t in enumerate(sorted({t for tuples in held for t in tuples}))}
    columns = tuple(frozenset(number[t] for t in tuples) for tuples in held)
    cover = fewest_columns(columns)
    assert (len(cover.picks), cover.proven) == (rows, True)


@pytest.mark.parametrize(
    ("columns", "picks"),
    [
        ((), ()),
        (({1, 2},), (0,)),
        (({1}, {1, 2}, {2}), (1,)),  # one that holds all
        (({1}, {1}), (0,)),  # the first of two that are alike
        (({1, 2}, {3}, {2, 3}, {1}), (0, 1)),  # each of two answers of two, and the first of them
        (({1}, {2}, {3}), (0, 1, 2)),
    ],
)
def test_what_is_plain_starts_no_search(
    columns: tuple[set[int], ...], picks: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("genplan.planning.solver.exemplars.smallest_cover", None)
    module.fewest_columns.cache_clear()
    assert fewest_columns(tuple(frozenset(c) for c in columns)) == Cover(picks)


def test_what_no_work_is_left_to_prove_is_not_called_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    from genplan.planning.search_settings import SearchSettings

    monkeypatch.setattr("genplan.planning.solver.exemplars.SETTINGS", SearchSettings(design_work=0.0))
    columns = tuple(frozenset((i, (i + 1) % 3)) for i in range(3))  # each two of three hold all
    picks, proven = smallest_cover(columns, frozenset())
    assert not proven
    assert frozenset[int]().union(*(columns[i] for i in picks)) == {0, 1, 2}
