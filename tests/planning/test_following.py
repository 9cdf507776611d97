"""Weeks that follow a term keep dates that weeks planned one by one miss."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import pytest

from genplan.audit import audit
from genplan.case import Case
from genplan.evidence.log import Log
from genplan.plan import Plan
from genplan.planning.planner import plan_week
from genplan.planning.term.following import following
from genplan.planning.week_context import week_context_of
from tests.fixtures.planning_cases import NOW, WEEK, Inline, all_met, plan_one
from tests.fixtures.term_cases import TESS, WEEKS, sunday_before, the_term, therapist_case, with_rules


def lived(case: Case) -> Iterator[Plan]:
    """Week after week, each probe run and met."""
    log = Log()
    for week in WEEKS:
        now = sunday_before(week)
        term = the_term(case, week.run(12), log, now) if case.policy.follow_term else None
        plan = plan_week(case, log, week, now, {}, (), Inline(), lambda _: None, term=term).plan
        assert audit(case, log, plan, {}, ()) == ()
        log = Log.of([*log.results, *all_met(plan, case)])
        yield plan


@pytest.mark.parametrize(("follow", "kept"), [(False, {"ida"}), (True, {"ida", "jon"})])
def test_the_hours_of_a_scarce_adult_go_to_the_sooner_dates(
    follow: bool, kept: set[str], nightly: bool
) -> None:
    """Week by week Kai, who has three weeks more, has hours of Tess that Jon needs. By night the other weeks are lived
    and audited, too."""
    plans = list(
        islice(lived(with_rules(therapist_case(), follow_term=follow)), len(WEEKS) if nightly else 3)
    )
    first_three = [s.learner for p in plans[:3] for s in p.sittings if s.adult == TESS]
    assert {child for child in ("ida", "jon") if first_three.count(child) == 3} == kept
    assert len(first_three) == 6


def test_a_week_without_the_key_is_planned_as_before() -> None:
    case = therapist_case()
    plan = plan_one(case)
    assert plan.turns is None
    assert plan == plan_one(with_rules(case, follow_term=True))  # which no term was made for


def test_what_the_term_gives_up_has_no_claim_on_the_week() -> None:
    """Three children with one date after three weeks: two have room. The third is wished, and nothing of it is due."""
    case = therapist_case(dict.fromkeys(("ida", "jon", "kai"), WEEKS[2].sunday))
    term = the_term(case)
    (missed,) = (d.target for d in term.dates if not d.is_kept)
    ground = following(week_context_of(case, Log(), WEEK, NOW, {}, ()), term)
    turns = {need.id for need in ground.needs if need.dated}
    assert turns
    assert missed not in turns
    assert all(need.wished for need in ground.needs)
    late = following(week_context_of(case, Log(), WEEK, NOW, {}, ()), replace(term, dates=()))
    assert all(n.turns is None for n in late.needs)


def test_what_a_plan_tells_of_turns_is_held_against_the_dates() -> None:
    case = with_rules(therapist_case(), follow_term=True)
    plan = next(lived(case))
    assert plan.turns
    target, _, until = plan.turns[0]

    def said(plan: Plan, case: Case = case) -> str:
        return " ".join(audit(case, Log(), plan, {}, ()))

    other = (("adult", "idas-mum"), ("location", "hall"))
    assert "no date asks for that" in said(replace(plan, turns=((target, other, until), *plan.turns[1:])))
    assert "told twice" in said(replace(plan, turns=(plan.turns[0], *plan.turns)))
    assert "its value is" in said(replace(plan, turns=plan.turns[1:]))
    assert "no week follow a term" in said(plan, with_rules(case, follow_term=False))
    shown = next(t for t in plan.turns if ("location", "clinic") in t[1])
    taught = replace(case.targets[shown[0]], taught=({"adult": TESS, "location": "clinic"},))
    assert "is not open" in said(plan, replace(case, targets={**case.targets, shown[0]: taught}))
