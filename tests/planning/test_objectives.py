"""The value of each objective of one week, by hand: a sitting of one probe takes 10 minutes, sittings start on a grid
of 5, which is the 108th step of the day at nine."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from genplan.case import Case, Preferences, Target, Travel, WeeklyHours, Window, Wish
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import COMFORT, COVERAGE, Beside, ObjectiveName, StageStatus, in_order
from genplan.planning.needs import need_of
from genplan.planning.openings import hours
from genplan.planning.problem import Problem, problem_for
from genplan.planning.solver.covering import link_coverage
from genplan.planning.solver.objectives import goals_for
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.stages import solve
from genplan.planning.solver.variables import build_variables
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, limited, monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK, product_case

DAY = 24 * 60
LONG = monday(180)


def days(*minutes: int) -> WeeklyHours:
    """So many minutes from nine o'clock, for each day of the week from Monday on."""
    windows = [(Window(NINE, NINE + m),) if m else () for m in minutes]
    return WeeklyHours((*windows, *[()] * (7 - len(minutes))))


def problem(
    case: Case, rows: tuple[Result, ...] = (), taken: tuple[PlacedSitting, ...] = (), **more: Any
) -> Problem:
    needs = tuple(need_of(case, t, Log.of(rows), WEEK, NOW.date(), taken) for t in case.mastered)
    asked = problem_for(case, WEEK, hours(case, WEEK, NOW, {}), tuple(case.learners), needs, taken)
    return replace(asked, **more)


def goals(asked: Problem, begun: bool = False) -> tuple[ObjectiveName, ...]:
    """All that the problem has something for, in their order."""
    some = {
        ObjectiveName.ASKED: asked.asked,
        ObjectiveName.TOLD: asked.told,
        ObjectiveName.LEFT_TO_OTHERS: asked.prices,
    }
    return in_order((*COVERAGE, *COMFORT, *(name for name, there in some.items() if there)), told_first=begun)


def values(asked: Problem, begun: bool = False) -> dict[str, float]:
    """The value of each objective, each proven."""
    outcome = solve(asked, goals(asked, begun))
    assert all(o.status is StageStatus.OPTIMAL and o.value == o.bound for o in outcome.objectives)
    return {o.name: o.value for o in outcome.objectives}


def fair(case: Case) -> Case:
    return replace(case, policy=replace(case.policy, prefer=Preferences()))


def one(wren: WeeklyHours = LONG, *skills: Target, **policy: Any) -> Case:
    return monday_case({"wren": wren}, {"ann": LONG}, *(skills or [skill("a", "wren")]), **policy)


def test_a_week_of_one_probe() -> None:
    assert values(problem(fair(one()))) == {
        "due": 0,
        "dated": 0,
        "wished": 0,
        "shares": 0,
        "new tuples": 1,
        "teaching": 0,
        "waited": 0,
        "changes": 0,
        "further probes": 0,
        "fell through": 0,
        "sittings": 1,
        "probes": 1,
        "catch up": 0,
        # ten of the hundred and eighty minutes: half a tenth, so one in whole tenths
        "loads": 1,
        "spread": 1,
        "waiting": 0,
        "early": NINE / 5,
    }


def retest(day: int, target: str = "a") -> tuple[Result, ...]:
    """Not met, and taught two days later."""
    combination = ("ann", "home", f"set-{target}")
    failed = Result(
        line=day,
        date=date(2026, 11, day),
        time=None,
        target=target,
        kind=ResultKind.PROBE,
        combination=combination,
        trials=5,
        correct=1,
    )
    taught = Result(
        line=day + 1,
        date=date(2026, 11, day + 2),
        time=None,
        target=target,
        kind=ResultKind.TEACHING,
        combination=combination,
    )
    return failed, taught


@pytest.mark.parametrize(("mastered", "value"), [(22, 2), (23, 1), (29, 1), (30, 0)])
def test_what_is_due(mastered: int, value: int) -> None:
    """A maintenance probe a week after mastery, overdue from before this Monday on; with the retest of skill c."""
    taught = ({"adult": "ann", "location": "home", "material_set": "set-a"},)
    kept = {"mastered_on": date(2026, 11, mastered), "maintenance_days": (7,), "taught": taught}
    case = one(LONG, skill("a", "wren", **kept))
    assert values(problem(case))["due"] == value
    both = one(LONG, skill("a", "wren", **kept), skill("c", "wren"))
    assert values(problem(both, retest(2, "c")))["due"] == value + 1


