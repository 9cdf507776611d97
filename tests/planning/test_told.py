"""Planning a kept week again: its bounds stay true, whichever way the week is searched."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from planning_cases import NOW, plan_one, product_case
from random_cases import random_case

from genplan.audit import audit
from genplan.case import SolverLimits
from genplan.evidence.log import Log


def test_a_kept_week_with_thinned_choices_stays_as_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("genplan.planning.thinning.MANY", 4)
    monkeypatch.setattr("genplan.planning.thinning.A_MEETING", 1)
    case = product_case((3, 3, 3))
    kept = plan_one(case).sittings
    again = plan_one(case, kept=kept)
    assert audit(case, Log(), again, {}, kept) == ()
    told = next(o for o in again.objectives if o.name == "told")
    # four sittings of one probe each: 4 * (2 + 1) is all that people were told
    assert (told.value, told.bound) == (12, 12)


def test_a_kept_week_that_leaves_the_shortest_way_keeps_a_true_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("genplan.planning.solver.whole.MANY_TUPLES", 3)
    # without this pair 3x3x3 takes ten probes, and weeks stray more easily
    never = ({"adult": "a0-0", "location": "l1-0"},)
    case = product_case((3, 3, 3), never=never)
    kept = plan_one(case).sittings
    again = plan_one(case, kept=kept, now=NOW + timedelta(days=2))
    assert audit(case, Log(), again, {}, kept) == ()


@pytest.mark.parametrize("days", [0, 2])
def test_a_kept_caseload_is_planned_again_in_turns(monkeypatch: pytest.MonkeyPatch, days: int) -> None:
    monkeypatch.setattr("genplan.planning.caseload.JOINT_VARIABLES", 0)
    case = random_case(5, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    case = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=2.0)))
    now = NOW.replace(tzinfo=case.timezone)
    kept = plan_one(case, now=now).sittings
    later = now + timedelta(days=days)
    again = plan_one(case, now=later, kept=kept)
    assert audit(case, Log(), again, {}, kept) == ()
