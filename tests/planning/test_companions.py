"""An adult who is new to a child sits beside one who is not: each part of the rule by innocent, offence, near miss."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from random import Random

import pytest

from genplan.case import Absence, AdultLimits, Case, Travel, WeeklyHours, Window
from genplan.evidence.familiarity import familiar_adults
from genplan.evidence.log import Log
from genplan.plan import Beside, Plan
from genplan.planning.compatible import conflict
from genplan.rules.placed_sittings import PlacedSitting
from genplan.text.limits import limit_sentence
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.search_settings import search_with
from tests.fixtures.second_cases import (
    ALL_DAY,
    MONDAY,
    SUNDAY,
    at,
    beside,
    case_of,
    day,
    having,
    new_tuples,
    planned,
    ran,
    skill,
)

COMPANION = ("ben", "ann", "companion")


def new_ben(**policy: object) -> Case:
    """Ben is to run both sets of Wren's skill (2 probes, one a day), and only Ann has worked with Wren."""
    return case_of(skill("wren", "ben"), adults="ann ben", accompany_new_adults=True, **policy)


def reasons(case: Case, plan: Plan) -> set[str]:
    return {limit_sentence(case, x.limit) for x in plan.left_out}


def test_every_sitting_of_a_new_adult_has_a_companion_who_is_not_new() -> None:
    assert beside(planned(new_ben())) == [COMPANION, COMPANION]


def test_nobody_sits_beside_where_the_policy_does_not_ask() -> None:
    case = new_ben()
    off = replace(case, policy=replace(case.policy, accompany_new_adults=False))
    assert beside(planned(off)) == [("ben", "", "")] * 2


@pytest.mark.parametrize(
    ("row", "alone"),
    [
        (ran("ben", date(2026, 11, 2), "blue"), True),
        (ran("ben", date(2026, 11, 2), "blue", kind="teaching"), True),
        (ran("ben", date(2026, 11, 2), "blue", kind="maintenance"), True),
        (ran("ben", date(2026, 11, 2), "blue", kind="not run"), False),
        (ran("ann", date(2026, 11, 2), "blue", observer="ben", observer_correct=5), False),
    ],
)
def test_a_result_with_the_child_makes_an_adult_known(row: object, alone: bool) -> None:
    plan = planned(new_ben(), Log.of([row]))  # type: ignore[list-item]
    assert plan.sittings
    assert all((s.beside == "") is alone for s in plan.sittings)


def test_a_result_with_another_child_does_not() -> None:
    case = case_of(skill("wren", "ben"), skill("robin", "ben", "other", "green"), adults="ann ben")
    log = Log.of([ran("ben", date(2026, 11, 2), "green", "other")])
    assert familiar_adults(case, log) == {"robin": frozenset({"ann", "ben"}), "wren": frozenset({"ann"})}


def test_with_nobody_who_knows_the_child_nothing_is_planned_and_the_reason_is_told() -> None:
    case = having(new_ben(), "targets", "skill", taught=())
    plan = planned(case)
    assert plan.sittings == ()
    assert reasons(case, plan) == {"nobody has worked with W. yet who could sit beside an adult who has not"}


def test_who_cannot_sit_beside_is_told_where_there_is_a_companion_without_time() -> None:
    plan = planned(having(new_ben(), "adults", "ann", free=WeeklyHours.never()))
    assert plan.sittings == ()
    assert reasons(new_ben(), plan) == {
        "Ben has not worked with W. yet, and nobody who has can sit beside at Home this week"
    }


@pytest.mark.parametrize(("minutes", "sittings"), [(9, 0), (10, 1)])
def test_a_companion_is_there_for_all_of_it(minutes: int, sittings: int) -> None:
    # settling takes 5 minutes and the probe 5: ten minutes of Ann's are enough, nine are not
    case = having(new_ben(), "adults", "ann", free=day((at(10), at(10, minutes)), on=0))
    plan = planned(case)
    assert [f"{s.start:%a %H:%M}" for s in plan.sittings] == ["Mon 10:00"][:sittings]


@pytest.mark.parametrize(("second_starts", "sittings"), [(5, 0), (0, 1)])
def test_two_adults_cannot_take_turns_beside_one_sitting(second_starts: int, sittings: int) -> None:
    # Ann until 10:05 and Cat from then on would hold the sitting of 10:00 to 10:10 together only; from 10:00 on Cat can
    case = case_of(
        skill("wren", "ben", taught=({"adult": "ann"}, {"adult": "cat"})), accompany_new_adults=True
    )
    case = having(case, "adults", "ann", free=day((at(10), at(10, 5)), on=0))
    case = having(case, "adults", "cat", free=day((at(10, second_starts), at(10, 10)), on=0))
    assert beside(planned(case)) == [("ben", "cat", "companion")][:sittings]


