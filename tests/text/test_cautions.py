"""The cautions of a sitting: each by innocent, offence and near miss."""

from __future__ import annotations

import html
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from genplan.audit.possible import is_possible
from genplan.case import Birth, Case, MaterialSet
from genplan.case.cautions import CautionKind, cautions_for, together
from genplan.case.possible import obstacle, possible_combinations
from genplan.case.safety import ALLERGENS
from genplan.keeping.cautions_told import cautions_gone, new_cautions, with_cautions
from genplan.keeping.told import CautionTold, Told
from genplan.language import Speech, speaking
from genplan.plan import Plan, Probe, ProbeKind
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.messages import message
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from genplan.text.cautions import caution_text, no_longer_text, standing_cautions
from genplan.text.obstacles import HAZARDS, allergens_text
from tests.fixtures import builders as b

UNSAID = "'Mash': nobody has written down whether there is any egg in it. Read the label first"
DAY = date(2026, 12, 1)
TWO, FIVE = Birth(2024, 12, 1), Birth(2021, 4)


def cautions(learner: object, *sets: MaterialSet, shown_as: str = "W.") -> str:
    case = b.a_case([learner], sets=sets)
    found = cautions_for(case, learner, [s.id for s in sets], "park", DAY)
    return "\n".join(caution_text(case, c, shown_as) for c in found)


@pytest.mark.parametrize(
    ("mouths", "made", "planned"),
    [
        (True, {"small_parts": True}, False),
        (True, {"dimensions_mm": (20.0, 20.0, 20.0)}, False),
        (True, {"hazards": frozenset({"small-ball"})}, False),
        (True, {"small_parts": False}, True),
        (True, {}, True),
        (False, {"small_parts": True}, True),
    ],
)
@pytest.mark.parametrize("born", [FIVE, None])
def test_a_child_who_puts_everything_into_the_mouth_is_kept_from_small_parts_at_any_age(
    born: Birth | None, mouths: bool, made: dict[str, Any], planned: bool
) -> None:
    """The planner and the auditor say so, each for itself; of what nobody looked at the sheet says to look."""
    learner = b.a_learner(born=born, mouths=mouths)
    thing = MaterialSet(id="coats", name="Coats", **made)
    case = b.a_case([learner])
    case = replace(case, material_sets={**case.material_sets, "coats": thing})
    (target,) = case.targets.values()
    at = target.dimension_names.index("material_set")
    combination = next(c for c in possible_combinations(b.a_case([b.a_learner()]), target, DAY))
    tried = (*combination[:at], "coats", *combination[at + 1 :])
    assert (obstacle(case, target, tried, DAY) is None) is planned
    assert is_possible(case, target, tried, DAY) is planned
    if mouths and not made:
        assert "look before use" in cautions(learner, thing)


@pytest.mark.parametrize(
    ("born", "material_set", "said"),
    [
        (FIVE, MaterialSet(id="s", name="Beads"), None),
        (FIVE, MaterialSet(id="s", name="Beads", small_parts=False), None),
        (FIVE, MaterialSet(id="s", name="Beads", small_parts=True), "no piece goes to the mouth"),
        (
            TWO,
            MaterialSet(id="s", name="Beads"),
            "Not known whether 'Beads' has a piece small enough to be swallowed",
        ),
        (TWO, MaterialSet(id="s", name="Beads", small_parts=False), None),
        (
            TWO,
            MaterialSet(id="s", name="Beads", small_parts=True),
            "never give it to a child under 36 months",
        ),
        (
            TWO,
            MaterialSet(id="s", name="Beads", dimensions_mm=(9, 34, 40)),
            "measure its smallest piece once more before use",
        ),
        (
            TWO,
            MaterialSet(id="s", name="Beads", dimensions_mm=(9, 20, 40)),
            "never give it to a child under 36",
        ),
        (None, MaterialSet(id="s", name="Beads"), "The case does not say whether W. is 36 months old"),
        # Three years to the day: 36 months are completed, so nothing is asked; a day younger they are not.
        (Birth(2023, 12, 1), MaterialSet(id="s", name="Beads"), None),
        (Birth(2023, 12, 2), MaterialSet(id="s", name="Beads"), "a magnet or a button cell: look before use"),
        # Where only the month is known, the last day of it is assumed.
        (Birth(2023, 12), MaterialSet(id="s", name="Beads"), "a magnet or a button cell: look before use"),
    ],
)
def test_small_parts(born: Birth | None, material_set: MaterialSet, said: str | None) -> None:
    text = cautions(b.a_learner(born=born), material_set)
    assert said in text if said else "small part" not in text


