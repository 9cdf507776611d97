"""A wish whose date is over is told so, and not as if the date were ahead: in the plan, the review and the forecast."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from genplan.case import Wish
from genplan.coverage.review import review
from genplan.evidence.log import Log
from genplan.forecast import Verdict
from genplan.report.evidence_words import next_sentences
from genplan.report.forecast_lines import forecast_lines
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.terminal import week_summary
from tests.fixtures.forecast_cases import look_ahead, nine_case, only, with_target
from tests.fixtures.planning_cases import NOW, all_met, plan_one

TODAY = NOW.date()
OVER = "that date is over"


@pytest.mark.parametrize(("days", "over"), [(-20, True), (-1, True), (0, False), (1, False), (None, False)])
def test_a_date_that_is_over_is_told(days: int | None, over: bool) -> None:
    by = None if days is None else TODAY + timedelta(days=days)
    case = with_target(nine_case(), first=(Wish({"location": "l1-1"}, by),))
    plan = plan_one(case)
    (found,) = review(case, "wren", Log(), date(2026, 11, 1), TODAY).targets
    for text in (
        week_summary(case, plan),
        week_page(case, plan),
        " ".join(next_sentences(Names(case), found)),
    ):
        assert "Wanted before the rest: l1-1" in text
        assert (OVER in text) is over


def test_a_forecast_gives_no_hope_for_a_date_that_is_over() -> None:
    by = TODAY - timedelta(days=1)
    case = with_target(nine_case(), first=(Wish({"location": "l1-1"}, by),))
    found = look_ahead(case, rate=1.0)
    (wish,) = only(found).wishes
    assert (wish.verdict, wish.held_up) == (Verdict.OVER, None)
    text = "\n".join(forecast_lines(case, found))
    assert "Date over: " in text
    assert "By then" not in text.split("\n\n")[1]
    # all of it tried since: nobody says that it was in time
    log = Log.of(all_met(plan_one(with_target(nine_case(9), first=()), now=NOW - timedelta(days=7)), case))
    assert only(look_ahead(case, log, rate=1.0)).wishes[0].verdict is Verdict.OVER
    today = with_target(nine_case(), first=(Wish({"location": "l1-1"}, TODAY),))
    assert only(look_ahead(today, rate=1.0)).wishes[0].verdict is Verdict.NO
