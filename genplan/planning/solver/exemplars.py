"""The smallest cover: the fewest columns that between them hold every row, the first such columns in their order."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from genplan.plan import StageStatus
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver.search import Model, search
from genplan.planning.solver.slots import Bool, Linear

AT_ONCE = 40
"""Columns that are put in order by one search: powers of two that the solver's whole numbers hold."""


def smallest_cover(
    columns: Sequence[frozenset[int]], last_resort: frozenset[int]
) -> tuple[tuple[int, ...], bool]:
    """Indices of columns, ascending, that hold every row that any column holds: as few as can be of the `last_resort`,
    then as few as can be in all, then the first in order, so that the answer is one. And whether these numbers are
    proven. Each search has a limit of work of its own, and the clock decides nothing; what is not proven is put in no
    order."""
    model = Model()
    chosen = [model.new_bool_var(f"column {i}") for i in range(len(columns))]
    for row in sorted(frozenset().union(*columns)):
        model.add_bool_or([chosen[i] for i, rows in enumerate(columns) if row in rows])
    dearer = len(columns) + 1
    numbers = sum(dearer * var if i in last_resort else var for i, var in enumerate(chosen))
    proven, picks = _least(model, chosen, numbers, range(len(columns)))
    ordered = proven
    for first in range(0, len(columns), AT_ONCE):
        some = chosen[first : first + AT_ONCE]
        in_order = -sum(2 ** (len(some) - 1 - i) * var for i, var in enumerate(some))
        if ordered:
            ordered, picks = _least(model, chosen, in_order, picks)
    return tuple(picks), proven


def _least(
    model: cp_model.CpModel, chosen: Sequence[Bool], aim: Linear, start: Sequence[int]
) -> tuple[bool, Sequence[int]]:
    """Whether the least value of the aim was proven, and the columns that have the least that was found, to which all
    later ones are held."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for i, var in enumerate(chosen):
        model.add_hint(var, i in start)
    model.minimize(aim)
    found = search(model, SETTINGS.design_work)
    model.add(aim <= found.solver.value(aim))
    return found.status is StageStatus.OPTIMAL, [i for i, var in enumerate(chosen) if found.solver.value(var)]