@pytest.mark.parametrize(
    ("made", "said"),
    [
        ({"name": "Marbles", "small_by_name": True}, "never give it to a child under 36 months"),
        ({"name": "Dough", "allergens": frozenset({"egg"})}, "'Dough' holds egg: do not use it"),
        ({"name": "Beads", "min_age_months": 48}, "'Beads' is for 48 months and over: do not use it with W."),
        ({"name": "Dice", "min_age_months": 48, "dimensions_mm": (9, 34, 40)}, "'Dice' is for 48 months"),
    ],
)
def test_of_what_a_child_is_kept_from_nothing_says_how_to_use_it(made: dict[str, Any], said: str) -> None:
    """'Held back' and 'look before use' side by side would leave the choice to whoever reads it."""
    learner = b.a_learner(born=TWO, allergens=frozenset({"egg"}))
    text = cautions(learner, MaterialSet(id="s", **made))
    assert said in text
    assert "before use" not in text
    assert "before use" in cautions(learner, MaterialSet(id="s", name="Beads"))


def test_every_known_hazard_is_named_with_its_set() -> None:
    text = cautions(b.a_learner(), MaterialSet(id="s", name="The kit", hazards=frozenset(HAZARDS)))
    for words in HAZARDS.values():
        assert f"'The kit': {words}." in text
    assert "'The kit':" not in cautions(b.a_learner(), MaterialSet(id="s", name="The kit"))


def test_an_allergen_of_the_set_is_told_only_to_a_learner_who_avoids_it() -> None:
    oats = MaterialSet(id="s", name="Dough", allergens=frozenset({"wheat"}))
    assert "allergen" not in cautions(b.a_learner(), oats)
    assert "must not meet" not in cautions(b.a_learner(), oats)
    avoiding = cautions(b.a_learner(allergens=frozenset({"gluten"})), oats)
    assert "'Dough' holds wheat: do not use it with W." in avoiding
    other = cautions(b.a_learner(allergens=frozenset({"egg"})), oats)
    assert "W. must not meet egg: check what is brought, food, creams and materials at The park." in other
    assert "'Dough' holds" not in other


def test_every_known_allergen_is_reminded_of() -> None:
    for allergen in sorted(ALLERGENS):
        assert allergens_text((allergen,)) in cautions(b.a_learner(allergens=frozenset({allergen})))


def test_minimum_age_is_mentioned_only_where_no_age_is_known() -> None:
    saw = MaterialSet(id="s", name="Toy saw", min_age_months=48)
    assert "48 months" not in cautions(b.a_learner(born=FIVE), saw)
    assert "'Toy saw' is for 48 months and over" in cautions(b.a_learner(born=None), saw)


def test_assent_and_supervision_close_every_list_and_call_by_alias() -> None:
    case = b.a_case()
    found = cautions_for(case, case.learners["wren"], ["fleece", "fleece", "coats"], "park", DAY)
    said = [caution_text(case, c, "W.") for c in found]
    assert "If W. says no, walks away or is distressed, stop." in said[-1]
    assert "'not run' and the reason" in said[-1]
    assert "An adult who is responsible for W. stays within sight" in said[-2]
    assert len(said) == len(set(said))
    assert not any("Wren" in sentence for sentence in said)


def test_called_by_name_where_asked() -> None:
    assert "If Wren Example says no" in cautions(b.a_learner(), shown_as="Wren Example")


def test_the_order_of_the_sets_decides_nothing() -> None:
    case = b.a_case()
    one = cautions_for(case, case.learners["wren"], ["fleece", "jackets"], "home", DAY)
    other = cautions_for(case, case.learners["wren"], ["jackets", "fleece"], "home", DAY)
    assert one == other


def test_standing_cautions_defer_and_prescribe_nothing() -> None:
    text = " ".join(standing_cautions(b.a_case()))
    assert "Local rules" in text
    assert "licensed practitioner in charge" in text
    assert "prescribes no treatment" in text


