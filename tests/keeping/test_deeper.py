"""What a deeper search brings, in plain figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from genplan.keeping.deeper import deeper_of
from genplan.plan import ObservedShare, Plan, Probe, ProbeKind, Sitting
from genplan.report.week_changes import deeper_lines
from tests.fixtures.planning_cases import NOW, WEEK, ZONE, product_case


def _plan(kind: ProbeKind) -> Plan:
    start = datetime(2026, 12, 1, 16, tzinfo=ZONE)
    probe = Probe(target="asks", combination=("ann", "home", "blue"), kind=kind, trials=5, new_tuples=0)
    sitting = Sitting(
        id="one",
        learner="robin",
        adult="ann",
        location="home",
        start=start,
        end=start + timedelta(minutes=15),
        probes=(probe,),
    )
    return Plan.of_sittings(WEEK, NOW, (sitting,))


@pytest.mark.parametrize("kind", list(ProbeKind))
def test_what_is_due_is_what_the_week_counts_as_due(kind: ProbeKind) -> None:
    """A baseline probe too: once it is taught there, it is too late for one."""
    found = deeper_of(Plan.of_sittings(WEEK, NOW, ()), _plan(kind))
    assert found.due == (kind in ("retest", "maintenance", "baseline"))


def test_observers_that_are_lost_are_a_part_of_the_price() -> None:
    """And teachings, and what is wanted before the rest."""
    bare = Plan.of_sittings(WEEK, NOW, ())
    watched = ObservedShare(learner="robin", probes=9, observed=4, new=3, wanted=4)
    settled = replace(_plan(ProbeKind.TEACHING), observed=(watched,))
    found = deeper_of(settled, replace(bare, observed=(replace(watched, observed=2),)))
    assert (found.teachings, found.observed, found.wished) == (-1, -2, 0)
    taken = replace(found, taken=True, people=1, new=4, wished=1)
    assert deeper_lines(product_case((1, 1, 1)), taken)[0].endswith(
        ": 1 more person told, 1 more pair wanted before the rest, 4 more pairs, 1 fewer teaching,"
        " 2 fewer probes with a second observer."
    )
