"""One change at a time: among weeks that show as much, the one whose probes are nearer to what was met."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from genplan.case import Preferences
from genplan.evidence.log import Log, Result, ResultKind
from tests.fixtures.planning_cases import plan_one, product_case


def test_the_first_probe_changes_one_thing_where_the_policy_asks() -> None:
    case = product_case((3, 3, 3), cover="all", a_week=1)
    met = case.targets["skill"].combinations()[0]
    log = Log.of(
        [
            Result(
                line=2,
                date=date(2026, 11, 20),
                time=None,
                target="skill",
                kind=ResultKind.PROBE,
                combination=met,
                trials=5,
                correct=5,
            )
        ]
    )
    # cover "all": every combination shows one tuple, so all are worth the same and nearness decides
    asked = replace(case, policy=replace(case.policy, prefer=Preferences(one_change_at_a_time=True)))
    plan = plan_one(asked, log)
    (probe,) = [p for s in plan.sittings for p in s.probes]
    assert sum(a != b for a, b in zip(probe.combination, met, strict=True)) == 1
    objective = next(o for o in plan.objectives if o.name == "changes")
    assert (objective.value, objective.bound) == (0, 0)
