"""Planning a kept week again: its bounds stay true, whichever way the week is searched."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from genplan.audit import audit
from genplan.case import Case, SolverLimits, Wish
from genplan.case.week import MINUTES_PER_DAY
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import StageStatus
from genplan.planning.jobs import Workers
from genplan.planning.probe_insertion import best_inserted
from genplan.planning.solver.rules import RULES
from genplan.planning.solver.what_is_run import new_probes_show_something
from genplan.planning.week_context import week_context_of
from tests.fixtures.planning_cases import (
    NOW,
    WEEK,
    Inline,
    hours,
    plan_one,
    product_case,
    told_sitting,
    with_learner,
)
from tests.fixtures.random_cases import random_case
from tests.fixtures.search_settings import search_with


def test_a_kept_week_with_thinned_choices_stays_as_told(monkeypatch: pytest.MonkeyPatch) -> None:
    search_with(monkeypatch, "candidate_pruning", prune_above=4, kept_a_meeting=1)
    case = product_case((3, 3, 3))
    kept = plan_one(case).sittings
    again = plan_one(case, kept=kept)
    assert audit(case, Log(), again, {}, kept) == ()
    told = next(o for o in again.objectives if o.name == "told")
    # four sittings of one probe each, all as they were: 4 * (2 + 1 + 2)
    assert (told.value, told.bound) == (20, 20)


def test_a_kept_week_that_leaves_the_shortest_way_keeps_a_true_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    search_with(monkeypatch, "solver.design_guided", many_tuples=3)
    # without this pair 3x3x3 takes ten probes, and weeks stray more easily
    never = ({"adult": "a0-0", "location": "l1-0"},)
    case = product_case((3, 3, 3), never=never)
    kept = plan_one(case).sittings
    again = plan_one(case, kept=kept, now=NOW + timedelta(days=2))
    assert audit(case, Log(), again, {}, kept) == ()


@pytest.mark.parametrize("days", [0, 2])
def test_a_kept_caseload_is_planned_again_in_turns(monkeypatch: pytest.MonkeyPatch, days: int) -> None:
    search_with(monkeypatch, "caseload", joint_variables=0)
    case = random_case(5, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    case = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=2.0)))
    now = NOW.replace(tzinfo=case.timezone)
    kept = plan_one(case, now=now).sittings
    later = now + timedelta(days=days)
    again = plan_one(case, now=later, kept=kept)
    assert audit(case, Log(), again, {}, kept) == ()


def on_wednesday(*targets: str) -> Case:
    """One combination of each target, all with the same people in the same place, on Wednesday from 9 to 10, which
    holds one sitting and a long rest."""
    case = product_case((1, 1, 1))
    case = replace(case, policy=replace(case.policy, rest_minutes=60))
    skill = case.targets["skill"]
    free = hours(None, None, (9, 10), None)
    return with_learner(replace(case, targets={t: replace(skill, id=t) for t in targets}), free=free)


@pytest.mark.parametrize(("days", "targets"), [(2, ["skill"]), (0, ["other", "skill"])])
def test_once_the_week_has_begun_nothing_is_put_into_a_sitting_that_people_were_told_of(
    days: int, targets: list[str]
) -> None:
    kept = plan_one(on_wednesday("skill")).sittings
    again = plan_one(on_wednesday("skill", "other"), kept=kept, now=NOW + timedelta(days=days))
    assert [sorted(p.target for p in s.probes) for s in again.sittings] == [targets]


@pytest.mark.parametrize(("days", "stays"), [(2, True), (0, False)])
def test_a_wish_that_can_wait_moves_nobody_once_the_week_has_begun(days: int, stays: bool) -> None:
    case = with_learner(product_case((2, 1, 1), a_week=1), free=hours(None, None, (9, 10), None))
    kept = plan_one(case).sittings
    (other,) = case.adults.keys() - {s.adult for s in kept}
    target = replace(case.targets["skill"], first=(Wish({"adult": other}),))
    again = plan_one(replace(case, targets={"skill": target}), kept=kept, now=NOW + timedelta(days=days))
    assert [s.adult == kept[0].adult for s in again.sittings] == [stays]


@pytest.mark.parametrize("days", [0, 1])
def test_a_sitting_that_is_free_again_is_not_held_for_a_probe_that_shows_nothing(
    days: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four probes were told, and the last was run on Sunday: what could be run in its sitting the other three show."""
    case = product_case((2, 2, 2))
    kept = plan_one(case).sittings
    assert [len(s.probes) for s in kept] == [1, 1, 1, 1]
    last = kept[-1].probes[0]
    run = Result(
        line=2,
        date=NOW.date(),
        time=None,
        target=last.target,
        kind=ResultKind.PROBE,
        combination=last.combination,
        trials=5,
        correct=5,
    )
    log = Log.of([run])
    again = plan_one(case, log, kept=kept, now=NOW + timedelta(days=days))
    assert [p.new_tuples > 0 for s in again.sittings for p in s.probes] == [True, True, True]
    assert [(s.start, s.probes[0].combination) for s in again.sittings] == [
        (s.start, s.probes[0].combination) for s in kept[:-1]
    ]
    assert audit(case, log, again, {}, kept) == ()
    assert all(o.status is StageStatus.OPTIMAL for o in again.objectives)
    # without the rule the sitting is held for its time, and the auditor sees it
    others = tuple(r for r in RULES if r is not new_probes_show_something)
    monkeypatch.setattr("genplan.planning.solver.stages.RULES", others)
    idle = plan_one(case, log, kept=kept, now=NOW + timedelta(days=days))
    assert [said for said in audit(case, log, idle, {}, kept) if "shows nothing that is open" in said]


def test_what_was_inserted_before_it_leaves_nothing_for_a_later_new_probe() -> None:
    """Four probes show all; a fifth on Sunday shows nothing, and a week of which people were told does not hold it."""
    case = product_case((2, 2, 2))
    load = week_context_of(case, Log(), WEEK, NOW, {}, plan_one(case).sittings).caseload
    seat = max(load.told)
    (probe,) = seat.probes
    adult, place, material = probe.combination
    other = next(m for m in case.material_sets if m != material)
    idle = replace(
        seat,
        start=seat.start + MINUTES_PER_DAY,
        end=seat.end + MINUTES_PER_DAY,
        probes=(replace(probe, combination=(adult, place, other)),),
    )
    here = Workers(Inline(), lambda _: None)
    assert best_inserted(load, here, [{"wren": (*load.told, idle)}], {}) == {"wren": load.told}
    untold = replace(load, told=())
    assert best_inserted(untold, here, [{"wren": (*load.told, idle)}], {}) == {"wren": (*load.told, idle)}


@pytest.mark.parametrize("days", [0, 1])
def test_a_sitting_that_needs_another_room_keeps_its_hours(days: int) -> None:
    """Everybody has time from nine on, and early is better; but people were told of one o'clock, and the other room is
    free then too."""
    case = product_case((1, 2, 1), cover="all", a_week=1)
    told = told_sitting(case, 2, 13)
    shut = replace(case.locations[told.location], open=hours(None))
    again = plan_one(
        replace(case, locations={**case.locations, told.location: shut}),
        kept=(told,),
        now=NOW + timedelta(days=days),
    )
    (there,) = again.sittings
    assert there.location != told.location
    assert there.start == told.start
