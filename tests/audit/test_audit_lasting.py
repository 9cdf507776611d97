"""When maintenance is due, by the auditor's own loops and by the room of evidence: two ways, one answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest

from genplan.audit.lasting import maintenance_dates, maintenance_rows
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.maintenance import maintenance_due
from tests.fixtures.audited_world import World

MASTERED = date(2026, 11, 1)


def test_by_hand() -> None:
    """Half of the way from the date before at most: 7 days allow 3, the 21 from 7 to 28 allow 10, so of 5 all.

    A lapse on the 10th asks again on the 15th, one on the 25th on the 30th: the 29th, open from the 24th, is past."""
    world = World().having("targets", "zips", maintenance_days=(7, 28))
    world = world.under(maintenance_tolerance_days=5, maintenance_after_lapse_days=5)
    target = world.case.targets["zips"]
    ladder = [(date(2026, 11, 8), date(2026, 11, 5)), (date(2026, 11, 29), date(2026, 11, 24))]
    assert maintenance_dates(world.case, target, []) == ladder
    lapsed = (date(2026, 11, 15), date(2026, 11, 15))
    assert maintenance_dates(world.case, target, [_check(10, 1)]) == [*ladder, lapsed]
    assert maintenance_dates(world.case, target, [_check(10, 4)]) == ladder
    assert maintenance_dates(world.case, target, [_check(25, 1)]) == [
        *ladder,
        (date(2026, 11, 30), date(2026, 11, 30)),
    ]


def _check(day: int, correct: int, line: int = 2) -> Result:
    combination = ("mum", "home", "jackets")
    return Result(
        line=line,
        date=date(2026, 11, day),
        time=None,
        target="zips",
        kind=ResultKind.MAINTENANCE,
        combination=combination,
        trials=5,
        correct=correct,
    )


@pytest.mark.parametrize("seed", range(60))
def test_both_ways_agree(seed: int) -> None:
    rng = Random(seed)
    ladder = tuple(sorted(rng.sample(range(1, 60), rng.randint(1, 4))))
    world = World().having("targets", "zips", maintenance_days=ladder)
    world = world.under(
        maintenance_tolerance_days=rng.choice([0, 1, 3, 9]),
        maintenance_after_lapse_days=rng.choice([0, 4, 10]),
    )
    target, rows = world.case.targets["zips"], []
    for line in range(2, 2 + rng.randint(0, 5)):
        row = _check(1, rng.choice([0, 5]), line)
        rows.append(replace(row, date=MASTERED + timedelta(rng.randint(0, 60))))
    log = Log.of(rows)
    for day in range(70):
        by = MASTERED + timedelta(day)
        reached = [d for d in maintenance_dates(world.case, target, rows) if d[0] <= by]
        owed = bool(reached) and all(r.date < max(reached)[1] for r in maintenance_rows(rows))
        due = maintenance_due(target, log, by, world.case.policy)
        assert (due is not None) == owed, f"{by}: {rows}"
        assert due is None or due.due == max(reached)[0]
