"""The fewest visits of observers that bring every learner to its share, or as near as can be."""

from __future__ import annotations

from collections.abc import Mapping

from ortools.sat.python import cp_model

from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.observer_options import ObserverOptions
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver.search import Model, hint_all, search
from genplan.planning.solver.slots import Bool, Linear


def assign_observers(watch: ObserverOptions, budget: Budget = ENDLESS) -> tuple[int, ...]:
    """Numbers of visits, ascending. The aims one after the other: as few probes as can be lack an observer, learner by
    learner; fewest visits; most of those that people were told of; as few probes as can be lack one target by
    target; nobody observes more often than must be; the earlier ones. Once the budget is over, those found by then, or
    else the first that go together, of which people were told before others."""
    found: tuple[int, ...] | None = None
    model = Model()
    chosen = [model.new_bool_var(f"{v.adult} observes {v.seat.learner} {v.seat.start}") for v in watch.visits]
    for one, other in watch.clashes:
        model.add_bool_or([chosen[one].negated(), chosen[other].negated()])
    for capacity in watch.capacities:
        model.add(sum(w * chosen[i] for i, w in capacity.weights.items()) <= capacity.most)
    for aim in (
        _missing(model, watch.missing, _of_learners(watch, chosen)),
        sum(chosen),
        sum(var for var, v in zip(chosen, watch.visits, strict=True) if not v.told),
        _missing(model, watch.missing_of, _of_targets(watch, chosen)),
        _most_of_one(model, watch, chosen),
        sum(i * var for i, var in enumerate(chosen)),
    ):
        if budget.is_over:
            break
        found = _smallest(model, chosen, aim, budget)
    return first_that_go_together(watch) if found is None else found


def first_that_go_together(watch: ObserverOptions) -> tuple[int, ...]:
    """One visit after the other, those that people were told of first, each if its learner still lacks one and nothing
    stands against it."""
    found: list[int] = []
    lacking, clashes = dict(watch.missing), set(watch.clashes)
    for number, visit in sorted(enumerate(watch.visits), key=lambda v: not v[1].told):
        clear = clashes.isdisjoint((min(i, number), max(i, number)) for i in found)
        if lacking[visit.seat.learner] > 0 and clear and _is_within(watch, (*found, number)):
            found.append(number)
            lacking[visit.seat.learner] -= len(visit.seat.tests)
    return tuple(sorted(found))


def _is_within(watch: ObserverOptions, numbers: tuple[int, ...]) -> bool:
    return all(sum(c.weights.get(i, 0) for i in numbers) <= c.most for c in watch.capacities)


def _smallest(model: cp_model.CpModel, chosen: list[Bool], aim: Linear, budget: Budget) -> tuple[int, ...]:
    """The visits with the smallest value found of an aim, which then stays."""
    model.minimize(aim)
    found = search(model, SETTINGS.observer_work, budget)
    model.add(aim <= found.solver.value(aim))
    hint_all(model, found)
    return tuple(i for i, var in enumerate(chosen) if found.solver.value(var))


def _of_learners(watch: ObserverOptions, chosen: list[Bool]) -> dict[str, list[Linear]]:
    found: dict[str, list[Linear]] = {learner: [] for learner in watch.missing}
    for var, visit in zip(chosen, watch.visits, strict=True):
        found[visit.seat.learner].append(len(visit.seat.tests) * var)
    return found


def _of_targets(watch: ObserverOptions, chosen: list[Bool]) -> dict[str, list[Linear]]:
    found: dict[str, list[Linear]] = {target: [] for target in watch.missing_of}
    for var, visit in zip(chosen, watch.visits, strict=True):
        for probe in visit.seat.tests:
            found[probe.target].append(var)
    return found


def _missing(
    model: cp_model.CpModel, wanted: Mapping[str, int], observed: Mapping[str, list[Linear]]
) -> Linear:
    lacking = []
    for name, count in wanted.items():
        lack = model.new_int_var(0, max(0, count), f"{name} lacks")
        model.add(lack >= count - sum(observed[name]))
        lacking.append(lack)
    return sum(lacking)


def _most_of_one(model: cp_model.CpModel, watch: ObserverOptions, chosen: list[Bool]) -> Linear:
    most = model.new_int_var(0, len(chosen), "most of one adult")
    for adult in sorted({v.adult for v in watch.visits}):
        model.add(most >= sum(var for var, v in zip(chosen, watch.visits, strict=True) if v.adult == adult))
    return most
