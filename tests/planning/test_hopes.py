"""Whom a change might help: nobody is left out who gains from it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case import Case
from genplan.evidence.log import Log
from genplan.planning.assemble import seat_of
from genplan.planning.hopes import GAINED, Hope, HopeJob, run_hope, who_might_gain, with_change
from genplan.planning.jobs import Workers
from genplan.planning.openings import openings_of
from genplan.planning.relaxation import Relaxation, RelaxationKind
from genplan.planning.relaxations import relaxation_groups
from genplan.planning.relaxed_hours import with_all
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.planning.what_if import WhatIfJob, run_what_if
from genplan.rules.placed_sittings import PlacedSitting
from tests.fixtures.monday_cases import limited, monday, monday_case, skill, with_copies
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, Inline, plan_one
from tests.fixtures.random_cases import now_of, random_case, random_log

HERE = Workers(Inline(), lambda _: None)


def planned(case: Case, log: Log = NOTHING_RUN) -> tuple[WeekContext, tuple[PlacedSitting, ...]]:
    now = now_of(case)
    plan = plan_one(case, log, now=now)
    seats = tuple(seat_of(case, WEEK, s) for s in plan.sittings)
    return week_context_of(case, log, WEEK, now, {}, ()), seats


@pytest.mark.parametrize("seed", by_day_the_first(range(4), 2))
def test_who_is_left_out_gains_nothing(seed: int) -> None:
    """Every change for every learner whom it could help, tried by itself."""
    case = random_case(seed, learners=3, targets=1, adults=3, locations=2, sets=2, staff=2, oddity=0.5)
    ground, seats = planned(case, random_log(case, seed))
    lifts = [idea.together for idea in relaxation_groups(ground, tuple(case.learners))]
    left_out = 0
    hopeful = who_might_gain(ground.caseload, HERE, seats, lifts)
    for before, after in zip(lifts, hopeful, strict=True):
        for learner in set(before.learners) - set(after.learners):
            left_out += 1
            alone = replace(before, learners=(learner,))
            gain = run_what_if(WhatIfJob(alone, with_change(ground.caseload, alone), ground.caseload, seats))
            assert gain is not None
            assert gain.more == (0,) * len(GAINED), (before.easing, learner)
    assert left_out >= 5


@pytest.mark.parametrize("seed", range(6))
def test_with_all_changes_there_is_room_for_each(seed: int) -> None:
    case = random_case(seed, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.5)
    ground = week_context_of(case, NOTHING_RUN, WEEK, now_of(case), {}, ())
    lifts = [
        idea.together
        for idea in relaxation_groups(ground, tuple(case.learners))
        if idea.together.easing.kind is not RelaxationKind.BRIEFING
    ]
    everything, free = with_all(ground.case, ground.free, lifts)
    for lift in lifts:
        again, hours = with_all(ground.case, ground.free, [lift])
        assert (again, hours) == (lift.case, lift.free)
        assert with_all(everything, free, [lift]) == (everything, free)
        for learner in case.learners:
            wide = openings_of(everything, free, learner)
            for o in openings_of(lift.case, lift.free, learner):
                assert any(
                    (w.adult, w.location) == (o.adult, o.location) and w.start <= o.start and o.end <= w.end
                    for w in wide
                )


def two_for_one_copy() -> tuple[WeekContext, tuple[PlacedSitting, ...], list[Relaxation]]:
    """Robin and Wren are free for the same ten minutes, with an adult each and one copy of the cups between them."""
    case = monday_case(
        {"robin": monday(10), "wren": monday(10)},
        {"ann": monday(10), "ben": monday(10)},
        skill("a", "robin", "ann", sets="cups"),
        skill("b", "wren", "ben", sets="cups"),
    )
    case = limited(with_copies(case, "cups", 1), "ann", sittings_per_day=1)
    seats = tuple(seat_of(case, WEEK, s) for s in plan_one(case, NOTHING_RUN, now=NOW).sittings)
    ground = week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ())
    return ground, seats, [i.together for i in relaxation_groups(ground, tuple(case.learners))]


def test_who_has_all_is_asked_nothing_and_who_lacks_a_copy_is_found() -> None:
    ground, seats, lifts = two_for_one_copy()
    (held,) = {s.learner for s in seats}
    (waits,) = {"robin", "wren"} - {held}
    found = who_might_gain(ground.caseload, HERE, seats, lifts)
    hopes = {lift.easing.kind: lift.learners for lift in found}
    assert hopes[RelaxationKind.COPIES] == (waits,)
    assert all(
        held not in lift.learners for lift in found if lift.easing.kind is not RelaxationKind.TARGET_DAY
    )


def test_one_answer_by_hand() -> None:
    """With a copy more the one who waits has a probe; with a sitting more of Ann's alone nobody has."""
    ground, seats, lifts = two_for_one_copy()
    (held,) = {s.learner for s in seats}
    (waits,) = {"robin", "wren"} - {held}
    answers = {
        lift.easing.kind: run_hope(HopeJob(waits, with_change(ground.caseload, lift), seats))
        for lift in lifts
        if lift.easing.kind in (RelaxationKind.COPIES, RelaxationKind.ADULT_LIMIT)
    }
    assert answers == {RelaxationKind.COPIES: Hope.BETTER, RelaxationKind.ADULT_LIMIT: Hope.NONE}
    assert run_hope(HopeJob(held, with_change(ground.caseload, lifts[-1]), seats)) is Hope.NONE
