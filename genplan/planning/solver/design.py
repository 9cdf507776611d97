"""The smallest design: the fewest probes that show every open tuple of a target."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from ortools.sat.python import cp_model

from genplan.case import Combination
from genplan.coverage.tuples import Tuple, dimensions_of
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.greedy_design import greedy_design
from genplan.planning.outcome import Design
from genplan.planning.solver.search import Model, search, whole_bound


def smallest_design(
    columns: Sequence[tuple[Combination, Sequence[Tuple]]], work: float, budget: Budget = ENDLESS
) -> Design:
    """The fewest of the given combinations, each with the open tuples that it shows, that show all of these.

    A set cover with one cut: as many as the fullest set of dimensions has tuples open; a greedy design of that size
    needs no search. `work` is deterministic solver work; where it or the budget runs out, the best design so far and
    the bound that is proven come back."""
    if not columns:
        return Design((), 0)
    sets = Counter(dimensions_of(t) for t in sorted({t for _, shows in columns for t in shows}))
    fullest, picks = max(sets.values()), greedy_design(columns)
    if len(picks) == fullest or budget.is_over:
        return Design(tuple(c for i, (c, _) in enumerate(columns) if i in picks), fullest)
    model = Model()
    chosen = [model.new_bool_var(" ".join(combination)) for combination, _ in columns]
    showing: dict[Tuple, list[cp_model.IntVar]] = defaultdict(list)
    for var, (_, shows) in zip(chosen, columns, strict=True):
        for tuple_ in shows:
            showing[tuple_].append(var)
    for _, variables in sorted(showing.items()):
        model.add_bool_or(variables)
    model.add(sum(chosen) >= fullest)
    for index, var in enumerate(chosen):
        model.add_hint(var, index in picks)
    model.minimize(sum(chosen))
    found = search(model, work, budget)
    design = tuple(c for var, (c, _) in zip(chosen, columns, strict=True) if found.solver.value(var))
    return Design(design, max(fullest, whole_bound(found.bound, most=False)))
