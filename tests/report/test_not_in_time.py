"""A date that the week misses is named, with its reason, and counted; one that it holds is not."""

from __future__ import annotations

from genplan.report.names_and_words import Names
from genplan.report.not_in_time import not_in_time
from genplan.report.objective_sentences import objective_sentences
from genplan.report.terminal import week_summary
from tests.fixtures.planning_cases import plan_one
from tests.planning.test_reason_of_a_date import two_who_want_one_hour


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
