"""What is proven of a caseload that is planned in turns, where people were told of more than can stay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.audit import audit
from genplan.case import Case, Wish
from tests.fixtures.monday_cases import limited, monday, monday_case, skill
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, plan_one
from tests.fixtures.search_settings import search_with


def case_of(wrens_adults: str, **more: object) -> Case:
    """Robin has ten minutes from nine, Wren the ten after them, so one probe each. Ann sees both, Ben may see Wren."""
    free = {"robin": monday(10), "wren": monday(10, after_nine=10)}
    skills = skill("a", "robin"), skill("b", "wren", wrens_adults, **more)  # type: ignore[arg-type]
    return monday_case(free, {"ann": monday(20), "ben": monday(20)}, *skills)


def test_a_wish_that_comes_true_since_what_was_told_cannot_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """People were told of Ann with both. Now she has ten minutes left, and Wren's wish is Ben. Alone either sitting
    stays; together one of them goes, and Ben comes. But once the week has begun he is one person more who would have to
    be told: that comes before any wish (every week tried: two people without him, three with him)."""
    told = plan_one(case_of("ann")).sittings
    assert [(s.learner, s.adult) for s in told] == [("robin", "ann"), ("wren", "ann")]
    case = limited(case_of("ann ben", first=(Wish({"adult": "ben"}),)), "ann", minutes_per_week=10)
    robin = replace(case.learners["robin"], needs=3.0)
    case = replace(case, learners={**case.learners, "robin": robin})
    now = NOW.replace(day=30, hour=8)
    for variables in (0, 10**6):
        search_with(monkeypatch, "caseload", joint_variables=variables)
        plan = plan_one(case, now=now, kept=told, fewest_told=False)
        assert [(s.learner, s.adult) for s in plan.sittings] == [("robin", "ann"), ("wren", "ben")]
        assert {(o.value, o.bound) for o in plan.objectives if o.name == "wished"} == {(1, 1)}
        assert audit(case, NOTHING_RUN, plan, {}, told) == ()
        begun = plan_one(case, now=now, kept=told)
        assert [(s.learner, s.adult) for s in begun.sittings] == [("robin", "ann")]
        objectives = {str(o.name): o for o in begun.objectives}
        people, wished = objectives["people told"], objectives["wished"]
        assert (people.value, wished.value) == (2, 0)
        assert people.bound <= 2
        assert wished.bound >= 0
        assert audit(case, NOTHING_RUN, begun, {}, told) == ()
