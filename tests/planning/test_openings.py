"""When people can meet, by hand: hours less absences, the clock's change, fixed seats, full places, missing sets."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from genplan.case import Absence, Case, Travel, Week, WeeklyHours, Window
from genplan.planning.openings import (
    Hours,
    absences_in,
    clock_changes,
    companions_for,
    hours,
    openings_of,
    saturated_windows,
    split_at_midnight,
    starts_beside,
    usable_minutes,
)
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, holding, monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK, ZONE

DAY = 24 * 60
SUNDAY = 6 * DAY


def test_absences_are_rounded_away_from_the_free_minutes_and_cut_to_the_week() -> None:
    """Week 49 of 2026 is 30 November to 6 December."""
    away = [
        Absence(datetime(2026, 11, 28, 9), datetime(2026, 11, 30, 8, 0, 1)),
        Absence(datetime(2026, 12, 1, 9, 0, 59), datetime(2026, 12, 1, 9, 30)),
        Absence(datetime(2026, 12, 6, 23), datetime(2026, 12, 9)),
        Absence(datetime(2026, 12, 7), datetime(2026, 12, 8)),
    ]
    assert absences_in(WEEK, away) == (
        (0, 481),
        (DAY + 540, DAY + 570),
        (SUNDAY + 23 * 60, 7 * DAY),
    )


@pytest.mark.parametrize(
    ("zone", "week", "twice_or_never"),
    [
        # Dublin: from 01:00 to 02:00 comes twice on 25 October 2026, and never on 29 March (zoneinfo)
        ("Europe/Dublin", Week(2026, 43), ((SUNDAY + 60, SUNDAY + 120),)),
        ("Europe/Dublin", Week(2026, 13), ((SUNDAY + 60, SUNDAY + 120),)),
        ("Europe/Dublin", WEEK, ()),
        # Lord Howe Island goes back by half an hour at 02:00 on 5 April 2026: from 01:30 on
        ("Australia/Lord_Howe", Week(2026, 14), ((SUNDAY + 90, SUNDAY + 120),)),
    ],
)
def test_minutes_that_do_not_come_once(
    zone: str, week: Week, twice_or_never: tuple[tuple[int, int], ...]
) -> None:
    assert clock_changes(week, ZoneInfo(zone)) == twice_or_never


def case_of(**policy: object) -> Case:
    """Wren at home with Ann, or in the park with Ben, twenty minutes away; from nine to ten on Monday."""
    case = monday_case(
        {"wren": monday(60)},
        {"ann": monday(60), "ben": monday(60)},
        skill("a", "wren"),
        skill("c", "wren", "ben", "park"),
        way=20,
    )
    return replace(case, policy=replace(case.policy, **policy))  # type: ignore[arg-type]


def test_what_is_usable_of_a_week() -> None:
    case = case_of(days=(0, 2))
    assert usable_minutes(case, WEEK, NOW) == ((0, DAY), (2 * DAY, 3 * DAY))
    begun = datetime(2026, 11, 30, 9, 29, 30, tzinfo=ZONE)
    assert usable_minutes(case, WEEK, begun) == ((NINE + 30, DAY), (2 * DAY, 3 * DAY))
    whole = case_of(days=(6,))
    assert usable_minutes(whole, Week(2026, 43), datetime(2026, 10, 1, tzinfo=ZONE)) == (
        (SUNDAY, SUNDAY + 60),
        (SUNDAY + 120, 7 * DAY),
    )


def test_whose_hours_these_are() -> None:
    """Ann is busy from 9:10, Ben is away until 9:20, home is closed from 9:40 on, and of one set there is a gap."""
    case = case_of()
    ben = replace(case.adults["ben"], away=(Absence(at(0), at(20)),))
    home = replace(case.locations["home"], closed=(Absence(at(40), at(900)),))
    gone = replace(case.material_sets["set-a"], missing=(Absence(at(0), at(10)),))
    case = replace(
        case,
        adults={**case.adults, "ben": ben},
        locations={**case.locations, "home": home},
        material_sets={**case.material_sets, "set-a": gone},
    )
    known = {"wren": frozenset(["ann"])}
    found = hours(case, WEEK, NOW, {"ann": (Absence(at(10), at(900)),)}, known)
    assert found.learners == {"wren": ((NINE, NINE + 60),)}
    assert found.adults == {"ann": ((NINE, NINE + 10),), "ben": ((NINE + 20, NINE + 60),)}
    assert found.locations == {
        "home": ((0, NINE + 40), (NINE + 900, 7 * DAY)),
        "park": ((0, 7 * DAY),),
    }
    assert found.missing == {"set-a": ((NINE, NINE + 10),)}
    assert (found.acquainted, found.begun) == (None, False)
    assert not found.needs_companion("ben", "wren")
    accompanied = replace(case, policy=replace(case.policy, accompany_new_adults=True))
    asked = hours(accompanied, WEEK, datetime(2026, 11, 30, tzinfo=ZONE), {}, known)
    assert (asked.acquainted, asked.begun) == (known, False)
    assert asked.needs_companion("ben", "wren")
    assert not asked.needs_companion("ann", "wren")
    assert hours(case, WEEK, datetime(2026, 11, 30, 0, 0, 1, tzinfo=ZONE), {}).begun


def at(minutes: int) -> datetime:
    """So many minutes after nine on Monday, by the wall clock."""
    return datetime(2026, 11, 30, 9) + timedelta(minutes=minutes)


def opened(case: Case, *taken: PlacedSitting, free: Hours | None = None) -> list[tuple[str, int, int]]:
    """Adult and minutes after nine of each opening of Wren."""
    found = openings_of(case, free or hours(case, WEEK, NOW, {}), "wren", taken)
    assert all(o.location == {"ann": "home", "ben": "park"}[o.adult] for o in found)
    return [(o.adult, o.start - NINE, o.end - NINE) for o in found]


def both_at_their_places(case: Case) -> Case:
    """Ann goes home only and Ben to the park only."""
    adults = {"ann": "home", "ben": "park"}
    places = {i: replace(case.adults[i], locations=frozenset([p])) for i, p in adults.items()}
    return replace(case, adults=places)


PLAIN = both_at_their_places(case_of())


def seat(learner: str, adult: str, location: str, start: int, sets: str = "x") -> PlacedSitting:
    """Ten minutes."""
    probe = PlacedProbe("f", (adult, location, sets), "new")
    return PlacedSitting(learner, adult, location, NINE + start, NINE + start + 10, (probe,))


@pytest.mark.parametrize(
    ("taken", "openings"),
    [
        ([], [("ann", 0, 60), ("ben", 0, 60)]),
        # the learner's own: a rest of 5 at the same place, the way of 20 to the other
        ([seat("wren", "ann", "home", 30)], [("ann", 0, 25), ("ann", 45, 60), ("ben", 0, 10)]),
        # Ann's with somebody else, at the same place and at the other
        ([seat("finch", "ann", "home", 30)], [("ann", 0, 30), ("ann", 40, 60), ("ben", 0, 60)]),
        ([seat("finch", "ann", "park", 30)], [("ann", 0, 10), ("ben", 0, 60)]),
        # nobody's who matters here
        ([seat("finch", "dan", "home", 30)], [("ann", 0, 60), ("ben", 0, 60)]),
    ],
)
def test_what_seats_leave_of_the_hours(
    taken: list[PlacedSitting], openings: list[tuple[str, int, int]]
) -> None:
    assert opened(PLAIN, *taken) == openings


def test_the_rest_where_it_is_longer_than_the_way() -> None:
    case = replace(PLAIN, travel=Travel(3))
    assert opened(case, seat("wren", "ann", "home", 30)) == [
        ("ann", 0, 25),
        ("ann", 45, 60),
        ("ben", 0, 25),
        ("ben", 45, 60),
    ]


def test_a_rest_goes_on_over_midnight_and_a_way_does_not() -> None:
    """Wren is with Ann until ten minutes before midnight on Monday; a rest is 30 minutes, the way to the park 60."""
    late = WeeklyHours(((Window(DAY - 60, DAY),), (Window(0, 60),), *[()] * 5))
    case = replace(PLAIN, travel=Travel(60), policy=replace(PLAIN.policy, rest_minutes=30))
    case = replace(
        case,
        learners={"wren": replace(case.learners["wren"], free=late)},
        adults={i: replace(a, free=late) for i, a in case.adults.items()},
    )
    evening = seat("wren", "ann", "home", DAY - 20 - NINE)
    found = [(adult, start + NINE, end + NINE) for adult, start, end in opened(case, evening)]
    assert found == [("ann", DAY - 60, DAY - 50), ("ann", DAY + 20, DAY + 60), ("ben", DAY + 20, DAY + 60)]


def test_a_full_place_is_no_opening() -> None:
    taken = [seat("finch", "dan", "home", 20), seat("robin", "eve", "home", 25)]
    assert opened(holding(PLAIN, "home", 2), *taken) == [("ann", 0, 25), ("ann", 30, 60), ("ben", 0, 60)]
    assert opened(holding(PLAIN, "home", 1), *taken) == [("ann", 0, 20), ("ann", 35, 60), ("ben", 0, 60)]
    assert opened(holding(PLAIN, "home", 3), *taken) == [("ann", 0, 60), ("ben", 0, 60)]
    # one leaves as the next one comes
    after = [seat("finch", "dan", "home", 20), seat("robin", "eve", "home", 30)]
    assert saturated_windows(holding(PLAIN, "home", 2).locations["home"], after) == ()
    assert saturated_windows(holding(PLAIN, "home", 1).locations["home"], after) == ((NINE + 20, NINE + 40),)
    assert saturated_windows(holding(PLAIN, "home", 1).locations["park"], after) == ()


def test_who_works_with_whom_and_where() -> None:
    """Each alone closes Ann's opening: the place, the adult's learners, the adult's places."""
    everywhere = [("ann", 0, 60), ("ben", 0, 60)]
    assert opened(PLAIN) == everywhere
    place = replace(PLAIN.locations["home"], learners=frozenset(["robin"]))
    assert opened(replace(PLAIN, locations={**PLAIN.locations, "home": place})) == [("ben", 0, 60)]
    for change in ({"learners": frozenset(["robin"])}, {"locations": frozenset[str]()}):
        ann = replace(PLAIN.adults["ann"], **change)  # type: ignore[arg-type]
        assert opened(replace(PLAIN, adults={**PLAIN.adults, "ann": ann})) == [("ben", 0, 60)]


