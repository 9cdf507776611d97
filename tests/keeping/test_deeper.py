"""What a deeper search brings, in plain figures."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from genplan.keeping.deeper import deeper_of
from genplan.plan import Plan, Probe, ProbeKind, Sitting
from tests.fixtures.planning_cases import NOW, WEEK, ZONE


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