@pytest.mark.parametrize(
    ("wren", "days_after_monday"), [(days(60), 0), (days(0, 0, 60), 2), (days(0, 60, 60), 1)]
)
def test_what_is_due_waits_for_its_day(wren: WeeklyHours, days_after_monday: int) -> None:
    case = replace(one(wren), adults={"ann": replace(one().adults["ann"], free=days(60, 60, 60))})
    assert values(problem(case, retest(2)))["waiting"] == days_after_monday
    # a new probe waits for nothing
    assert values(problem(case))["waiting"] == 0


def test_wishes_before_the_rest() -> None:
    """Ten minutes hold one of two sets."""
    target = skill("a", "wren", sets="x y", first=(Wish({"material_set": "y"}),))
    asked = problem(one(monday(10), target))
    assert solve(asked, goals(asked)).seats[0].material_sets == {"y"}
    found = values(asked)
    assert (found["wished"], found["dated"], found["new tuples"]) == (1, 0, 1)
    last = tuple(
        replace(n, wishes=tuple(replace(w, last_chance=True) for w in n.wishes)) for n in asked.needs
    )
    found = values(replace(asked, needs=last))
    assert (found["wished"], found["dated"]) == (1, 1)


@pytest.mark.parametrize(
    ("alone", "share"),
    [
        ({"wren": 100, "robin": 100}, 1),
        ({"wren": 200, "robin": 100}, 0.5),
        ({"wren": 300, "robin": 200}, 0.333),
        ({}, 0),
        ({"wren": 0, "robin": 0}, 0),
        ({"wren": 0, "robin": 200}, 0.5),
        ({"robin": 400}, 0.25),
    ],
)
def test_the_share_of_who_is_worst_off(alone: dict[str, int], share: float) -> None:
    """One new tuple each, where alone a learner could have so many."""
    skills = skill("a", "wren"), skill("b", "robin")
    free = {"wren": LONG, "robin": LONG}
    case = monday_case(free, {"ann": LONG}, *skills)
    counts = {i: most // 100 for i, most in alone.items()}
    assert values(problem(case, alone=counts))["shares"] == share


def test_new_tuples_by_need() -> None:
    """Ten minutes of Ann: Wren needs three times what Robin does."""
    skills = skill("a", "wren"), skill("b", "robin")
    case = monday_case({"wren": LONG, "robin": LONG}, {"ann": monday(10)}, *skills)
    wren = replace(case.learners["wren"], needs=3.0)
    asked = problem(replace(case, learners={**case.learners, "wren": wren}))
    assert values(asked)["new tuples"] == 3
    assert [s.learner for s in solve(asked, goals(asked)).seats] == ["wren"]


@pytest.mark.parametrize(("a_week", "further"), [(1, 3), (2, 2), (4, 0), (5, 0)])
def test_what_later_weeks_need(a_week: int, further: int) -> None:
    """The pairs of three two-valued dimensions take four probes."""
    assert values(problem(product_case((2, 2, 2), a_week=a_week)))["further probes"] == further


@pytest.mark.parametrize(
    ("adults", "places", "wren", "value"),
    [
        # in two places on one day: a journey of the learner, and one of the adult who does both
        ("ann ann", "home park", days(180), 4),
        ("ann ben", "home park", days(180), 3),
        ("ann ann", "home park", days(180, 180), 2),
        ("ann ann", "home home", days(180), 1),
        ("ann ben", "home home", days(180), 2),
    ],
)
def test_sittings_and_journeys(adults: str, places: str, wren: WeeklyHours, value: int) -> None:
    """Two skills; where there is another day, one goes there."""
    (one_, other), (here, there) = adults.split(), places.split()
    free = dict.fromkeys(sorted({one_, other}), days(180, 180))
    case = monday_case(
        {"wren": wren}, free, skill("a", "wren", one_, here), skill("c", "wren", other, there), way=20
    )
    assert values(problem(case))["sittings"] == value


def seat(learner: str, adult: str, start: int, *probes: str, day: int = 0, **more: Any) -> PlacedSitting:
    held = tuple(PlacedProbe(t, (adult, "home", f"set-{t}"), "new") for t in probes)
    begin = day * DAY + NINE + start
    return PlacedSitting(learner, adult, "home", begin, begin + 5 + 5 * len(held), held, **more)


@pytest.mark.parametrize(
    ("limit", "taken", "tenths"),
    # 10 minutes of so many: rounded up to tenths
    [(None, 0, 1), (100, 0, 1), (99, 0, 2), (50, 0, 2), (10, 0, 10), (30, 1, 7), (100, 2, 3), (None, 2, 2)],
)
def test_the_load_of_an_adult(limit: int | None, taken: int, tenths: int) -> None:
    """What Ann can give is the limit of her week, or else the minutes in which Wren can be met: 180, less the two times
    ten that are taken, which count as asked for."""
    case = fair(one())
    case = limited(case, "ann", minutes_per_week=limit) if limit else case
    finchs = tuple(seat("finch", "ann", start, "f") for start in (100, 150)[:taken])
    assert values(problem(case, taken=finchs))["loads"] == tenths


@pytest.mark.parametrize(("wren", "fullest"), [(days(180), 2), (days(180, 180), 1), (days(180, 180, 180), 1)])
def test_the_fullest_day(wren: WeeklyHours, fullest: int) -> None:
    """Two skills that two adults have to check in sittings of their own, so that another day costs nothing more."""
    free = {"ann": days(180, 180, 180), "ben": days(180, 180, 180)}
    case = monday_case({"wren": wren}, free, skill("a", "wren", "ann"), skill("c", "wren", "ben"))
    assert values(problem(case))["spread"] == fullest


@pytest.mark.parametrize(
    ("minutes_after", "steps"), [(0, NINE // 5), (1, NINE // 5 + 1), (5, NINE // 5 + 1), (7, NINE // 5 + 2)]
)
def test_as_early_as_it_can_be(minutes_after: int, steps: int) -> None:
    case = monday_case({"wren": monday(60, minutes_after)}, {"ann": LONG}, skill("a", "wren"))
    assert values(problem(case))["early"] == steps


def test_two_sittings_as_early_as_they_can_be() -> None:
    """With Ann at nine and, after a rest of five minutes, with Ben at a quarter past."""
    free = {"ann": LONG, "ben": LONG}
    case = monday_case({"wren": LONG}, free, skill("a", "wren", "ann"), skill("c", "wren", "ben"))
    assert values(problem(case))["early"] == NINE / 5 + (NINE + 15) / 5


def test_what_is_left_to_others() -> None:
    """Ten minutes, each at three for Ann and two for the place; of what has no price nothing."""
    prices = {("adult", "ann"): 3, ("location", "home"): 2, ("adult", "ben"): 9}
    assert values(problem(one(), prices=prices))["left to others"] == 50
    assert values(problem(one(), prices={("location", "home"): 2}))["left to others"] == 20
    assert values(problem(one(), prices={("location", "park"): 2}))["left to others"] == 0
    assert "left to others" not in values(problem(one()))


def test_what_is_asked_for_comes_first() -> None:
    """Ten minutes hold one of two skills: the new one that is asked for goes before a retest that is due."""
    case = one(monday(10), skill("a", "wren"), skill("c", "wren"))
    asked = problem(case, retest(2))
    assert values(asked)["due"] == 1
    tuple_ = next(iter(next(n for n in asked.needs if n.id == "c").open))
    found = values(replace(asked, asked=frozenset([("c", tuple_)])))
    assert list(found)[:2] == ["asked", "due"]
    assert (found["asked"], found["due"], found["new tuples"]) == (1, 0, 1)


TOLD = seat("wren", "ann", 30, "a")


@pytest.mark.parametrize(
    ("told", "value"),
    [
        # at its time, its probe, and nothing otherwise
        ([TOLD], 2 + 1 + 2),
        # off the grid nobody can sit: the probe stays
        ([seat("wren", "ann", 31, "a")], 1),
        # with another probe, which is not run: the time and the one that stays
        ([seat("wren", "ann", 30, "a", "z")], 2 + 1),
        ([seat("wren", "ben", 30, "a")], 0),
        ([seat("wren", "ann", 30, "a", day=1)], 0),
        ([seat("robin", "ann", 30, "a")], 0),
        # who observes is no companion
        ([replace(TOLD, beside="ben", beside_as=Beside.OBSERVER)], 2 + 1 + 2),
        # a companion who is not needed any more
        ([replace(TOLD, beside="ben", beside_as=Beside.COMPANION)], 2 + 1),
        # before the hours
        ([seat("wren", "ann", -5, "a")], 1),
        ([seat("wren", "ann", 180, "a")], 1),
    ],
)
def test_what_people_were_told_of(told: list[PlacedSitting], value: int) -> None:
    found = values(problem(one(), told=tuple(told)))
    assert found["told"] == value
    order = list(found)
    assert order.index("told") == order.index("further probes") - 1
    begun = list(values(problem(one(), told=tuple(told)), begun=True))
    assert begun.index("told") == begun.index("wished") - 1


@pytest.mark.parametrize(
    "names",
    [
        (ObjectiveName.TOLD,),
        (ObjectiveName.ASKED, ObjectiveName.DUE),
        (ObjectiveName.WORTH,),
        (ObjectiveName.DUE, ObjectiveName.LEFT_TO_OTHERS),
        (ObjectiveName.DUE, ObjectiveName.DUE),
        (ObjectiveName.NEW_TUPLES, ObjectiveName.DUE),
        ("comfort",),
    ],
)
def test_a_search_for_what_the_problem_has_nothing_for_is_refused(names: tuple[ObjectiveName, ...]) -> None:
    """None of these is left out without a word: nobody was told of anything, asked for anything, or pays a toll."""
    with pytest.raises(ValueError, match=r"objective|No search"):
        solve(problem(one()), names)


def test_every_variable_of_a_model_has_a_name() -> None:
    """So that a model can be read, where it says something odd."""
    case = monday_case(
        {"wren": LONG, "robin": LONG}, {"ann": LONG, "ben": LONG}, skill("a", "wren"), skill("c", "robin")
    )
    asked = problem(replace(fair(case), travel=Travel(10)), told=(TOLD,))
    v = build_variables(asked)
    link_coverage(v)
    for rule in RULES:
        rule(v)
    assert [g.name for g in goals_for(asked, goals(asked)) if g.expression(v) is None] != []
    names = [one.name for one in v.model.proto.variables]
    assert len(names) > 20
    assert [i for i, name in enumerate(names) if not name] == []


def test_of_comfort_with_the_probes_as_they_are_nothing_is_proven() -> None:
    """One skill, one sitting, on Monday at nine either way: but only the whole search knows that none is better."""
    asked = problem(monday_case({"wren": LONG}, {"ann": LONG, "ben": LONG}, skill("a", "wren", "ann ben")))
    whole, stay = solve(asked, goals(asked)), solve(asked, goals(asked), probes_stay=True)
    assert [(o.name, o.value) for o in stay.objectives] == [(o.name, o.value) for o in whole.objectives]
    assert all(o.status is StageStatus.OPTIMAL for o in whole.objectives)
    unproven = [o for o in stay.objectives if o.status is not StageStatus.OPTIMAL]
    assert {o.name for o in unproven} == {ObjectiveName.SPREAD, ObjectiveName.EARLY}
    assert all(o.bound < o.value for o in unproven)


def test_what_is_proven_holds_only_if_all_before_it_are_at_their_best() -> None:
    """One skill is owed teaching with Ann. The check of another that is due is with Ben, who is never there: with it,
    two sittings would be the fewest."""
    taught = ({"adult": "ben", "location": "home", "material_set": "set-b"},)
    due = skill("b", "wren", "ben", taught=taught, mastered_on=date(2026, 11, 24), maintenance_days=(7,))
    case = monday_case(
        {"wren": LONG}, {"ann": LONG, "ben": monday(0)}, skill("a", "wren"), due, plan_teaching=True
    )
    failed, _ = retest(9)
    nothing = dict.fromkeys((*COVERAGE, ObjectiveName.CHANGES, ObjectiveName.FURTHER_PROBES), 0.0)
    proven = {ObjectiveName.DUE: 1.0, ObjectiveName.TEACHING: 2.0, ObjectiveName.SITTINGS: 2.0}
    asked = problem(case, (failed,), proven=nothing | proven)
    assert values(asked)[ObjectiveName.SITTINGS] == 1