def test_a_place_that_is_closed_closes_no_other() -> None:
    shut = replace(PLAIN.locations["home"], open=WeeklyHours.never())
    assert opened(replace(PLAIN, locations={**PLAIN.locations, "home": shut})) == [("ben", 0, 60)]


def test_a_set_that_comes_or_goes_cuts_no_opening() -> None:
    """A sitting without it may lie across that minute."""
    gone = replace(PLAIN.material_sets["set-a"], missing=(Absence(at(20), at(30)), Absence(at(50), at(99))))
    case = replace(PLAIN, material_sets={**PLAIN.material_sets, "set-a": gone})
    assert opened(case) == opened(PLAIN) == [("ann", 0, 60), ("ben", 0, 60)]


def test_an_opening_where_somebody_can_sit_beside() -> None:
    """Ann, who goes everywhere, is new to Wren. Ben knows Wren and can be at home until 9:30, or in the park; then he
    is with Finch from 9:10, twenty minutes away."""
    case = replace(PLAIN, adults={i: replace(a, locations=None) for i, a in PLAIN.adults.items()})
    ben = replace(case.adults["ben"], free=monday(30))
    policy = replace(case.policy, accompany_new_adults=True)
    case = replace(case, adults={**case.adults, "ben": ben}, policy=policy)
    free = hours(case, WEEK, NOW, {}, {"wren": frozenset(["ben"])})
    found = openings_of(case, free, "wren")
    assert [(o.adult, o.location, o.end - NINE) for o in found] == [
        (adult, place, 30) for adult in ("ann", "ben") for place in ("home", "park")
    ]
    beside = companions_for(case, free, found, ())
    assert {(o.adult, o.location): [(c.adult, c.end - NINE) for c in who] for o, who in beside.items()} == {
        ("ann", "home"): [("ben", 30)],
        ("ann", "park"): [("ben", 30)],
    }
    taken = [seat("finch", "ben", "home", 10)]
    left = openings_of(case, free, "wren", taken)
    assert [(o.adult, o.location, o.start - NINE, o.end - NINE) for o in left] == [
        ("ann", "home", 0, 10),
        ("ann", "home", 20, 30),
        ("ben", "home", 0, 10),
        ("ben", "home", 20, 30),
    ]


