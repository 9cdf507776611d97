"""Who read a sitting's id in the week that was told means the same sitting by it in the next plan."""

from __future__ import annotations

from dataclasses import replace

from genplan.planning.assemble import seat_of, sittings_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.planning_cases import WEEK, product_case

CASE = product_case((1, 1, 1))


def seat(start: int) -> PlacedSitting:
    probe = PlacedProbe(target="skill", combination=("a0-0", "l1-0", "m2-0"), kind="new")
    return PlacedSitting(
        start=start, end=start + 10, learner="wren", adult="a0-0", location="l1-0", probes=(probe,)
    )


def test_a_told_sitting_that_stays_keeps_its_id_whatever_comes_before_it() -> None:
    nine, ten, eleven = (seat(60 * hour) for hour in (9, 10, 11))
    told = sittings_of(CASE, WEEK, (), (ten, eleven), ())
    stem = told[0].id
    assert [s.id for s in told] == [stem, f"{stem}-b"]
    again = sittings_of(CASE, WEEK, (), (nine, ten, eleven), (), told=told)
    assert [s.id for s in again] == [f"{stem}-c", stem, f"{stem}-b"]
    # what has moved is still called what it was, where it is the only one
    (moved,) = sittings_of(CASE, WEEK, (), (nine,), (), told=told[:1])
    assert moved.id == stem
    # one that has begun is no other's
    begun = (replace(told[0], begun=True),)
    later = sittings_of(CASE, WEEK, (), (eleven,), begun, told=told)
    assert [s.id for s in later] == [stem, f"{stem}-b"]
    assert seat_of(CASE, WEEK, later[1]) == eleven