KETTLE = MaterialSet(id="kettle", name="The kettle", hazards=frozenset({"heat"}))
ROPE = MaterialSet(id="rope", name="The rope", hazards=frozenset({"cord"}))
PLAIN = MaterialSet(id="cards", name="Cards")


@pytest.mark.parametrize("order", [(KETTLE, ROPE, PLAIN), (PLAIN, ROPE, KETTLE), (ROPE, PLAIN, KETTLE)])
@pytest.mark.parametrize("which", ["sheet", "page", "adult", "event"])
def test_every_set_of_a_sitting_has_its_cautions(order: tuple[MaterialSet, ...], which: str) -> None:
    """Whichever probe comes first: who runs the second has the second set in hand."""
    case = b.a_case(targets=[b.a_target()], sets=order)
    probes = [
        Probe(
            target="zips-jacket",
            combination=("grandad", "park", s.id),
            kind=ProbeKind.NEW,
            trials=5,
            new_tuples=0,
        )
        for s in order
    ]
    plan = replace(b.an_empty_plan(), sittings=(b.a_sitting(probes=probes),))
    drawn = {
        "sheet": lambda: sheets_page(case, plan),
        "page": lambda: week_page(case, plan),
        "adult": lambda: adult_page(case, plan, "grandad"),
        "event": lambda: calendar_files(case, plan)["calendars/adult-grandad.ics"].decode(),
    }[which]()
    text = html.unescape(drawn).replace("\r\n ", "").replace("\\,", ",").replace("\\;", ";")
    for said in ("'The kettle': something hot", "'The rope': a cord"):
        assert said in text.replace("’", "'")


def test_of_two_sets_of_one_name_it_is_said_which() -> None:
    beads, cord = (
        MaterialSet(id="s1", name="Cars"),
        MaterialSet(id="s2", name="Cars", hazards=frozenset({"cord"})),
    )
    learner = replace(b.a_case().learners["wren"], born=FIVE)
    assert "'Cars (s2)': a cord" in cautions(learner, beads, cord)


@pytest.mark.parametrize(
    ("born", "mouths", "said"),
    [(FIVE, True, True), (None, True, True), (TWO, False, True), (FIVE, False, False), (None, False, False)],
)
def test_helpers_are_told_that_nothing_small_is_to_be_nearby(
    born: Birth | None, mouths: bool, said: bool
) -> None:
    """Once, of a child who mouths or is known to be so young, whatever is used: on the page of each and in the
    calendar."""
    learner = b.a_learner(born=born, mouths=mouths)
    words = "W. may put anything into the mouth: no other small things, magnets or button cells nearby."
    assert cautions(learner, MaterialSet(id="s", name="Cards", small_parts=False)).count(words) == said
    case = b.a_case([learner])
    plan = b.a_plan(case)
    assert (words in html.unescape(adult_page(case, plan, plan.sittings[0].adult))) is said
    sent = "".join(text.replace("\r\n ", "") for text in map(_as_text, calendar_files(case, plan).values()))
    assert (words.partition(":")[0] in sent) is said


def _as_text(data: str | bytes) -> str:
    return data if isinstance(data, str) else data.decode("utf-8")


def test_what_goes_with_a_mouth_that_is_safe_again_never_lets_magnets_near() -> None:
    """Magnets and button cells are kept from every child, whatever else is written down."""
    gone = CautionTold(CautionKind.NOTHING_SMALL.value, "", ())
    text = no_longer_text(b.a_case(), gone, "W.")
    assert "no other small things nearby" in text
    assert "magnets and button cells stay away from every child" in text


def _a_mash(avoided: tuple[str, ...] = ("egg",), **thing: Any) -> Case:
    """The fleece is a mash here; somebody looked for egg in the coats."""
    looked = MaterialSet(id="coats", name="Coats", free_of=frozenset({"egg"}))
    mash = MaterialSet(**{"id": "fleece", "name": "Mash", **thing})
    return b.a_case([b.a_learner(allergens=frozenset(avoided))], sets=[looked, mash])


def _asked(case: Case) -> str:
    """What is to be minded of the two."""
    (learner,) = case.learners.values()
    found = cautions_for(case, learner, ["coats", "fleece"], "park", DAY)
    return "\n".join(caution_text(case, c, "W.") for c in found)


