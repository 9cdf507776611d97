"""What is proven of a term, held against every way to hold its weeks: tiny ones of two or three weeks."""

from __future__ import annotations

import pytest

from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.plan import StageStatus
from genplan.plan.term import Promise, Term
from genplan.planning.jobs import Workers
from genplan.planning.term.compose import term_of
from genplan.planning.term.wanted import TermFacts
from genplan.planning.week_context import week_context_of
from tests.fixtures.every_term import most_kept, tiny_term
from tests.fixtures.planning_cases import NOW, Inline

BATCH, BY_DAY, BY_NIGHT = 40, 12, 600
AS_GOOD = 0.7
"""The part of tiny terms in which the bound is reached: ways between places and minutes of the day are not in it."""


def the_term(case: Case, weeks: tuple[Week, ...]) -> Term:
    ground = week_context_of(case, Log(), weeks[0], NOW, {}, ())
    return term_of(
        TermFacts(case=case, ground=ground, weeks=weeks, busy={}), Workers(Inline(), lambda _: None)
    )


@pytest.mark.parametrize("first", range(0, BY_NIGHT, BATCH))
def test_no_weeks_keep_more_dates_than_the_bound_says(first: int, nightly: bool) -> None:
    if first and not nightly:
        pytest.skip("by night")
    reached = []
    for seed in range(first, first + (BATCH if nightly else BY_DAY)):
        case, weeks = tiny_term(seed)
        term, (most, kept_by_some) = the_term(case, weeks), most_kept(case, weeks)
        assert term.bound >= most, seed
        assert (term.status, term.kept) == (StageStatus.OPTIMAL, term.bound), seed
        cannot = {(d.target, d.place) for d in term.dates if d.promise is Promise.CANNOT}
        assert not cannot & kept_by_some, seed
        assert all(d.promise is Promise.CANNOT for d in term.dates if d.no_way), seed
        reached.append(term.bound == most)
    assert sum(reached) / len(reached) >= AS_GOOD
