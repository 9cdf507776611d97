"""When maintenance is due, by the auditor's own loops and by the room of evidence: two ways, one answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest

from genplan.audit.maintenance_dates import maintenance_dates, maintenance_rows
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.maintenance import maintenance_due
from tests.fixtures.audited_world import World

MASTERED = date(2026, 11, 1)


def test_by_hand() -> None:
    """The 8th and the 29th are Sundays and open on their Mondays. With 9 days early the 29th opens on the 20th; the 8th
    not before the day after mastery. A lapse on Tuesday the 10th asks again on the 15th, from the 11th on, one on the
    25th on the 30th: the 29th, open from the 23rd, is past."""
    world = World().having("targets", "zips", maintenance_days=(7, 28))
    world = world.under(maintenance_tolerance_days=5, maintenance_after_lapse_days=5)
    target = world.case.targets["zips"]
    ladder = [(date(2026, 11, 8), date(2026, 11, 2)), (date(2026, 11, 29), date(2026, 11, 23))]
    assert maintenance_dates(world.case, target, []) == ladder
    early = world.under(maintenance_tolerance_days=9)
    assert maintenance_dates(early.case, target, [])[1][1] == date(2026, 11, 20)
    lapsed = (date(2026, 11, 15), date(2026, 11, 11))
    assert maintenance_dates(world.case, target, [_check(10, 1)]) == [ladder[0], lapsed, ladder[1]]
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
        owed = bool(reached) and all(r.date < reached[-1][1] for r in maintenance_rows(rows))
        due = maintenance_due(target, log, by, world.case.policy)
        assert (due is not None) == owed, f"{by}: {rows}"
        assert due is None or due.due == reached[-1][0]
