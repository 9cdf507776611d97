"""A wish whose date is over is told so, and not as if the date were ahead: in the plan, the review and the forecast."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from genplan.case import Case, Wish
from genplan.coverage.review import review
from genplan.evidence.log import Log
from genplan.forecast import BottleneckKind, Verdict, WishForecast
from genplan.plan import Probe, ProbeKind
from genplan.report.evidence_words import next_sentences
from genplan.report.forecast_lines import forecast_lines
from genplan.report.forecast_table import forecast_table
from genplan.report.frames import as_frame
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.terminal import week_summary
from tests.fixtures.forecast_cases import (
    hours,
    look_ahead,
    nine_case,
    only,
    product_case,
    row,
    with_adult,
    with_target,
)
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import NOW, all_met, plan_one, told_sitting

TODAY = NOW.date()
OVER = "that date is over"


@pytest.mark.parametrize(
    ("days", "over"),
    by_day_the_first([(-1, True), (0, False), (-20, True), (1, False), (None, False)], 2),
)
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


def said_of(case: Case, log: Log | None = None, weeks: int = 2) -> tuple[WishForecast, str]:
    """The one dated wish, and the line about it."""
    found = look_ahead(case, log, weeks, rate=1.0, courses=20)
    text = "\n".join(forecast_lines(case, found))
    return only(found).wishes[0], text.split("Will the dates hold?")[1].splitlines()[2]


def test_before_the_first_week_nothing_is_simulated_and_planning_anew_may_help() -> None:
    """It is Sunday, and the weeks begin on Monday: what is planned for today decides."""
    today = with_target(nine_case(), first=(Wish({"location": "l1-1"}, TODAY),))
    wish, said = said_of(today)
    assert (wish.verdict, wish.held_up) == (Verdict.EARLIER, None)
    assert said.startswith("Not planned in time so far: ")
    assert said.endswith(
        "What is left of the days until the date can be planned again, and may still hold it."
    )
    assert "%" not in said


def test_a_retest_before_the_first_week_may_still_be_met() -> None:
    """All of it was tried, and not met: no course says whether today's retest is."""
    case = with_target(nine_case(), first=(Wish({"location": "l1-1"}, TODAY),))
    target = case.targets["skill"]
    mine = [c for c in target.combinations() if c[1] == "l1-1"]
    log = Log.of(row(target, c, False, TODAY - timedelta(days=9), n) for n, c in enumerate(mine, 2))
    wish, said = said_of(case, log)
    assert (wish.verdict, wish.done) == (Verdict.YES, True)
    assert said.startswith("Tried in time: ")
    assert "%" not in said
    table = as_frame(forecast_table(case, look_ahead(case, log, 2, courses=20)))
    (cells,) = table[table["what"] == "wish"][["verdict", "within", "met_by"]].values.tolist()
    assert cells == ["yes", "", ""]


def test_what_people_were_told_of_is_no_share_of_the_courses() -> None:
    """Told is today's probe of the one combination at the place, and the date is later: it counts as met, and no course
    says that it will be."""
    case = product_case((1, 1, 1), cover="all")
    (place,), (target,) = case.locations, case.targets.values()
    case = with_target(case, first=(Wish({"location": place}, date(2026, 12, 20)),))
    probe = Probe(
        target=target.id, combination=target.combinations()[0], kind=ProbeKind.NEW, trials=5, new_tuples=1
    )
    today = replace(told_sitting(case, 0, 16), start=NOW.replace(hour=16), probes=(probe,))
    found = look_ahead(case, weeks=2, rate=0.5, courses=20, told=(today,))
    (wish,) = only(found).wishes
    assert (wish.verdict, wish.by_told, wish.line) == (Verdict.YES, True, TODAY)
    dates = "\n".join(forecast_lines(case, found)).split("Will the dates hold?")[1].splitlines()[2]
    assert dates.startswith("Tried in time: ")
    assert "%" not in dates


def test_what_comes_too_late_in_the_week_of_its_date_is_not_held_up_by_retests() -> None:
    """Its adult has hours on Thursday alone, and the date is Wednesday: those hours hold it up."""
    case = product_case((1, 1, 1), cover="all")
    (place,), (adult,) = case.locations, case.adults
    case = with_target(case, first=(Wish({"location": place}, date(2026, 12, 2)),))
    wish, said = said_of(with_adult(case, adult, free=hours(None, None, None, (9, 12), None)))
    assert wish.line == date(2026, 12, 3)
    assert (wish.verdict, wish.held_up and wish.held_up.by) == (Verdict.NO, BottleneckKind.HOURS)
    assert said.endswith(
        "W. and a0-0 are never free at the same time until then (in the only week until then)."
    )


def test_what_holds_a_date_up_in_some_of_the_weeks_is_not_said_of_all_days_until_then() -> None:
    """The date is a Monday. Its adult has hours on Thursday alone, so the two are together once before it, for one of
    the two things that are wanted."""
    case = product_case((1, 1, 2), cover="all")
    (place,), (adult,) = case.locations, case.adults
    case = with_target(case, first=(Wish({"location": place}, date(2026, 12, 7)),))
    wish, said = said_of(with_adult(case, adult, free=hours(None, None, None, (9, 12), None)), weeks=3)
    assert wish.line == date(2026, 12, 10)
    held_up = wish.held_up
    assert held_up is not None
    assert (held_up.weeks, held_up.of) == (1, 2)
    assert said.endswith(
        "W. and a0-0 are never free at the same time on the days until the date in that week (in 1 of the 2 weeks until"
        " then: 2026-W50)."
    )