def test_windows_are_cut_at_midnight() -> None:
    windows = (Window(100, DAY), Window(2 * DAY - 1, 4 * DAY + 5))
    assert split_at_midnight(windows) == [
        (100, DAY),
        (2 * DAY - 1, 2 * DAY),
        (2 * DAY, 3 * DAY),
        (3 * DAY, 4 * DAY),
        (4 * DAY, 4 * DAY + 5),
    ]


def test_what_begins_beside_gaps_touches_none() -> None:
    gaps = (Window(10, 20), Window(30, 40))
    assert starts_beside(gaps, range(0, 51, 5), 5) == [0, 5, 20, 25, 40, 45, 50]
    assert starts_beside(gaps, range(0, 51, 5), 10) == [0, 20, 40, 45, 50]
    assert starts_beside((), [7], 5) == [7]


def test_an_opening_of_two_days_is_two() -> None:
    always = WeeklyHours(((), (Window(1430, DAY),), (Window(0, 10),), (), (), (), ()))
    case = replace(PLAIN, learners={"wren": replace(PLAIN.learners["wren"], free=always)})
    adults = {i: replace(a, free=WeeklyHours.always()) for i, a in case.adults.items()}
    found = openings_of(case, hours(replace(case, adults=adults), WEEK, NOW, {}), "wren")
    assert [(o.day, o.start, o.end) for o in found if o.adult == "ann"] == [
        (1, 2 * DAY - 10, 2 * DAY),
        (2, 2 * DAY, 2 * DAY + 10),
    ]