@pytest.mark.parametrize(
    ("thing", "named"),
    [
        ({}, True),
        ({"free_of": frozenset({"egg"})}, False),
        ({"holds_nothing": True}, False),
        ({"allergens": frozenset({"milk"})}, True),
        ({"bring": False}, True),
        ({"bring": False, "small_parts": False}, False),
        ({"bring": False, "small_parts": False, "maybe_by_name": frozenset({"egg"})}, True),
        ({"bring": False, "small_parts": False, "kept_at": frozenset({"park"})}, True),
    ],
)
def test_of_what_nobody_said_what_is_in_it_the_people_are_told_by_its_name(
    thing: dict[str, Any], named: bool
) -> None:
    assert (UNSAID in _asked(_a_mash(**thing))) is named
    assert "nobody has written" not in _asked(_a_mash((), **thing))
    assert "'Coats': nobody" not in _asked(_a_mash(**thing))


def test_a_thing_that_holds_it_is_not_asked_about() -> None:
    said = _asked(_a_mash(allergens=frozenset({"egg"})))
    assert "nobody has written down" not in said
    assert "do not use it" in said


def test_message_sheet_page_and_calendar_name_what_nobody_looked_at() -> None:
    """The mash is planned for the first of the two sittings alone."""
    case = _a_mash()
    plan = b.a_plan(case)
    texts = [
        message(case, plan, "grandad", plan.now),
        sheets_page(case, plan),
        adult_page(case, plan, "grandad"),
    ]
    texts += [f.decode() for n, f in calendar_files(case, plan).items() if "grandad" in n]
    for text in texts:
        plain = html.unescape(text).replace("\r\n ", "")
        assert UNSAID in plain, text
    again = new_cautions(_a_mash(free_of=frozenset({"egg"})), _told(case, plan), plan.sittings[0])
    assert not again
    assert new_cautions(case, _told(_a_mash(free_of=frozenset({"egg"})), plan), plan.sittings[0])


@pytest.mark.parametrize("said_of_none", [True, False])
def test_where_nobody_said_anything_one_line_names_all_things_but_those_that_hold_nothing(
    said_of_none: bool,
) -> None:
    names = {"coats": "A bar of chocolate", "fleece": "Biscuits", "jackets": "A jacket"}
    sets = {i: MaterialSet(id=i, name=name, holds_nothing=i == "jackets") for i, name in names.items()}
    if not said_of_none:
        sets["coats"] = replace(sets["coats"], free_of=frozenset({"egg"}))
    case = replace(b.a_case([b.a_learner(allergens=frozenset({"egg"}))]), material_sets=sets)
    (learner,) = case.learners.values()
    every = cautions_for(case, learner, sets, "park", DAY)
    lines = [caution_text(case, c, "W.") for c in together(every)]
    unsaid = [line for line in lines if "nobody has written down" in line]
    if said_of_none:
        assert unsaid == [
            "'A bar of chocolate' and 'Biscuits': nobody has written down whether there is any egg in them. "
            "Read each label first; what does not say, leave out."
        ]
    else:
        assert [line.partition(":")[0] for line in unsaid] == ["'Biscuits'"]


@pytest.mark.parametrize(("now", "is_gone"), [("peanut", False), ("egg", True)])
def test_that_nobody_looked_is_not_called_off_while_it_holds_by_another_name(now: str, is_gone: bool) -> None:
    """Nuts may be peanuts, of which nobody knows either."""
    plan = b.a_plan(_a_mash(("nuts",)))
    told = _told(_a_mash(("nuts",)), plan)
    gone = cautions_gone(_a_mash((now,)), told, plan.sittings[0])
    assert any(c.kind == CautionKind.CONTENT_UNKNOWN for c in gone) is is_gone


def _told(case: Case, plan: Plan) -> Told:
    """The first sitting, as people were told of it by what the case said then."""
    first, now = plan.sittings[0], plan.now
    once = Told(first, "a", 0, now, 0, now, first.end, True)
    (told,) = with_cautions(case, [once], now)
    return told


def test_an_allergen_of_the_case_is_a_word_as_others_are() -> None:
    """It is an id in the file, whatever was typed."""
    assert allergens_text(("egg", "red-kiwi")) == "egg, red kiwi"
    with speaking(Speech("de")):
        assert allergens_text(("egg", "kiwi")) == "Ei, Kiwi"
