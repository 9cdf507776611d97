"""A crowded day shared out anew: who takes part, what stays, and that only what is better is taken."""

from __future__ import annotations

from typing import Any

from genplan.case import Case, WeeklyHours, Window
from genplan.plan import ProbeKind
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import Workers
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import OPERATORS
from genplan.planning.search_settings import SETTINGS
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, monday_case, skill
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, Asked, Inline

HERE = Workers(Inline(), lambda _: None)
TESS, ANN, HALL = ("adult", "tess"), ("adult", "ann"), ("location", "hall")
DAY = 24 * 60
Seats = dict[str, tuple[PlacedSitting, ...]]


def two_days(minutes: int) -> WeeklyHours:
    """From nine o'clock on Monday and on Tuesday."""
    return WeeklyHours((*[(Window(NINE, NINE + minutes),)] * 2, *[()] * 5))


def case_of(minutes: int, **skills: str) -> Case:
    """For each learner the adults of the one skill, which is named after the learner."""
    people = dict.fromkeys(skills, two_days(minutes))
    adults = dict.fromkeys(("ann", "tess"), two_days(minutes))
    return monday_case(people, adults, *(skill(i, i, who, "hall") for i, who in skills.items()))


def load_of(case: Case) -> Caseload:
    return week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ()).caseload


def seat(learner: str, start: int, minutes: int = 10, adult: str = "tess", day: int = 0) -> PlacedSitting:
    """In minutes after nine."""
    probe = PlacedProbe(learner, (adult, "hall", f"set-{learner}"), ProbeKind.NEW)
    at = day * DAY + NINE + start
    return PlacedSitting(learner, adult, "hall", at, at + minutes, (probe,))


def shared_out(
    workers: Workers, case: Case, seats: Seats, most: dict[str, int], *scarce: tuple[str, str]
) -> Seats:
    best = BestSoFar(load=load_of(case), most=most, scarce=scarce).with_seats(seats)
    return dict(improved(best, workers, [o for o in OPERATORS if o.name == "crowded days"]).seats)


def asked(case: Case, seats: Seats, most: dict[str, int], *scarce: tuple[str, str]) -> list[Any]:
    """The problems that are solved where nothing better is found."""
    solver = Asked()
    assert shared_out(Workers(solver, lambda _: None), case, seats, most, *scarce) == seats
    return [move.solves[0].problem for move in solver.jobs]


def test_those_who_stand_in_each_others_way_move_together() -> None:
    """Ash has Tess from 8 to 18 minutes past: neither Robin's 10 minutes nor Wren's fit before or after, in her 25."""
    case = case_of(25, ash="tess", robin="tess", wren="tess")
    seats: Seats = {"ash": (seat("ash", 8), seat("ash", 8, day=1)), "robin": (), "wren": ()}
    shared = shared_out(HERE, case, seats, dict.fromkeys(seats, 2), TESS)
    assert all(shared.values())
    assert sum(map(len, shared.values())) >= 3
    # where nobody falls short all stays, and nothing is asked
    assert asked(case, seats, dict.fromkeys(seats, 0), TESS) == []


def test_what_there_is_on_other_days_and_with_others_stays() -> None:
    case = case_of(60, robin="ann tess", wren="ann tess")
    stay = seat("robin", 0, adult="ann"), seat("robin", 20, day=1)
    seats: Seats = {"robin": (seat("robin", 30), *stay), "wren": ()}
    monday, tuesday = asked(case, seats, {"robin": 2, "wren": 2}, TESS)
    assert monday.learners == tuesday.learners == ("robin", "wren")
    assert monday.taken == stay
    assert {(o.adult, o.day) for o in monday.openings} == {("tess", 0)}
    # what stays is not owed again: Robin has both combinations
    assert {c.target for n in monday.needs for c in n.choices} == {"wren"}
    assert {(o.adult, o.day) for o in tuesday.openings} == {("tess", 1)}


def test_a_place_is_shared_out_whoever_is_there() -> None:
    case = case_of(60, robin="ann", wren="tess")
    seats: Seats = {"robin": (seat("robin", 0, adult="ann"),), "wren": ()}
    first, _ = asked(case, seats, {"robin": 1, "wren": 1}, HALL)
    assert {(o.adult, o.location, o.day) for o in first.openings} == {("ann", "hall", 0), ("tess", "hall", 0)}


def test_those_who_miss_most_take_part_and_not_those_who_have_no_use_for_it() -> None:
    names = [f"learner-{n}" for n in range(SETTINGS.join_at_most + 2)]
    case = case_of(60, **dict.fromkeys(names, "tess"))
    case = monday_case(
        {i: two_days(60) for i in (*names, "wren")},
        dict.fromkeys(("ann", "tess"), two_days(60)),
        *case.targets.values(),
        skill("wren", "wren", "ann", "hall"),
    )
    seats: Seats = dict.fromkeys((*names, "wren"), ())
    most = {i: n for n, i in enumerate(names)} | {"wren": 99}
    first, *_ = asked(case, seats, most, TESS)
    # of eight the first misses nothing and the second least; Tess works with Wren too, but for nothing that is owed
    assert first.learners == tuple(names[2:])
