"""In a caseload planned in turn: who would lose most without a scarce adult comes first, and journeys are spared."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from random import Random

import pytest

from genplan.case import Case
from genplan.plan import ObjectiveName, StageStatus
from genplan.planning.alone import plan_alone
from genplan.planning.bottlenecks import bottlenecks_in, by_loss, lagrangian_bound
from genplan.planning.caseload_problem import Caseload
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedSitting
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, Inline, plan_one
from tests.fixtures.search_settings import search_with

HERE = Workers(Inline(), lambda _: None)


def caseload_of(case: Case) -> Caseload:
    return week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ()).caseload


def wanted_in(case: Case) -> dict[str, tuple[PlacedSitting, ...]]:
    load = caseload_of(case)
    alone = plan_alone(load, HERE)
    return by_loss(load, alone, bottlenecks_in(load, HERE, alone))


def order_of(case: Case) -> list[str]:
    return list(wanted_in(case))


def tess_for_both(minutes: int) -> Case:
    """Robin has one skill with Tess (a sitting of 10 minutes), Wren two (15 minutes); of all three there are so many
    minutes."""
    skills = [skill("a", "robin", "tess"), skill("b", "wren", "tess"), skill("c", "wren", "tess")]
    return monday_case(dict.fromkeys(("robin", "wren"), monday(minutes)), {"tess": monday(minutes)}, *skills)


def test_who_loses_more_without_the_scarce_adult_is_planned_first(monkeypatch: pytest.MonkeyPatch) -> None:
    # 10 or 15 of 15 minutes
    search_with(monkeypatch, "caseload", joint_variables=0)
    case = tess_for_both(15)
    assert order_of(case) == ["wren", "robin"]
    assert {s.learner for s in plan_one(case).sittings} == {"wren"}


def test_a_learner_of_more_weight_loses_more() -> None:
    case = tess_for_both(20)
    robin = replace(case.learners["robin"], needs=3.0)
    assert order_of(replace(case, learners={**case.learners, "robin": robin})) == ["robin", "wren"]


def test_what_is_asked_for_by_half_or_less_is_not_scarce() -> None:
    # 25 of 50 minutes are half of them, 25 of 45 are more
    assert order_of(tess_for_both(50)) == ["robin", "wren"]
    assert order_of(tess_for_both(45)) == ["wren", "robin"]


def test_who_does_as_well_without_the_scarce_adult_waits_for_those_who_do_not() -> None:
    # Robin's one probe a week can be Ann's as well as Tess's
    skills = [skill("a", "robin", "ann tess"), skill("b", "wren", "tess"), skill("c", "wren", "tess")]
    people = dict.fromkeys(("robin", "wren"), monday(20))
    case = monday_case(
        people, dict.fromkeys(("ann", "tess"), monday(20)), *skills, probes_per_target_per_week=1
    )
    wanted = wanted_in(case)
    assert list(wanted) == ["wren", "robin"]
    assert [s.adult for s in wanted["robin"]] == ["ann"]


def test_the_way_to_where_nobody_else_is_seen_counts_as_the_adults_time() -> None:
    """Both have one probe with Tess, Robin's at home or in the hall, which are 30 minutes apart."""
    skills = [skill("a", "robin", "tess", "hall home-robin"), skill("b", "wren", "tess", "hall")]
    people = dict.fromkeys(("robin", "wren"), monday(60))
    case = monday_case(people, {"tess": monday(60)}, *skills, way=30, probes_per_target_per_week=1)
    at_home = {
        **case.locations,
        "home-robin": replace(case.locations["home-robin"], learners=frozenset({"robin"})),
    }
    load = caseload_of(replace(case, locations=at_home))
    assert load.detours == {"home-robin": 30}
    alone = plan_alone(load, HERE)
    assert [s.location for s in alone["robin"].seats] == ["hall"]


def crowded_monday(seed: int) -> Case:
    """A few learners who all have skills with Tess, some of them with Ann as well; there is little time."""
    rng = Random(seed)
    learners = [f"learner-{n}" for n in range(rng.randint(2, 5))]
    skills = [
        skill(f"{i}-{n}", i, rng.choice(["tess", "tess", "ann tess"]), rng.choice(["home", "hall home"]))
        for i in learners
        for n in range(rng.randint(1, 3))
    ]
    people = {i: monday(rng.choice([15, 20, 30, 60])) for i in learners}
    adults = {"tess": monday(rng.choice([15, 20, 40])), "ann": monday(15)}
    return monday_case(people, adults, *skills, way=rng.choice([0, 10]))


def test_no_week_shows_more_than_is_proven_of_all_together(nightly: bool) -> None:
    tighter = 0
    for seed in seeds(25, nightly, by_day=3):
        load = caseload_of(crowded_monday(seed))
        alone = plan_alone(load, HERE)
        together = lagrangian_bound(load, HERE, alone, bottlenecks_in(load, HERE, alone))
        job = SolveJob(problem=load.problem(load.learners, (), {}), goals=(ObjectiveName.NEW_TUPLES,))
        whole = run_solve(job).objectives[0]
        assert whole.status is StageStatus.OPTIMAL
        assert whole.value <= together, seed
        tighter += together < sum(o.objective("new tuples").bound for o in alone.values())
    assert tighter > (10 if nightly else 3)


def test_as_many_tuples_as_there_is_room_for_are_proven_where_each_is_a_sitting() -> None:
    # five learners with one probe each; a sitting takes 10 of Tess's 45 minutes: four
    skills = [skill(f"skill-{i}", i, "tess") for i in ("a", "b", "c", "d", "e")]
    case = monday_case(dict.fromkeys("abcde", monday(45)), {"tess": monday(45)}, *skills)
    load = caseload_of(case)
    alone = plan_alone(load, HERE)
    scarcity = bottlenecks_in(load, HERE, alone)
    assert scarcity.room == {("adult", "tess"): 4, ("location", "home"): 8}
    assert lagrangian_bound(load, HERE, alone, scarcity) == 4
    # where there is room for all nothing is asked
    ample = replace(scarcity, room={("adult", "tess"): 5, ("location", "home"): 8})
    assert lagrangian_bound(load, HERE, alone, ample) == inf