@pytest.mark.parametrize(
    "changes", [{"learners": frozenset()}, {"locations": frozenset({"park"})}, {"free": WeeklyHours.never()}]
)
def test_a_companion_works_with_the_child_and_goes_there(changes: dict[str, object]) -> None:
    assert planned(having(new_ben(), "adults", "ann", **changes)).sittings == ()


def test_a_companion_need_not_be_briefed() -> None:
    plan = planned(having(new_ben(), "adults", "ann", briefed_on=frozenset()))
    assert beside(plan) == [COMPANION, COMPANION]


@pytest.mark.parametrize(
    ("never", "sittings"),
    [({"adult": "ann", "location": "home"}, 0), ({"adult": "ann", "location": "park"}, 2)],
)
def test_who_must_not_run_a_probe_there_does_not_sit_beside_it(never: dict[str, str], sittings: int) -> None:
    plan = planned(having(new_ben(), "targets", "skill", never=(never,)))
    assert len(plan.sittings) == sittings


def test_a_never_of_one_set_leaves_the_other() -> None:
    case = having(new_ben(), "targets", "skill", never=({"adult": "ann", "material_set": "blue"},))
    assert [p.combination[2] for s in planned(case).sittings for p in s.probes] == ["red"]


@pytest.mark.parametrize(("limit", "sittings"), [(9, 0), (10, 1), (19, 1), (20, 2)])
def test_a_companions_minutes_count_against_the_limit(limit: int, sittings: int) -> None:
    case = having(new_ben(), "adults", "ann", limits=AdultLimits(minutes_per_week=limit))
    assert len(planned(case).sittings) == sittings


@pytest.mark.parametrize(("a_day", "sittings"), [(1, 1), (2, 2)])
def test_a_companions_sittings_count_against_the_limit_of_a_day(a_day: int, sittings: int) -> None:
    case = having(new_ben(probes_per_target_per_day=2), "adults", "ann", limits=AdultLimits(a_day))
    assert len(planned(having(case, "learners", "wren", free=MONDAY)).sittings) == sittings


def two_children(minutes: int, way: int, elsewhere: str) -> Case:
    """On Monday Ann runs Robin's one probe at home or in the park, and is the only one to sit beside Ben, with Wren."""
    case = case_of(
        skill("wren", "ben", sets="red"),
        skill("robin", "ann", "other", "green", places=elsewhere),
        adults="ann ben",
        accompany_new_adults=True,
        start_every_minutes=5,
    )
    hours = day((at(10), at(10, minutes)), on=0)
    case = replace(case, travel=Travel(0, {frozenset(("home", "park")): way}))
    return having(having(case, "learners", "wren", free=hours), "learners", "robin", free=hours)


@pytest.mark.parametrize(
    ("minutes", "way", "elsewhere", "sittings"),
    [(19, 5, "home", 1), (20, 5, "home", 2), (24, 5, "park", 1), (25, 5, "park", 2)],
)
def test_a_companion_sits_nowhere_else_and_travels(
    minutes: int, way: int, elsewhere: str, sittings: int
) -> None:
    # two sittings of ten minutes one after the other, and between home and park a way of five
    assert len(planned(two_children(minutes, way, elsewhere)).sittings) == sittings


def test_the_reason_names_the_missing_companion_beside_other_plans() -> None:
    """Robin's probe can only be with Ann in the ten minutes that Ben would need her for."""
    case = having(two_children(10, 0, "home"), "learners", "wren", needs=0.5)
    plan = planned(case)
    assert [s.learner for s in plan.sittings] == ["robin"]
    (left,) = {(x.rule, limit_sentence(case, x.limit)) for x in plan.left_out if x.learner == "wren"}
    assert left == (
        "companion of ben",
        "Ben has not worked with W. yet, and whoever has and could sit beside is taken: Ann is with another learner,"
        " or on the way, in those hours",
    )


def told(plan: Plan) -> Plan:
    assert len(plan.sittings) == 2
    return plan


