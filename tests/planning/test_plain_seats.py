"""What is counted on plain seats, by hand: told sittings, the way from seat to seat, words of a count."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.case import TargetState, Travel, WeeklyHours
from genplan.plan import Beside, Note, NoteKind, Objective, ObjectiveName, StageStatus
from genplan.planning.companions import adult_at
from genplan.planning.figures import sittings_and_journeys, told_value
from genplan.planning.solver.objectives import OBJECTIVES
from genplan.rules.clashes import too_near, way_between
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.notes import note_text
from genplan.text.objectives import objective_words
from tests.fixtures.planning_cases import NOW, plan_one, product_case, with_learner

DAY = 24 * 60
ONE = PlacedProbe("t", ("mum", "home", "coats"), "new")
TWO = PlacedProbe("u", ("mum", "home", "coats"), "new")
TOLD = PlacedSitting("wren", "mum", "home", 900, 915, (ONE, TWO))
BESIDE = replace(TOLD, beside="dad", beside_as=Beside.COMPANION)


@pytest.mark.parametrize(
    ("told", "seat", "value"),
    [
        (TOLD, TOLD, 2 + 2 + 2),
        (TOLD, replace(TOLD, start=960, end=975), 2),
        (TOLD, replace(TOLD, probes=(ONE,)), 2 + 1),
        (TOLD, replace(TOLD, location="park"), 2),
        (TOLD, replace(TOLD, start=900 + DAY, end=915 + DAY), 0),
        (BESIDE, BESIDE, 2 + 2 + 1 + 2),
        (BESIDE, replace(BESIDE, beside="gran"), 2 + 2),
        # a companion whom nobody was told of takes nothing away; an observer is no companion
        (TOLD, BESIDE, 2 + 2 + 2),
        (BESIDE, replace(BESIDE, beside_as=Beside.OBSERVER), 2 + 2 + 2),
    ],
)
def test_what_of_a_told_sitting_stays(told: PlacedSitting, seat: PlacedSitting, value: int) -> None:
    assert told_value([told], [seat], ["wren"]) == value
    assert told_value([told], [seat], ["robin"]) == 0


def test_home_the_park_and_home_again_are_two_places() -> None:
    """Three sittings, and the park for Wren and for mum: 5, and the words say places and not changes of them."""
    seats = [
        replace(TOLD, start=900 + n * 60, end=915 + n * 60, location=place)
        for n, place in enumerate(("home", "park", "home"))
    ]
    assert sittings_and_journeys(seats) == 5
    goal = OBJECTIVES[ObjectiveName.SITTINGS]
    words = objective_words(
        Objective(name=goal.name, sense=goal.sense, value=5, bound=5, status=StageStatus.OPTIMAL)
    )
    assert "places on a day beyond the first" in words
    assert "change" not in words


@pytest.mark.parametrize(
    ("start", "near"), [(875, False), (876, True), (900, True), (924, True), (925, False), (900 + DAY, False)]
)
def test_two_seats_are_near_within_the_way_of_one_day(start: int, near: bool) -> None:
    """A quarter of an hour from 15:00, with a way of ten minutes: 14:35 to 14:50 is just far enough."""
    other = replace(TOLD, start=start, end=start + 15)
    case = replace(product_case((2, 2, 2)), travel=Travel(10))
    elsewhere = replace(other, location="park")
    assert too_near(TOLD, elsewhere, way_between(case, TOLD, elsewhere)) is near
    assert too_near(elsewhere, TOLD, way_between(case, elsewhere, TOLD)) is near


def test_the_way_to_an_adults_seat_ends_with_its_day() -> None:
    """On the second day, ten minutes after midnight and ten before the next: a way of an hour each, within it."""
    case = replace(product_case((2, 2, 2)), travel=Travel(60))
    early = PlacedSitting("wren", "mum", "park", DAY + 10, DAY + 20, ())
    late = PlacedSitting("wren", "mum", "park", 2 * DAY - 20, 2 * DAY - 10, ())
    windows = adult_at(case, ((0, 3 * DAY),), [early, late], "home")  # type: ignore[arg-type]
    assert [(w[0], w[1]) for w in map(tuple, windows)] == [
        (0, DAY),
        (DAY + 80, 2 * DAY - 80),
        (2 * DAY, 3 * DAY),
    ]


def test_a_target_that_is_not_probed_is_noted() -> None:
    case = product_case((2, 2, 2))
    id_, target = next(iter(case.targets.items()))
    paused = replace(
        target, id="other", name="Other", state=TargetState.PAUSED, mastered_on=date(2026, 11, 1)
    )
    both = replace(case, targets={id_: target, "other": paused})
    (note,) = plan_one(both).notes
    assert note == Note(kind=NoteKind.NOT_PROBED, target="other")
    assert note_text(both, note) == "'Other' is paused, so it is not probed."
    assert plan_one(case).notes == ()


def test_a_learner_without_free_hours_is_noted() -> None:
    case = product_case((2, 2, 2))
    note = Note(kind=NoteKind.NO_FREE_HOURS, learner="wren")
    assert note_text(product_case((2, 2, 2)), note) == "W. has no free hours in what is left of this week."
    assert note not in plan_one(case).notes
    away = with_learner(case, free=WeeklyHours.never())
    assert note in plan_one(away).notes
    # of one who is owed nothing there is nothing to say
    paused = replace(case.targets["skill"], state=TargetState.PAUSED)
    assert note not in plan_one(replace(away, targets={"skill": paused})).notes


def test_a_week_that_has_begun_is_noted() -> None:
    note = Note(kind=NoteKind.WEEK_BEGUN)
    case = product_case((2, 2, 2))
    assert note not in plan_one(case).notes
    assert note in plan_one(case, now=NOW.replace(day=30, hour=0)).notes
