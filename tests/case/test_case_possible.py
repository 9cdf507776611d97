"""What stands against a combination: each rule by innocent, offence and near miss; ages and small parts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.audit.possible import is_kept_from
from genplan.case import Adult, Birth, Case, Dimension, Learner, Location, MaterialSet, Target, WeeklyHours
from genplan.case.possible import CHECKS, Rule, obstacle, possible_combinations
from genplan.case.safety import ALLERGENS, HAZARDS, allergens_met, avoided_allergens, certainly_too_big
from genplan.text.obstacles import ALLERGEN_WORDS, obstacle_text
from genplan.text.obstacles import HAZARDS as HAZARD_WORDS

TODAY = date(2026, 11, 29)
ALWAYS = WeeklyHours.always()
HERE = ("mum", "home", "coats")
DIMENSIONS = (
    Dimension("adult", ("dad", "mum")),
    Dimension("location", ("home", "park")),
    Dimension("material_set", ("coats", "jackets")),
)
PLAIN = Case(
    timezone=ZoneInfo("Europe/Dublin"),
    learners={"wren": Learner(id="wren", name="Wren", alias="W.", free=ALWAYS)},
    adults={id_: Adult(id=id_, name=id_.capitalize(), free=ALWAYS) for id_ in ("dad", "mum")},
    locations={id_: Location(id=id_, name=id_.capitalize(), open=ALWAYS) for id_ in ("home", "park")},
    material_sets={id_: MaterialSet(id=id_, name=id_.capitalize()) for id_ in ("coats", "jackets")},
    targets={"zips": Target(id="zips", learner="wren", name="Zips", dimensions=DIMENSIONS)},
)

Change = tuple[str, str, dict[str, Any]]


def ids(*names: str) -> frozenset[str]:
    return frozenset(names)


def having(*changes: Change) -> Case:
    case = PLAIN
    for group, id_, fields in changes:
        things = getattr(case, group)
        changed: dict[str, Any] = {group: {**things, id_: replace(things[id_], **fields)}}
        case = replace(case, **changed)
    return case


def rule_against(*changes: Change) -> str | None:
    case = having(*changes)
    against = obstacle(case, case.targets["zips"], HERE, TODAY)
    return against.rule if against else None


# On 29 November 2026 a child born on 29 November 2023 is 36 months old, one born a day later is not.
YOUNG, THREE = {"born": Birth(2023, 11, 30)}, {"born": Birth(2023, 11, 29)}

INNOCENT: list[tuple[Change, ...]] = [
    (),
    (("adults", "mum", {"learners": ids("wren", "robin")}),),
    (("adults", "dad", {"learners": ids()}),),
    (("adults", "mum", {"locations": ids("home")}),),
    (("adults", "mum", {"briefed_on": ids("zips")}),),
    (("adults", "dad", {"briefed_on": ids()}),),
    (("locations", "home", {"learners": ids("wren")}),),
    (("locations", "park", {"learners": ids()}),),
    (("material_sets", "coats", {"kept_at": ids("home", "park")}),),
    (("material_sets", "jackets", {"kept_at": ids("park")}),),
    (("learners", "wren", {"allergens": ids("egg")}), ("material_sets", "coats", {"allergens": ids("milk")})),
    (
        ("learners", "wren", {"allergens": ids("egg")}),
        ("material_sets", "jackets", {"allergens": ids("egg")}),
    ),
    (("material_sets", "coats", {"hazards": ids("water", "cord")}),),
    (("material_sets", "jackets", {"hazards": ids("magnet")}),),
    (("learners", "wren", THREE), ("material_sets", "coats", {"small_parts": True})),
    (("learners", "wren", THREE), ("material_sets", "coats", {"hazards": ids("small-ball")})),
    (("learners", "wren", YOUNG), ("material_sets", "coats", {"small_parts": False})),
    (("learners", "wren", YOUNG),),
    # what a name says counts only until somebody has looked, and for small parts only of a young child
    (("material_sets", "coats", {"small_by_name": True}),),
    (("learners", "wren", THREE), ("material_sets", "coats", {"small_by_name": True})),
    (
        ("learners", "wren", YOUNG),
        ("material_sets", "coats", {"small_by_name": True, "small_parts": False}),
    ),
    (
        ("learners", "wren", YOUNG),
        ("material_sets", "coats", {"small_by_name": True, "dimensions_mm": (80.0, 80.0, 80.0)}),
    ),
    (("material_sets", "coats", {"hazards_by_name": ids("balloon")}),),
    (("learners", "wren", YOUNG), ("material_sets", "coats", {"dimensions_mm": (33.0, 2.0, 33.0)})),
    (("material_sets", "coats", {"small_parts": True}),),
    (("learners", "wren", THREE), ("material_sets", "coats", {"min_age_months": 36})),
    (("targets", "zips", {"never": ({"adult": "mum", "location": "park"},)}),),
]

GUILTY: list[tuple[str, tuple[Change, ...]]] = [
    ("adult and learner", (("adults", "mum", {"learners": ids("robin")}),)),
    ("adult and learner", (("adults", "mum", {"learners": ids()}),)),
    ("adult and location", (("adults", "mum", {"locations": ids("park")}),)),
    ("briefing", (("adults", "mum", {"briefed_on": ids("asks")}),)),
    ("location and learner", (("locations", "home", {"learners": ids("robin")}),)),
    ("set and location", (("material_sets", "coats", {"kept_at": ids("park")}),)),
    (
        "allergen",
        (
            ("learners", "wren", {"allergens": ids("egg")}),
            ("material_sets", "coats", {"allergens": ids("egg", "milk")}),
        ),
    ),
    (
        "allergen",
        (
            ("learners", "wren", {"allergens": ids("gluten")}),
            ("material_sets", "coats", {"allergens": ids("wheat")}),
        ),
    ),
    (
        "allergen",
        (
            ("learners", "wren", {"allergens": ids("wheat")}),
            ("material_sets", "coats", {"allergens": ids("gluten")}),
        ),
    ),
    (
        "allergen",
        (
            ("learners", "wren", {"allergens": ids("kiwi")}),
            ("material_sets", "coats", {"allergens": ids("kiwi")}),
        ),
    ),
    ("hazard", (("material_sets", "coats", {"hazards": ids("magnet")}),)),
    (
        "hazard",
        (
            ("learners", "wren", {"born": Birth(2010, 1)}),
            ("material_sets", "coats", {"hazards": ids("button-cell")}),
        ),
    ),
    ("hazard", (("material_sets", "coats", {"hazards_by_name": ids("magnet")}),)),
    ("hazard", (("material_sets", "coats", {"hazards_by_name": ids("button-cell", "balloon")}),)),
    ("small part", (("learners", "wren", YOUNG), ("material_sets", "coats", {"small_by_name": True}))),
    (
        "small part",
        (("learners", "wren", {"mouths": True}), ("material_sets", "coats", {"small_by_name": True})),
    ),
    ("small part", (("learners", "wren", YOUNG), ("material_sets", "coats", {"small_parts": True}))),
    ("small part", (("learners", "wren", YOUNG), ("material_sets", "coats", {"hazards": ids("small-ball")}))),
    (
        "small part",
        (("learners", "wren", YOUNG), ("material_sets", "coats", {"dimensions_mm": (32.9, 66.9, 1.0)})),
    ),
    # what was said or is a ball outweighs sizes, and a ball outweighs what was said
    *(
        ("small part", (("learners", "wren", YOUNG), ("material_sets", "coats", about)))
        for about in (
            {"dimensions_mm": (80.0, 80.0, 80.0), "small_parts": True},
            {"dimensions_mm": (80.0, 80.0, 80.0), "hazards": ids("small-ball")},
            {"small_parts": False, "hazards": ids("small-ball")},
        )
    ),
    # what was measured outweighs what was said
    (
        "small part",
        (
            ("learners", "wren", YOUNG),
            ("material_sets", "coats", {"dimensions_mm": (20.0, 20.0, 20.0), "small_parts": False}),
        ),
    ),
    ("minimum age", (("learners", "wren", YOUNG), ("material_sets", "coats", {"min_age_months": 36}))),
    ("never", (("targets", "zips", {"never": ({"adult": "mum", "location": "home"},)}),)),
    ("never", (("targets", "zips", {"never": ({"adult": "dad"}, {"material_set": "coats"})}),)),
]


@pytest.mark.parametrize("changes", INNOCENT, ids=range(len(INNOCENT)))
def test_nothing_stands_against_it(changes: tuple[Change, ...]) -> None:
    assert rule_against(*changes) is None


@pytest.mark.parametrize(
    ("rule", "changes"), GUILTY, ids=[f"{i} {rule}" for i, (rule, _) in enumerate(GUILTY)]
)
def test_the_rule_that_stands_against_it(rule: str, changes: tuple[Change, ...]) -> None:
    assert rule_against(*changes) == rule


def test_each_rule_is_tried_above() -> None:
    assert {rule for rule, _ in GUILTY} == set(Rule) - {Rule.NOT_VARIED}
    of_a_thing = {Rule.ALLERGEN, Rule.HAZARD, Rule.SMALL_PART, Rule.MINIMUM_AGE}
    assert len(CHECKS) == len(set(Rule) - {Rule.NOT_VARIED} - of_a_thing) + 1


def test_the_strongest_rule_is_named_first() -> None:
    briefing = ("adults", "mum", {"briefed_on": ids()})
    never = ("targets", "zips", {"never": ({"adult": "mum"},)})
    magnet = ("material_sets", "coats", {"hazards": ids("magnet")})
    assert rule_against(briefing, never) == "never"
    assert rule_against(briefing, never, magnet) == "hazard"


def test_a_sentence_uses_the_alias_and_no_full_name() -> None:
    case = having(("learners", "wren", {"name": "Wren Example"}), ("adults", "mum", {"learners": ids()}))
    against = obstacle(case, case.targets["zips"], HERE, TODAY)
    assert against is not None
    assert obstacle_text(case, against) == "Mum does not work with W."


def test_adults_of_one_name_are_told_apart() -> None:
    case = having(
        ("adults", "mum", {"name": "Sam", "learners": ids()}),
        ("adults", "dad", {"name": "Sam", "learners": ids()}),
    )
    target = case.targets["zips"]
    said = {
        against: obstacle_text(case, against)
        for c in target.combinations()
        if (against := obstacle(case, target, c, TODAY))
    }
    assert sorted(said.values()) == ["Sam (dad) does not work with W.", "Sam (mum) does not work with W."]


def test_each_hazard_has_its_words() -> None:
    assert set(HAZARD_WORDS) == set(HAZARDS)
    assert ALLERGEN_WORDS.keys() == ALLERGENS


def test_possible_combinations_keep_the_order_of_values() -> None:
    case = having(("adults", "dad", {"locations": ids("home")}))
    assert possible_combinations(case, case.targets["zips"], TODAY) == (
        ("dad", "home", "coats"),
        ("dad", "home", "jackets"),
        ("mum", "home", "coats"),
        ("mum", "home", "jackets"),
        ("mum", "park", "coats"),
        ("mum", "park", "jackets"),
    )


@pytest.mark.parametrize(
    ("born", "on", "months"),
    [
        (Birth(2023, 11, 30), date(2026, 11, 29), 35),
        (Birth(2023, 11, 29), date(2026, 11, 29), 36),
        (Birth(2023, 11, 29), date(2026, 11, 28), 35),
        # without a day the whole month must be over
        (Birth(2023, 11), date(2026, 11, 29), 35),
        (Birth(2023, 11), date(2026, 11, 30), 35),
        (Birth(2023, 11), date(2026, 12, 1), 36),
        (Birth(2023, 12), date(2026, 12, 31), 35),
        (Birth(2023, 12), date(2027, 1, 1), 36),
        # a month without the day is over before the next month of age begins
        (Birth(2023, 8, 31), date(2024, 2, 29), 5),
        (Birth(2023, 8, 31), date(2024, 3, 1), 6),
        (Birth(2024, 2, 29), date(2027, 2, 28), 35),
        (Birth(2024, 2, 29), date(2027, 3, 1), 36),
        (Birth(2026, 11, 29), date(2026, 11, 29), 0),
        (Birth(2027, 1, 1), date(2026, 11, 29), 0),
    ],
)
def test_completed_months_of_age(born: Birth, on: date, months: int) -> None:
    assert born.age_months(on) == months


@pytest.mark.parametrize(
    ("sizes", "clear"),
    [
        # 16 CFR 1501.4, figure 1 (the short side and the millimetres from memory): 31.75 mm across, 65.38 mm along the
        # longest line; our margin: 33 and 67 mm.
        # Rigid pieces, each worked out; a sphere of 32 is too big in fact, and within the margin.
        ((31, 31, 31), False),
        ((32, 32, 32), False),
        ((20, 20, 20), False),
        ((23, 23, 23), False),
        ((31, 31, 5), False),
        ((40, 30, 3), False),
        ((33, 33, 1), True),
        ((54, 85.6, 1.5), True),
        ((32, 32, 10), False),
        ((15.8, 31.8, 9.6), False),
        ((2, 2, 60), False),
        ((2, 2, 66), False),
        ((2, 2, 67), True),
        ((25.75, 25.75, 2.2), False),
        ((33, 33, 2), True),
        ((20, 20, 38), False),
        ((31.75, 31.75, 25.4), False),
        # a block of this size is too big by its volume, which three sizes do not prove for every shape
        ((31, 31, 57), False),
        ((1, 1, 64), False),
        ((32.9, 66.9, 0.1), False),
        ((0.1, 33, 33), True),
    ],
)
def test_what_is_certainly_no_small_part(sizes: tuple[float, float, float], clear: bool) -> None:
    assert certainly_too_big(sizes) is clear


@given(st.permutations([2.0, 32.9, 66.9]), st.permutations([2.0, 33.0, 33.0]))
def test_the_order_of_sizes_decides_nothing(small: list[float], big: list[float]) -> None:
    assert not certainly_too_big((small[0], small[1], small[2]))
    assert certainly_too_big((big[0], big[1], big[2]))


def test_the_fourteen_of_the_regulation_are_known() -> None:
    """Regulation (EU) 1169/2011, Annex II (the list read on pages that reprint it)."""
    annex = "gluten crustaceans egg fish peanut soy milk nuts celery mustard sesame sulphites lupin molluscs"
    assert set(annex.split()) <= ALLERGENS
    assert ALLERGENS - set(annex.split()) == {"wheat", "latex", "tree-nuts"}


def test_what_an_allergy_avoids() -> None:
    assert avoided_allergens(frozenset()) == frozenset()
    assert avoided_allergens(ids("egg")) == ids("egg")
    assert avoided_allergens(ids("gluten", "egg")) == ids("gluten", "wheat", "egg")
    assert avoided_allergens(ids("wheat")) == ids("wheat")
    assert avoided_allergens(ids("nuts")) == ids("nuts", "tree-nuts", "peanut")


@pytest.mark.parametrize(
    ("held", "free_of", "left"),
    [
        ("", "", "nuts egg"),
        ("nuts", "", "egg"),
        ("peanut", "egg", "tree-nuts"),
        ("peanut", "tree-nuts", "egg"),
        ("", "peanut", "tree-nuts egg"),
        ("", "peanut tree-nuts", "egg"),
        ("", "nuts egg", ""),
        ("egg", "tree-nuts", "peanut"),
    ],
)
def test_what_a_name_says_and_nobody_answered(held: str, free_of: str, left: str) -> None:
    """Of nuts and egg: that there is no peanut in it says nothing of the nuts of trees."""
    thing = MaterialSet(id="mix", name="mix", allergens=ids(*held.split()), free_of=ids(*free_of.split()))
    assert thing.left_unsaid(ids("nuts", "egg")) == ids(*left.split())


@pytest.mark.parametrize(
    ("held", "free_of", "left"),
    [
        ("", "", "gluten wheat"),
        ("gluten", "", ""),
        ("wheat", "", ""),
        ("", "wheat", "gluten"),
        ("", "gluten", "wheat"),
    ],
)
def test_that_there_is_no_wheat_in_it_says_nothing_of_other_gluten(
    held: str, free_of: str, left: str
) -> None:
    thing = MaterialSet(id="mix", name="mix", allergens=ids(*held.split()), free_of=ids(*free_of.split()))
    assert thing.left_unsaid(ids("gluten", "wheat")) == ids(*left.split())


@pytest.mark.parametrize(
    ("avoided", "held", "met"),
    [
        ("nuts", "peanut", ("peanut",)),
        ("nuts", "tree-nuts", ("tree-nuts",)),
        ("nuts", "nuts", ("nuts",)),
        ("peanut", "nuts", ("nuts",)),
        ("tree-nuts", "nuts", ("nuts",)),
        ("tree-nuts", "peanut", ()),
        ("peanut", "tree-nuts", ()),
        ("nuts", "egg", ()),
        ("egg", "nuts", ()),
        ("gluten", "wheat", ("wheat",)),
        ("wheat", "gluten", ("gluten",)),
        ("wheat", "wheat", ("wheat",)),
        ("wheat", "nuts", ()),
        ("egg", "gluten", ()),
    ],
)
def test_nuts_of_no_kind_may_be_any_and_gluten_that_of_wheat(
    avoided: str, held: str, met: tuple[str, ...]
) -> None:
    """The auditor says it in its own words."""
    assert allergens_met(ids(avoided), ids(held)) == met
    assert is_kept_from(avoided, held) is bool(met)
