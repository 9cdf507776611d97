"""Why a date is missed: what of the same or a higher rank takes the scarce adult, and no choice of lower rank."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from genplan.case import Adult, Case, Learner, WeeklyHours, Wish
from genplan.case.windows import Window
from genplan.plan import ProbeKind
from genplan.rules.limits import Kind
from genplan.text.limits import limit_sentence
from tests.fixtures.planning_cases import hours, plan_one, product_case

SCARCE = "a0-0"


def two_who_want_one_hour(minutes: int) -> Case:
    """Two children, one probe of each skill a day, and an adult with so many minutes, on Thursday alone, with whom both
    have a date; with others they could be probed on every day."""
    case = product_case((3, 1, 1))
    wish = Wish(pattern={"adult": SCARCE}, by=date(2026, 12, 4))
    skill = replace(case.targets["skill"], first=(wish,))
    vera = Adult(
        id=SCARCE,
        name="Vera",
        free=WeeklyHours(((), (), (), (Window(600, 600 + minutes),), (), (), ())),
    )
    wren = case.learners["wren"]
    return replace(
        case,
        adults={**case.adults, SCARCE: vera},
        learners={"wren": wren, "finn": Learner(id="finn", name="Finn", alias="F.", free=hours((9, 17)))},
        targets={"skill": skill, "other": replace(skill, id="other", learner="finn")},
    )


def test_the_scarce_adult_is_named_with_whoever_ranks_as_high() -> None:
    case = two_who_want_one_hour(20)
    plan = plan_one(case)
    dates = [i for i in plan.left_out if i.kind is ProbeKind.NEW and ("adult", SCARCE) in i.values]
    held = {s.learner for s in plan.sittings if s.adult == SCARCE}
    assert len(held) == 1
    assert dates
    for item in dates:
        assert item.learner not in held
        assert item.limit.kind is Kind.ADULT_TIME, limit_sentence(case, item.limit)
        assert set(item.limit.as_high) == held
        alias = case.learners[next(iter(held))].alias
        assert limit_sentence(case, item.limit).endswith(
            f"; and what takes it ({alias}) is due or has its last chance, too"
        )


def test_with_time_for_both_no_date_is_missed() -> None:
    plan = plan_one(two_who_want_one_hour(40))
    assert not [i for i in plan.left_out if ("adult", SCARCE) in i.values]
