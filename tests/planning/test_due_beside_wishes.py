"""Something due that is left out for a wish is told with that wish, and with no other."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from genplan.audit import audit
from genplan.case import Case, WeeklyHours
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.evidence.log import Log
from genplan.plan import Plan, ProbeKind
from genplan.planning.explanation import why
from genplan.planning.jobs import Workers
from genplan.planning.week_context import week_context_of
from genplan.rules.limits import Kind, Limit
from genplan.text.limits import limit_sentence
from tests.fixtures.monday_cases import limited, monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK, Inline, plan_one

MONDAY = datetime(2026, 11, 30)
DUE = {"mastered_on": date(2026, 11, 23), "maintenance_days": (7,)}
BEN_BEFORE = Limit(Kind.WISHED_BEFORE, learner="wren", adult="ben", figure=0)


def taught(skill: str) -> dict[str, str]:
    return {"adult": "ann", "location": "home", "material_set": f"set-{skill}"}


def due_with_ann(**more: int) -> Case:
    """Wren's skill is due with Ann, new with Ben, and one sitting a day is allowed. Robin has one with Cat."""
    case = monday_case(
        {"wren": monday(60), "robin": monday(60)},
        {"ann": monday(60), "ben": monday(60), "cat": monday(60)},
        skill("a", "wren", "ann ben", taught=(taught("a"),), **DUE),
        skill("b", "robin", "cat", sets="set-b"),
    )
    return limited(case, "wren", **{"sittings_per_day": 1, **more})


def rather(learner: str, adult: str) -> PlannersWish:
    end = MONDAY + timedelta(days=1)
    return PlannersWish(kind=WishKind.RATHER, adult=adult, learner=learner, start=MONDAY, end=end)


WITH_BEN = rather("wren", "ben")
ADDED = PlannersWish(
    kind=WishKind.ADD,
    learner="wren",
    adult="ben",
    location="home",
    start=MONDAY + timedelta(hours=9),
    target="a",
    values=(("material_set", "set-a"),),
)


def of_due(plan: Plan) -> list[Limit]:
    return [i.limit for i in plan.left_out if i.kind is ProbeKind.MAINTENANCE]


def holds_due(plan: Plan) -> bool:
    return any(p.kind is ProbeKind.MAINTENANCE for s in plan.sittings for p in s.probes)


@pytest.mark.parametrize("wish", [WITH_BEN, ADDED])
def test_the_wish_that_has_its_place_is_the_reason(wish: PlannersWish) -> None:
    without = due_with_ann()
    assert holds_due(plan_one(without))  # what is told of the week without the wish
    case = replace(without, wishes=(wish,))
    plan = plan_one(case)
    assert [a.kept for a in plan.wishes] == [True]
    assert not holds_due(plan)
    assert of_due(plan) == [BEN_BEFORE]
    assert limit_sentence(case, BEN_BEFORE) == (
        "wren is with ben on Monday as somebody wishes, and a wish comes before what is due: without this one it"
        " could be run"
    )
    ground = week_context_of(case, Log(), WEEK, NOW, {}, ())
    again = why(ground, plan, Workers(Inline(), lambda _: None), ("wren",))
    assert [i.limit for i in again.left_out if i.kind is ProbeKind.MAINTENANCE] == [BEN_BEFORE]


def test_of_several_wishes_the_one_that_counts_is_named() -> None:
    plan = plan_one(replace(due_with_ann(), wishes=(rather("robin", "cat"), WITH_BEN)))
    assert [a.kept for a in plan.wishes] == [True, True]
    assert of_due(plan) == [BEN_BEFORE]


def test_a_wish_is_not_blamed_for_what_others_are_due() -> None:
    # a second skill is due with Ann, too, and a sitting holds one probe: the wish for Robin changes nothing of that
    case = due_with_ann(probes_per_sitting=1)
    second = skill("c", "wren", "ann", taught=(taught("c"),), **DUE)
    case = replace(case, targets={**case.targets, "c": second}, wishes=(rather("robin", "cat"),))
    case = replace(
        case, material_sets={**case.material_sets, "set-c": replace(case.material_sets["set-a"], id="set-c")}
    )
    plan = plan_one(case)
    assert holds_due(plan)
    assert [a.kept for a in plan.wishes] == [True]
    (limit,) = of_due(plan)
    assert limit.kind is not Kind.WISHED_BEFORE


def test_a_wish_is_not_blamed_where_there_are_no_hours() -> None:
    case = due_with_ann()
    gone = replace(case.adults["ann"], free=monday(5))
    case = replace(case, adults={**case.adults, "ann": gone}, wishes=(WITH_BEN,))
    (limit,) = of_due(plan_one(case))
    assert limit.kind is Kind.HOURS


def test_what_gives_way_to_something_due_is_no_reason() -> None:
    # Ann has room on Monday for one of two that are due. The other is new with Ben on Tuesday, its one probe a week:
    # that would give way, so it is Monday that is full
    two_days = WeeklyHours((monday(60).days[0], monday(60).days[0], *[()] * 5))
    case = monday_case(
        {"wren": two_days},
        {"ann": monday(60), "ben": WeeklyHours(((), monday(60).days[0], *[()] * 5))},
        skill("a", "wren", "ann ben", taught=(taught("a"),), **DUE),
        skill("c", "wren", "ann ben", taught=(taught("c"),), **DUE),
        probes_per_target_per_week=1,
    )
    case = limited(case, "wren", sittings_per_day=1, probes_per_sitting=1)
    plan = plan_one(case)
    assert audit(case, Log(), plan, {}) == ()
    assert len({p.target for s in plan.sittings for p in s.probes}) == 2
    (limit,) = of_due(plan)
    assert limit.kind in (Kind.SITTINGS_PER_DAY, Kind.SEVERAL)
    assert Kind.TARGET_WEEK not in {part.kind for part in limit.parts}
