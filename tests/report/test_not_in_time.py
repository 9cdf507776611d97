"""A date that the week misses is named, with its reason, and counted; one that it holds is not."""

from __future__ import annotations

import html
from dataclasses import replace
from datetime import date, datetime

from genplan.case import Absence, Adult, Case, WeeklyHours, Wish
from genplan.case.windows import Window
from genplan.keeping.dates_told import with_told
from genplan.plan import Plan
from genplan.report.document import missed_of, plan_document
from genplan.report.names_and_words import Names
from genplan.report.not_in_time import dates_lost, not_in_time
from genplan.report.objective_sentences import objective_sentences
from genplan.report.page import week_page
from genplan.report.terminal import week_summary
from tests.fixtures.planning_cases import plan_one, product_case
from tests.planning.test_reason_of_a_date import SCARCE, two_who_want_one_hour


def test_a_missed_date_is_named_with_its_reason() -> None:
    case = two_who_want_one_hour(20)
    plan = plan_one(case)
    lines = {i: list(not_in_time(Names(case), plan, i)) for i in case.learners}
    missed = next(i for i in lines if lines[i])
    assert [i for i in lines if lines[i]] == [missed]
    assert "by 4 Dec 2026. Why: Vera is with another learner" in lines[missed][0]
    assert "Not in time\n" in week_summary(case, plan)
    dated = next(s for s in objective_sentences(case, plan) if "last chance" in s)
    assert dated.endswith(": 2 of 4, proven best.")


def test_nothing_is_said_where_every_date_is_held() -> None:
    case = two_who_want_one_hour(40)
    plan = plan_one(case)
    assert "Not in time" not in week_summary(case, plan)
    assert not any(" of 4" in s for s in objective_sentences(case, plan) if "last chance" in s)


LAST_OF = date(2026, 12, 3)
"""Thursday."""


def wished_by_thursday(minutes: int = 60) -> Case:
    """One check a week, with Vera, who has an hour on Tuesday and one on Friday."""
    case = product_case((1, 1, 1), cover="each-value")
    wish = Wish(pattern={"adult": SCARCE}, by=LAST_OF)
    hour = (Window(600, 600 + minutes),)
    vera = Adult(id=SCARCE, name="Vera", free=WeeklyHours(((), hour, (), (), hour, (), ())))
    return replace(
        case, adults={SCARCE: vera}, targets={"skill": replace(case.targets["skill"], first=(wish,))}
    )


def away(case: Case, *days: int) -> Case:
    """Vera is away on these days of December."""
    gone = tuple(Absence(datetime(2026, 12, d), datetime(2026, 12, d + 1)) for d in days)
    return replace(case, adults={SCARCE: replace(case.adults[SCARCE], away=gone)})


def planned_again(case: Case, told: Plan) -> Plan:
    plan = plan_one(case, kept=told.sittings, fewest_told=True)
    return replace(plan, missed=tuple(with_told(case, plan.missed, told.sittings)))


def test_a_date_that_the_told_week_kept_is_named_where_it_is_shown_too_late() -> None:
    case = wished_by_thursday()
    told = plan_one(case)
    assert [s.start.day for s in told.sittings] == [1]
    assert told.missed == ()
    changed = away(case, 1)
    plan = planned_again(changed, told)
    assert [s.start.day for s in plan.sittings] == [4]
    [lost] = [m for m in plan.lost if m.item.values == (("adult", SCARCE),)]
    assert (lost.by, lost.shown, lost.told) == (LAST_OF, date(2026, 12, 4), told.sittings[0].id)
    [line] = dates_lost(Names(changed), [lost])
    assert line == (
        f"W., A skill: Vera, by 3 Dec 2026, and it is not before 4 Dec 2026. "
        f"Why: Vera is not free up to 3 Dec 2026 for the {changed.policy.settle_minutes + 5} minutes it takes."
    )
    summary = week_summary(changed, plan)
    assert summary.index("No longer in time") < summary.index("Day by day")
    assert html.escape(line) in week_page(changed, plan)
    assert [missed_of(one) for one in plan_document(changed, plan)["missed"]] == list(plan.missed)


def test_a_date_that_is_left_out_is_named_and_one_that_is_held_or_was_never_told_is_not() -> None:
    case = wished_by_thursday()
    told = plan_one(case)
    plan = planned_again(away(case, 1, 4), told)
    assert [m.shown for m in plan.lost] == [None]
    assert "up to 3 Dec 2026" in next(dates_lost(Names(case), plan.lost))
    assert planned_again(case, told).missed == ()
    never = planned_again(away(case, 1, 4), plan)  # people were told of that week, and of nothing in time
    assert [m.told for m in never.missed] == [""]
    assert never.lost == ()
    assert "No longer in time" not in week_summary(case, never)