def test_a_companion_that_people_were_told_of_stays() -> None:
    case = case_of(
        skill("wren", "ben", taught=({"adult": "ann"}, {"adult": "cat"})), accompany_new_adults=True
    )
    for name in ("ann", "cat"):
        other = having(case, "adults", "cat" if name == "ann" else "ann", free=WeeklyHours.never())
        first = told(planned(other))
        assert {s.beside for s in first.sittings} == {name}
        again = planned(case, kept=first.sittings)
        assert {s.beside for s in again.sittings} == {name}
        assert [s.start for s in again.sittings] == [s.start for s in first.sittings]


def test_a_companion_who_falls_ill_takes_the_sittings_along() -> None:
    case = new_ben()
    first = told(planned(case))
    ill = having(case, "adults", "ann", away=(Absence(datetime(2026, 11, 30), datetime(2026, 12, 7)),))
    assert planned(ill, kept=first.sittings, now=SUNDAY).sittings == ()


@pytest.mark.parametrize("seed", by_day_the_first(range(8), 4))
def test_one_companion_is_the_same_as_the_hours_in_which_both_are_free(seed: int) -> None:
    """With one child, and one companion who runs nothing, the rule takes from Ben's hours what Ann is not free: the
    best week must be worth the same as that of a case without the rule and with those hours."""
    rng = Random(seed)

    def some() -> WeeklyHours:
        starts = [rng.randrange(at(9), at(12), 5) for _ in range(7)]
        return WeeklyHours(
            tuple((Window(s, s + rng.choice([10, 20, 45])),) if rng.random() < 0.8 else () for s in starts)
        )

    case = case_of(
        skill("wren", "ben", sets="blue green red"),
        skill("wren", "ben", "second", sets="blue red", minutes=10),
        adults="ann ben",
        accompany_new_adults=True,
    )
    ann, ben = some(), ALL_DAY if seed % 2 else some()
    case = having(having(case, "adults", "ann", free=ann), "adults", "ben", free=ben)
    both = WeeklyHours(
        tuple(
            tuple(
                Window(max(a.start, b.start), min(a.end, b.end))
                for a in one
                for b in other
                if max(a.start, b.start) < min(a.end, b.end)
            )
            for one, other in zip(ann.days, ben.days, strict=True)
        )
    )
    plain = replace(case, policy=replace(case.policy, accompany_new_adults=False))
    assert new_tuples(planned(case)) == new_tuples(planned(having(plain, "adults", "ben", free=both)))


@pytest.mark.parametrize(
    ("minutes", "way", "elsewhere", "sittings"),
    by_day_the_first([(24, 5, "park", 1), (25, 5, "park", 2), (19, 5, "home", 1), (20, 5, "home", 2)], 2),
)
def test_children_planned_in_turn_share_a_companion_alike(
    minutes: int, way: int, elsewhere: str, sittings: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    search_with(monkeypatch, "caseload", joint_variables=0)
    assert len(planned(two_children(minutes, way, elsewhere)).sittings) == sittings


def seat(learner: str, adult: str, start: int, location: str = "home", by: str = "") -> PlacedSitting:
    part = Beside.COMPANION if by else Beside.NOBODY
    return PlacedSitting(learner, adult, location, at(10, start), at(10, start + 10), (), by, part)


@pytest.mark.parametrize(
    ("other", "clash"),
    [
        (seat("robin", "ann", 9), True),
        (seat("robin", "ann", 10), False),
        (seat("robin", "ann", 14, "park"), True),
        (seat("robin", "ann", 15, "park"), False),
        (seat("robin", "cat", 5, by="ann"), True),
        (seat("robin", "cat", 5, by="cat"), False),
    ],
)
def test_seats_planned_apart_fit_only_if_the_companion_can_be_in_both(
    other: PlacedSitting, clash: bool
) -> None:
    case = replace(two_children(60, 5, "park"), adults=case_of(skill("wren", "ben")).adults)
    mine = seat("wren", "ben", 0, by="ann")
    assert conflict(case, mine, [other]) is clash
    assert conflict(case, other, [mine]) is clash


@pytest.mark.parametrize(("limit", "clash"), [(19, True), (20, False)])
def test_seats_planned_apart_share_the_companions_minutes(limit: int, clash: bool) -> None:
    case = having(two_children(60, 5, "park"), "adults", "ann", limits=AdultLimits(minutes_per_week=limit))
    assert conflict(case, seat("wren", "ben", 0, by="ann"), [seat("robin", "ann", 30)]) is clash
