"""Whether seats planned apart go together, by hand: one adult, one place, one set, with the ways between."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case import Case, Window
from genplan.plan import Beside
from genplan.planning.companions import CompanionWindow, anybody, company, company_in
from genplan.planning.compatible import conflict, fits, keep_what_fits
from genplan.rules.clashes import most_at_once
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, holding, limited, monday, monday_case, skill, with_copies

DAY = 24 * 60
LONG = monday(180)


def the_case() -> Case:
    """Two places, 20 minutes apart, that hold two sittings each; one copy of set x."""
    skills = skill("a", "wren", sets="x"), skill("b", "robin", "ben", "park", sets="x y")
    return monday_case({"wren": LONG, "robin": LONG}, {"ann": LONG, "ben": LONG}, *skills, way=20)


CASE = the_case()


def seat(learner: str, adult: str, location: str, start: int, sets: str = "y", day: int = 0) -> PlacedSitting:
    """Ten minutes, from so many after nine."""
    begin = day * DAY + NINE + start
    probe = PlacedProbe("f", (adult, location, sets), "new")
    return PlacedSitting(learner, adult, location, begin, begin + 10, (probe,))


ANNS = seat("wren", "ann", "home", 30)


@pytest.mark.parametrize(
    ("other", "clash"),
    [
        # Ann at the same place, at once or one after the other
        (seat("robin", "ann", "home", 30), True),
        (seat("robin", "ann", "home", 39), True),
        (seat("robin", "ann", "home", 40), False),
        (seat("robin", "ann", "home", 21), True),
        (seat("robin", "ann", "home", 20), False),
        # and at the other, twenty minutes away
        (seat("robin", "ann", "park", 59), True),
        (seat("robin", "ann", "park", 60), False),
        (seat("robin", "ann", "park", 1), True),
        (seat("robin", "ann", "park", 0), False),
        (seat("robin", "ann", "park", 30, day=1), False),
        # somebody else
        (seat("robin", "ben", "home", 30), True),
        (seat("robin", "ben", "home", 40), False),
        (seat("robin", "ben", "park", 30, "z"), False),
    ],
)
def test_two_seats_of_an_adult_or_at_a_place_for_one(other: PlacedSitting, clash: bool) -> None:
    case = with_copies(holding(CASE, "home", 1), "y", 2)
    case = replace(case, material_sets={**case.material_sets, "z": case.material_sets["x"]})
    assert conflict(case, ANNS, [other]) is clash
    assert conflict(case, other, [ANNS]) is clash
    assert fits(case, [other], [ANNS]) is not clash
    assert fits(case, [ANNS, other], []) is not clash


@pytest.mark.parametrize(("copies", "start", "clash"), [(1, 59, True), (1, 60, False), (2, 30, False)])
def test_a_set_on_its_way(copies: int, start: int, clash: bool) -> None:
    case = with_copies(CASE, "x", copies)
    mine, other = seat("wren", "ann", "home", 30, "x"), seat("robin", "ben", "park", start, "x")
    assert conflict(case, mine, [other]) is clash
    assert conflict(case, other, [mine]) is clash
    assert not conflict(case, mine, [replace(other, probes=())])


def test_a_set_with_as_many_copies_as_are_used() -> None:
    case = with_copies(CASE, "x", 2)
    others = [seat("robin", "ben", "park", 30, "x"), seat("finch", "dan", "park", 35, "x")]
    assert conflict(case, seat("wren", "ann", "home", 30, "x"), others)
    assert not conflict(case, seat("wren", "ann", "home", 20, "x"), others)
    assert not conflict(case, seat("wren", "ann", "home", 25, "x"), others)
    assert not conflict(with_copies(CASE, "x", 3), seat("wren", "ann", "home", 30, "x"), others)


@pytest.mark.parametrize(
    ("limits", "clash"),
    [
        ({"sittings_per_day": 2}, True),
        ({"sittings_per_day": 3}, False),
        ({"minutes_per_week": 39}, True),
        ({"minutes_per_week": 40}, False),
    ],
)
def test_limits_of_an_adult(limits: dict[str, int], clash: bool) -> None:
    """Two sittings on the same day, one of them beside, and one on Tuesday: ten minutes each."""
    beside = replace(seat("robin", "ben", "home", 60), beside="ann", beside_as=Beside.OBSERVER)
    others = [seat("robin", "ann", "home", 0), beside, seat("robin", "ann", "home", 0, day=1)]
    assert conflict(limited(CASE, "ann", **limits), ANNS, others) is clash


def test_who_sits_beside_clashes_too() -> None:
    beside = replace(ANNS, beside="ben", beside_as=Beside.COMPANION)
    bens = seat("robin", "ben", "park", 59, "x")
    assert conflict(CASE, beside, [bens])
    assert not conflict(CASE, ANNS, [bens])


def test_what_fits_is_kept_in_its_order() -> None:
    """Ann's three follow within ten minutes: the second clashes with the first, the third with what is taken."""
    first, second, third = (seat("wren", "ann", "home", start) for start in (0, 5, 30))
    last = seat("wren", "ann", "home", 50)
    assert keep_what_fits(CASE, [last, third, second, first], [seat("robin", "ann", "home", 35)]) == (
        first,
        last,
    )
    assert not fits(CASE, [first, second], [])
    assert fits(CASE, [first, third, last], [])


def test_the_most_at_once() -> None:
    """Minutes [30, 40): of three others two go on together at 35, and never three."""
    others = [seat("b", "b", "home", 20), seat("c", "c", "home", 25), seat("d", "d", "home", 35)]
    assert most_at_once(ANNS, others) == 1
    assert most_at_once(ANNS, [*others, seat("e", "e", "home", 34)]) == 2
    assert most_at_once(seat("wren", "ann", "home", 28), others) == 2
    assert most_at_once(ANNS, [seat("e", "e", "home", 40)]) == 0
    assert most_at_once(ANNS, []) == 0


def test_company_in_minutes_and_in_the_order_of_ids() -> None:
    adults = {"ann": ((0, 50), (60, 90)), "ben": ((20, 80),), "cas": ((0, 99),), "dot": ((0, 99),)}
    case = replace(
        CASE,
        adults={
            "ann": CASE.adults["ann"],
            "ben": CASE.adults["ben"],
            "cas": replace(CASE.adults["ann"], id="cas", learners=frozenset(["robin"])),
            "dot": replace(CASE.adults["ann"], id="dot", locations=frozenset(["park"])),
        },
    )
    taken = [seat("robin", "ben", "home", 30 - NINE)]
    windows = {i: tuple(Window(*w) for w in own) for i, own in adults.items()}
    found = company(case, windows, ["dot", "cas", "ben", "ann"], "wren", "home", taken)
    # cas does not work with Wren, dot does not go home, and Ben is with Robin from 30 to 40
    assert list(found.items()) == [("ann", ((0, 50), (60, 90))), ("ben", ((20, 30), (40, 80)))]
    assert anybody(found) == ((0, 90),)
    assert company_in(found, 45, 70) == (
        CompanionWindow("ann", 45, 50),
        CompanionWindow("ann", 60, 70),
        CompanionWindow("ben", 45, 70),
    )
