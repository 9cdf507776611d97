"""Other places for a sitting, in words."""

from __future__ import annotations

from datetime import datetime, timedelta

from genplan.case.sitting_ids import stem_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.plan import Probe, ProbeKind, Sitting
from genplan.report.alternative_lines import held_lines
from genplan.report.names_and_words import Names
from genplan.rules.limits import Kind, Limit
from genplan.text.limits import limit_sentence
from genplan.text.wishes import wish_text
from tests.fixtures.planning_cases import WEEK, ZONE, product_case


def test_what_a_place_holds_is_said_with_its_extra_dimensions() -> None:
    """Two probes of one set that differ in the wording alone are not the same to whoever runs them."""
    case = product_case((1, 1, 1, 2))
    (target,) = case.targets.values()
    name = target.dimension_names[3]
    start = datetime(2026, 12, 1, 16, tzinfo=ZONE)
    probes = tuple(
        Probe(target=target.id, combination=c, kind=ProbeKind.NEW, trials=5, new_tuples=1)
        for c in target.combinations()
    )
    learner, adult, place = target.learner, *probes[0].combination[:2]
    sitting = Sitting(
        id="one",
        learner=learner,
        adult=adult,
        location=place,
        start=start,
        end=start + timedelta(minutes=15),
        probes=probes,
    )
    lines = list(held_lines(Names(case), sitting))
    assert [f"; {name}: {p.combination[3]} (" in line for p, line in zip(probes, lines, strict=True)] == [
        True,
        True,
    ]


def test_a_sitting_of_ones_own_is_said_with_its_extra_dimensions() -> None:
    case = product_case((1, 1, 1, 2))
    (target,) = case.targets.values()
    names, values = target.dimension_names, target.combinations()[1]
    own = PlannersWish(
        kind=WishKind.ADD,
        start=datetime(2026, 12, 1, 16),
        learner=target.learner,
        adult=values[0],
        location=values[1],
        target=target.id,
        values=tuple(sorted(zip(names[2:], values[2:], strict=True))),
    )
    assert wish_text(case, own).endswith(f"A skill: {values[2]}; {names[3]}: {values[3]})")


def test_two_sittings_of_the_same_people_are_wished_once_a_day_and_not_apart_from_themselves() -> None:
    case = product_case((2, 1, 1))
    mine, again, others = (
        stem_of(WEEK, day, adult, "wren")
        for day, adult in (("mon", "a0-0"), ("sun", "a0-0"), ("mon", "a0-1"))
    )
    same = PlannersWish(kind=WishKind.APART, two=(mine, again))
    assert wish_text(case, same) == "W. with a0-0 once a day at the most"
    two = PlannersWish(kind=WishKind.APART, two=(mine, others))
    assert wish_text(case, two) == "W. with a0-0 and W. with a0-1 not on one day"
    value = ("", "a0-0", "wren")
    limit = Limit(Kind.WISHED_APART, value=(*value, *value))
    assert limit_sentence(case, limit) == (
        "a sitting of W. with a0-0 is wished once a day at the most, and would be twice"
    )
