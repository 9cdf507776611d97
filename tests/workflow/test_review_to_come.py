"""A review speaks of what has been: a day that is still to come is not told as if it were today."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from genplan.errors import UsageError
from genplan.workflow import review

FAMILY = Path(__file__).parents[2] / "examples" / "family"
NOW = datetime(2026, 11, 29, 12)


def test_a_span_ends_today_at_the_latest() -> None:
    ahead = review(FAMILY, date(2026, 10, 1), date(2027, 6, 1), None, None, NOW, False)
    today = review(FAMILY, date(2026, 10, 1), NOW.date(), None, None, NOW, False)
    assert ahead.reviews == today.reviews


def test_a_span_that_is_all_to_come_is_refused() -> None:
    with pytest.raises(UsageError, match="still to come"):
        review(FAMILY, date(2026, 11, 30), date(2027, 6, 1), None, None, NOW, False)
