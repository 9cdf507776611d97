"""The auditor on wishes whose sittings are named by the sign of a child: two children may have one sign."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import pytest

from genplan.audit.context import AuditContext
from genplan.audit.wishes import what_is_apart_is_apart, what_is_kept_is_kept
from genplan.case.sitting_ids import mark_of, stem_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.plan import Sitting, WishAnswer
from tests.fixtures.audited_world import MON, WEEK, World, at

NAMESAKE = next(i for n in count() if mark_of(i := f"rook-{n}") == mark_of("wren"))
MUMS, ON_SUNDAY = (stem_of(WEEK, day, "mum", "wren") for day in ("mon", "sun"))


def with_both(told: str, wish: PlannersWish) -> AuditContext:
    """Wren and the other child are with mum on Monday, and people were told of such a sitting of one of them, and of
    one on Sunday."""
    world = World()
    wrens = replace(world.sittings["a"], id=MUMS)
    others = replace(wrens, id=f"{MUMS}-b", learner=NAMESAKE, start=at(MON, "17:00"), end=at(MON, "17:15"))
    known = {**world.case.learners, NAMESAKE: replace(world.case.learners["wren"], id=NAMESAKE)}
    case = replace(world.case, learners=known, wishes=(wish,))
    by_learner: dict[str, Sitting] = {"wren": wrens, NAMESAKE: others}
    mine = by_learner[told]
    kept = (replace(mine, id=MUMS), replace(mine, id=ON_SUNDAY, start=at(MON + 6, "16:00")))
    plan = replace(world.plan, sittings=(wrens, others), wishes=(WishAnswer(wish=wish, kept=True),))
    return AuditContext(case, world.log, plan, {}, kept)


@pytest.mark.parametrize("told", ["wren", NAMESAKE])
def test_apart_is_asked_of_the_child_whose_sitting_was_told(told: str) -> None:
    twice = PlannersWish(kind=WishKind.APART, two=(MUMS, ON_SUNDAY))
    assert list(what_is_apart_is_apart(with_both(told, twice))) == []


def test_another_child_may_be_where_one_is_not_wished() -> None:
    not_wrens = PlannersWish(kind=WishKind.NOT, sitting=MUMS)
    assert "is there" in next(what_is_kept_is_kept(with_both("wren", not_wrens)))
    bare = with_both("wren", not_wrens)
    others = tuple(s for s in bare.plan.sittings if s.learner == NAMESAKE)
    assert list(what_is_kept_is_kept(bare.with_sittings(others))) == []
