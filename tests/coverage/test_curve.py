"""The curve of a target, walked through row by row, beside a tally made anew for each of its days."""

from __future__ import annotations

from datetime import timedelta

import pytest

from genplan.coverage.curve import curve
from genplan.coverage.tally import tally
from genplan.evidence.effective_rows import log_until
from genplan.evidence.log import Log, ResultKind
from tests.fixtures.random_history import FIRST, LAST, a_random_history


@pytest.mark.parametrize("seed", range(25))
def test_each_point_of_the_curve_is_the_tally_of_that_day(seed: int) -> None:
    case, target, log = a_random_history(seed)
    first, last = FIRST + timedelta(days=seed), LAST - timedelta(days=seed % 5)
    points = curve(case, target, log, first, last)
    ran = {r.date for r in log.of_target(target.id) if r.kind is not ResultKind.NOT_RUN}
    days = {first - timedelta(days=1), last, *(d for d in ran if first <= d <= last)}
    assert [p.day for p in points] == sorted(days)
    for point in points:
        count = tally(case, target, log_until(log, point.day), last)
        assert point.possible == len(count.possible)
        assert (point.shown, point.tested) == (len(count.shown), len(count.tested))
        assert (point.met, point.met_untaught) == (len(count.met), len(count.met_untaught))


class _CountedLog(Log):
    """A log that counts how often the rows of a target are asked for."""

    asked = 0

    def of_target(self, target: str) -> tuple:
        type(self).asked += 1
        return super().of_target(target)


def test_the_curve_goes_through_the_rows_once() -> None:
    case, target, log = a_random_history(3, rows=200)
    assert len(curve(case, target, _CountedLog(log.results), FIRST, LAST)) > 50
    assert _CountedLog.asked == 1
