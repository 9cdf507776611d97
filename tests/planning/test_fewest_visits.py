"""Which visits of observers are made, by hand: one aim after the other, each where those before it leave a choice."""

from __future__ import annotations

from genplan.planning.observer_options import Capacity, ObserverOptions, ObserverVisit
from genplan.planning.solver.observer_assignment import assign_observers
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def seat(learner: str, start: int, *targets: str) -> PlacedSitting:
    return PlacedSitting(
        learner, "ann", "home", start, start + 10, tuple(PlacedProbe(t, (), "new") for t in targets)
    )


ONE, TWO, BOTH = seat("wren", 0, "a"), seat("wren", 20, "b"), seat("wren", 40, "a", "b")
ROBINS = seat("robin", 60, "c")


def chosen(
    *visits: ObserverVisit,
    missing: dict[str, int],
    missing_of: dict[str, int] | None = None,
    clashes: tuple[tuple[int, int], ...] = (),
    capacities: tuple[Capacity, ...] = (),
) -> tuple[int, ...]:
    of = {"a": 0, "b": 0, "c": 0} | (missing_of or {})
    return assign_observers(
        ObserverOptions(visits=visits, clashes=clashes, capacities=capacities, missing=missing, missing_of=of)
    )


def test_as_few_probes_as_can_be_lack_an_observer() -> None:
    bens = [ObserverVisit(s, "ben") for s in (ONE, TWO, BOTH, ROBINS)]
    both = {"wren": 4, "robin": 1}
    assert chosen(*bens, missing=both) == (0, 1, 2, 3)
    assert chosen(*bens, missing={"wren": 4, "robin": 0}) == (0, 1, 2)
    assert chosen(*bens, missing={"wren": 9, "robin": 9}) == (0, 1, 2, 3)
    assert chosen(*bens, missing={"wren": 0, "robin": -1}) == ()


def test_what_clashes_and_what_is_too_much() -> None:
    bens = [ObserverVisit(s, "ben") for s in (ONE, TWO, BOTH)]
    wren = {"wren": 4}
    assert chosen(*bens, missing=wren, clashes=((0, 2),)) == (1, 2)
    assert chosen(*bens, missing=wren, clashes=((0, 2), (1, 2))) == (2,)
    assert chosen(*bens, missing=wren, capacities=(Capacity({0: 1, 1: 1, 2: 1}, 2),)) == (0, 2)
    assert chosen(*bens, missing=wren, capacities=(Capacity({0: 10, 1: 10, 2: 11}, 20),)) == (2,)
    assert chosen(*bens, missing=wren, capacities=(Capacity({0: 10, 1: 10, 2: 21}, 20),)) == (0, 1)
    assert chosen(*bens, missing=wren, capacities=(Capacity({0: 10, 1: 10, 2: 10}, 9),)) == ()


def test_then_the_fewest_visits() -> None:
    bens = [ObserverVisit(s, "ben") for s in (ONE, TWO, BOTH)]
    assert chosen(*bens, missing={"wren": 2}) == (2,)


def test_then_those_that_people_were_told_of() -> None:
    assert chosen(ObserverVisit(ONE, "ben"), ObserverVisit(TWO, "ben", told=True), missing={"wren": 1}) == (
        1,
    )
    # before what a target lacks
    told = ObserverVisit(ONE, "ben"), ObserverVisit(TWO, "ben", told=True)
    assert chosen(*told, missing={"wren": 1}, missing_of={"a": 1}) == (1,)


def test_then_what_each_target_lacks() -> None:
    bens = [ObserverVisit(ONE, "ben"), ObserverVisit(TWO, "ben")]
    assert chosen(*bens, missing={"wren": 1}, missing_of={"b": 1}) == (1,)
    assert chosen(*bens, missing={"wren": 1}, missing_of={"a": 1, "b": 1}) == (0,)


def test_then_nobody_more_often_than_must_be() -> None:
    visits = [ObserverVisit(ONE, "ben"), ObserverVisit(TWO, "ben"), ObserverVisit(TWO, "cas")]
    assert chosen(*visits, missing={"wren": 2}, clashes=((1, 2),)) == (0, 2)


def test_then_the_earlier_ones() -> None:
    bens = [ObserverVisit(s, "ben") for s in (ONE, TWO, seat("wren", 60, "a"))]
    assert chosen(*bens, missing={"wren": 1}) == (0,)
    assert chosen(*bens, missing={"wren": 2}) == (0, 1)
