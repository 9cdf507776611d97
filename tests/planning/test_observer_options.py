"""What keeps an adult from observing one sitting, by hand, and which visits go together."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case import AdultLimits, Case, Travel, Window
from genplan.plan import Beside, Hindered, Hindrance
from genplan.planning.observer_options import Capacity, ObserverVisit, observer_options, obstacle_to
from genplan.planning.openings import Hours
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.second_cases import case_of, skill

DAY = 24 * 60
FREE = Hours(learners={}, adults={"ann": (), "ben": (Window(0, 60), Window(600, 700))}, locations={})


def the_case(**limits: int) -> Case:
    """Ann runs skills of Wren and Robin at home; Ben may observe. The park is 20 minutes away."""
    skills = skill("wren", "ann"), skill("robin", "ann", "other", places="park")
    case = case_of(*skills, adults="ann ben")
    ben = replace(case.adults["ben"], limits=AdultLimits(**limits))
    return replace(case, adults={**case.adults, "ben": ben}, travel=Travel(20))


def seat(
    start: int, end: int, learner: str = "wren", adult: str = "ann", place: str = "home", day: int = 0
) -> PlacedSitting:
    """With a probe of Wren's skill."""
    probe = PlacedProbe("skill", ("ann", "home", "red"), "new")
    return PlacedSitting(learner, adult, place, day * DAY + start, day * DAY + end, (probe,))


def beside(held: PlacedSitting, adult: str, part: Beside) -> PlacedSitting:
    return replace(held, beside=adult, beside_as=part)


SEAT = seat(600, 610)


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [(600, 700, True), (599, 610, False), (690, 701, False), (50, 60, True), (50, 61, False)],
)
def test_an_observer_is_free_for_all_of_it(start: int, end: int, free: bool) -> None:
    assert obstacle_to(the_case(), FREE, seat(start, end), "ben", ()) == (
        None if free else Hindered("ben", Hindrance.HOURS)
    )


@pytest.mark.parametrize(
    ("other", "near"),
    [
        (seat(610, 620, "robin", "ben"), False),
        (seat(609, 620, "robin", "ben"), True),
        (seat(590, 600, "robin", "ben"), False),
        (seat(590, 601, "robin", "ben"), True),
        (seat(630, 640, "robin", "ben", "park"), False),
        (seat(629, 640, "robin", "ben", "park"), True),
        (seat(570, 580, "robin", "ben", "park"), False),
        (seat(570, 581, "robin", "ben", "park"), True),
        (seat(600, 610, "robin", "ben", "park", day=1), False),
        (seat(600, 610, "robin", "cas", "park"), False),
        (beside(seat(600, 610, "robin", "cas", "park"), "ben", Beside.OBSERVER), True),
    ],
)
def test_an_observer_is_in_one_sitting_at_a_time(other: PlacedSitting, near: bool) -> None:
    told = obstacle_to(the_case(), FREE, SEAT, "ben", [SEAT, other])
    assert told == (Hindered("ben", Hindrance.ELSEWHERE) if near else None)


@pytest.mark.parametrize(
    ("limits", "left"),
    [
        ({"sittings_per_day": 1}, False),
        ({"sittings_per_day": 2}, True),
        ({"sittings_per_week": 2}, False),
        ({"sittings_per_week": 3}, True),
        ({"minutes_per_week": 29}, False),
        ({"minutes_per_week": 30}, True),
        ({"sittings_per_day": 2, "minutes_per_week": 29}, False),
        ({"sittings_per_day": 1, "minutes_per_week": 30}, False),
    ],
)
def test_the_limits_of_an_observer(limits: dict[str, int], left: bool) -> None:
    """One of ten minutes on the same day, one on Tuesday."""
    others = [seat(650, 660, "robin", "ben"), seat(650, 660, "robin", "ben", day=1)]
    told = obstacle_to(the_case(**limits), FREE, SEAT, "ben", others)
    assert told == (None if left else Hindered("ben", Hindrance.USED_UP))


def test_who_must_not_or_cannot_be_there() -> None:
    case = the_case()
    for change, why in (
        ({"learners": frozenset(["robin"])}, (Hindrance.LEARNER, "wren")),
        ({"locations": frozenset(["park"])}, (Hindrance.LOCATION, "home")),
        ({"briefed_on": frozenset(["another"])}, (Hindrance.BRIEFING, "skill")),
    ):
        ben = replace(case.adults["ben"], **change)  # type: ignore[arg-type]
        told = obstacle_to(replace(case, adults={**case.adults, "ben": ben}), FREE, SEAT, "ben", ())
        assert told == Hindered("ben", *why)
    never = replace(case.targets["skill"], never=({"adult": "ben"},))
    ruled_out = replace(case, targets={**case.targets, "skill": never})
    assert obstacle_to(ruled_out, FREE, SEAT, "ben", ()) == Hindered("ben", Hindrance.NEVER)


def test_visits_that_go_together() -> None:
    """Of two sittings at one place one after the other Ben can observe both; of those at once, or with a way, one."""
    seats = [seat(600, 610), seat(610, 620), seat(615, 625), seat(640, 650, place="park")]
    found = observer_options(the_case(), FREE, (), seats, (), {"wren": 1}, {})
    assert [v.seat for v in found.visits] == seats
    assert observer_options(the_case(), FREE, (), seats[::-1], (), {"wren": 1}, {}) == found
    assert found.clashes == ((1, 2), (2, 3))
    assert found.capacities == ()


def test_whom_nobody_has_to_observe() -> None:
    """Who lacks none, what has a second adult, and the one who runs it; what people were told of is marked."""
    held = beside(seat(620, 630), "cas", Beside.COMPANION)
    told = beside(seat(600, 610), "ben", Beside.OBSERVER)
    other = seat(640, 650, adult="ben")
    found = observer_options(the_case(), FREE, (), [SEAT, held, other], [told], {"wren": 1}, {})
    assert [v for v in found.visits if v.adult == "ben"] == [ObserverVisit(SEAT, "ben", True)]
    assert observer_options(the_case(), FREE, (), [SEAT], (), {"wren": 0}, {}).visits == ()
    assert observer_options(the_case(), FREE, (), [SEAT], (), {}, {}).visits == ()
    as_companion = beside(seat(600, 610), "ben", Beside.COMPANION)
    assert observer_options(the_case(), FREE, (), [SEAT], [as_companion], {"wren": 1}, {}).visits == (
        ObserverVisit(SEAT, "ben"),
    )


def test_what_an_observer_has_left() -> None:
    """Of 60 minutes 20 are taken, of three sittings a day one on Monday, of four in the week two."""
    taken = [seat(0, 10, "robin", "ben"), seat(0, 10, "robin", "ben", day=1)]
    free = Hours(learners={}, adults={"ben": (Window(600, 700), Window(DAY + 600, DAY + 700))}, locations={})
    ahead = [seat(600, 610), seat(640, 660), seat(600, 610, day=1)]
    case = the_case(minutes_per_week=60, sittings_per_day=3, sittings_per_week=4)
    found = observer_options(case, free, taken, ahead, (), {"wren": 1}, {})
    assert found.capacities == (
        Capacity({0: 10, 1: 20, 2: 10}, 40),
        Capacity({0: 1, 1: 1}, 2),
        Capacity({2: 1}, 2),
        Capacity({0: 1, 1: 1, 2: 1}, 2),
    )
