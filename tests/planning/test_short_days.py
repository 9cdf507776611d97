"""A day of a learner who falls short: with whom it is planned again, and what stays."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from genplan.case import Case
from genplan.case.wishes_of_planners import Apart, Thing
from genplan.plan import Objective, ObjectiveName, StageStatus
from genplan.planning.jobs import Workers
from genplan.planning.outcome import Outcome
from genplan.planning.rivals import rivals
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import OPERATORS
from tests.fixtures.planning_cases import Asked
from tests.planning.test_bottleneck_days import HERE, Seats, case_of, load_of, seat

SHORT_DAYS = [o for o in OPERATORS if o.name == "days of who falls short"]


def week_of(case: Case, seats: Seats, most: dict[str, int], **alone: Outcome) -> BestSoFar:
    return BestSoFar(load=load_of(case), most=most, alone=alone).with_seats(seats)


def asked(best: BestSoFar) -> list[Any]:
    """The problems that are solved where nothing better is found."""
    solver = Asked()
    assert improved(best, Workers(solver, lambda _: None), SHORT_DAYS).seats == best.seats
    return [move.solves[0].problem for move in solver.jobs]


def had(name: str, value: float) -> Outcome:
    """So much of an objective, alone."""
    aim = Objective(
        name=ObjectiveName(name), sense="most", value=value, bound=value, status=StageStatus.OPTIMAL
    )
    return Outcome(seats=(), objectives=(aim,))


def test_who_is_in_the_way_of_one_who_falls_short_moves() -> None:
    """Wren needs Tess for 10 of her 20 minutes, and Robin sits in the midst of them."""
    case = case_of(20, robin="tess", wren="tess")
    seats: Seats = {"robin": (seat("robin", 5),), "wren": ()}
    best = week_of(case, seats, {"robin": 1, "wren": 1})
    assert all(improved(best, HERE, SHORT_DAYS).seats.values())
    assert asked(week_of(case, seats, {"robin": 1, "wren": 0})) == []


def test_it_is_one_day_with_those_who_sit_there_then() -> None:
    case = case_of(60, ash="ann", robin="tess", tit="tess", wren="tess")
    tuesday = seat("tit", 0, day=1)
    seats: Seats = {"ash": (), "robin": (seat("robin", 0), seat("robin", 30)), "tit": (tuesday,), "wren": ()}
    first, second = asked(week_of(case, seats, {"wren": 1}))
    assert (first.learners, second.learners) == (("robin", "wren"), ("tit", "wren"))
    assert {o.day for o in first.openings} == {0}
    assert {o.day for o in second.openings} == {1}
    # Tit's sitting of the other day stays
    assert [(s.learner, s.start) for s in first.taken] == [("tit", tuesday.start)]


@pytest.mark.parametrize("name", ["rather", "due", "dated", "wished"])
def test_who_had_more_of_anything_alone_falls_short(name: str) -> None:
    """Also where it has all the new tuples that it could have, and nothing is taught."""
    case = case_of(60, robin="tess", wren="tess")
    seats: Seats = {"robin": (seat("robin", 0),), "wren": ()}
    assert len(asked(week_of(case, seats, {}, wren=had(name, 1)))) == 1
    assert asked(week_of(case, seats, {}, wren=had(name, 0))) == []


def test_what_is_wished_apart_from_a_learners_own_is_in_its_way() -> None:
    """Wren's skill and Robin's are not to be on one day, and Robin has both days, long after Wren is gone."""
    case = case_of(60, robin="tess", wren="ann")
    load, apart = load_of(case), Apart(Thing(target="robin"), Thing(target="wren"), days=(0, 1))
    late = (seat("robin", 300), seat("robin", 300, day=1))
    wished = replace(load, case=replace(load.case, apart=(apart,)))
    assert rivals(load, "wren", {"robin": late}) == []
    assert rivals(wished, "wren", {"robin": late}) == ["robin"]
    assert rivals(wished, "wren", {"robin": late[:1]}, lambda s: s.day == 1) == []
    assert rivals(wished, "wren", {"robin": (seat("robin", 300, day=2),)}) == []
