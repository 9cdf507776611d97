"""What is said of answers before a case is made of them: which field lacks a choice, who has no skill."""

from __future__ import annotations

import pytest

from genplan.start.first_week import remarks
from genplan.start.problems import problems
from genplan.start.screens import SCREENS, group_of
from tests.fixtures.start_answers import HOURS, TODAY, answered


def test_a_field_without_a_choice_is_named() -> None:
    answers = answered(places=[{"name": "Home", "helpers": "-"}, {"name": "Park"}])
    (problem,) = [p for s in SCREENS for p in problems(s, answers, TODAY)]
    assert (
        problem.sentence == "'Who can be at Home with the child?' has no tick; expected one of them at least."
    )


def test_a_child_without_a_skill_is_told() -> None:
    children = [{"name": "Ada", "hours": HOURS}, {"name": "Max", "hours": HOURS}]
    assert "Max has no skill yet, so nothing is planned for Max." in remarks(answered(children=children))
    assert not [s for s in remarks(answered()) if "no skill" in s]


THINGS = [
    {"name": "Pancakes", "cautions": "none", "holds": "egg"},
    {"name": "Beads", "cautions": "small"},
    {"name": "Board", "cautions": "magnet"},
    {"name": "Cups", "cautions": "none", "holds": "-looked:egg"},
]
TODDLER = [{"name": "Wren", "born": "2024-06", "hours": HOURS, "allergies": "egg"}]


def refusals(**groups: list[dict[str, str]]) -> list[str]:
    answers = answered(**groups)
    return [p.sentence for s in SCREENS for p in problems(s, answers, TODAY)]


def test_nothing_that_a_child_is_kept_from_is_chosen_before_anybody_chooses_it() -> None:
    """Not as what a skill was learned with, though it stands first; nor where there is nothing else."""
    answers = answered(children=TODDLER, things=THINGS)
    question = group_of("skills").question("with")
    assert question.otherwise(answers) == "m4"
    assert question.otherwise(answered(children=TODDLER, things=THINGS[:3])) == ""
    (sentence,) = refusals(children=TODDLER, things=THINGS[:3])
    assert sentence == "With what was it learned? Choose one of the things."
    # a name that says it, of which nothing was said yet
    named = [{"name": "Egg sandwich", "cautions": "none"}, {"name": "Cups", "cautions": "none"}]
    assert question.otherwise(answered(children=TODDLER, things=named)) == "m2"


@pytest.mark.parametrize(
    ("born", "chosen"), [("2024-02", "m2"), ("2023-11", "m2"), ("2023-10", "m1\nm2"), ("", "m2")]
)
def test_of_what_nobody_said_whether_it_is_small_nothing_is_chosen_for_a_child_who_may_be_under_three(
    born: str, chosen: str
) -> None:
    """On 29 November 2026; who may choose it is asked where nothing else is left."""
    child = {"name": "Wren", "born": born, "hours": HOURS}
    things = [{"name": "Cups"}, {"name": "Two hats", "cautions": "none"}]
    answers = answered(children=[child], things=things)
    skills = group_of("skills")
    assert skills.question("things").otherwise(answers) == chosen
    assert skills.question("with").otherwise(answers) == chosen.split("\n")[0]
    asked = refusals(children=[child], things=things[:1])
    looked = [s for s in asked if s.startswith("Look at Cups")]
    assert len(looked) == (bool(born) and "m1" not in chosen)
    assert asked[len(looked) :] == (
        [] if "m1" in chosen else ["With what was it learned? Choose one of the things."]
    )
    # the age of one child alone does not settle it for a second
    both = answered(children=[child, {"name": "Bo", "hours": HOURS}], things=things)
    assert skills.question("things").otherwise(both) == "m2"


@pytest.mark.parametrize("chosen", [{"with": "{}"}, {"things": "m4\n{}"}])
@pytest.mark.parametrize(
    ("thing", "why"),
    [
        ("m1", "Pancakes (it holds egg)"),
        ("m2", "Beads (nothing that could be swallowed is planned under the age of 36 months)"),
        ("m3", "Board (a magnet a child could get hold of)"),
    ],
)
def test_what_a_child_is_kept_from_is_refused_where_it_is_chosen(
    chosen: dict[str, str], thing: str, why: str
) -> None:
    own = {"name": "Asks", "correct": "Says it", **{k: v.format(thing) for k, v in chosen.items()}}
    (sentence,) = refusals(children=TODDLER, things=THINGS, skills=[own])
    assert sentence.startswith(f"Wren is kept from: {why}. Choose something else here")
    # of another child nothing is said
    other = [*TODDLER, {"name": "Ada", "born": "2019-01", "hours": HOURS}]
    asked = refusals(children=other, things=THINGS, skills=[own | {"child": "c2"}])
    assert [s for s in asked if "kept from" in s] == ([s for s in asked if "magnet" in s])


@pytest.mark.parametrize(("born", "kept"), [("2024-06", True), ("2023-10", False), ("", False)])
def test_small_parts_are_refused_by_the_age_of_today(born: str, kept: bool) -> None:
    """On 29 November 2026; a month of age is complete once the calendar month is over."""
    children = [{"name": "Anna", "born": born, "hours": HOURS}]
    skill = {"name": "Threads", "correct": "Three", "with": "m1"}
    asked = refusals(children=children, things=[{"name": "Beads", "cautions": "small"}], skills=[skill])
    assert ("Anna is kept from: Beads" in " ".join(asked)) is kept


@pytest.mark.parametrize("group", ["children", "helpers", "places", "things"])
@pytest.mark.parametrize(
    ("name", "odd"),
    [
        ("Mi 16-18", "'Mi 16-18' looks like hours. What is "),
        ("3-5pm", "'3-5pm' looks like hours. What is "),
        ("16-18", "'16-18' looks like hours. What is "),
        ("Fri 3-5", "'Fri 3-5' looks like hours. What is "),
        ("15:00", "'15:00' looks like hours. What is "),
        ("1", "'1' is only a number: write a word with it. What is "),
        ("1, 3", "'1, 3' is only a number: write a word with it. What is "),
        ("Room 7", ""),
        ("Hall 3-5", ""),
        ("Mo", ""),
        ("Di Napoli", ""),
        ("Sunday club", ""),
        ("7 dwarfs", ""),
    ],
)
def test_a_name_that_looks_like_hours_or_a_number_is_asked_about(group: str, name: str, odd: str) -> None:
    answers = answered(**{group: [{"name": name, "hours": HOURS, "cautions": "none"}]})
    (screen,) = [s for s in SCREENS if s.key == group]
    found = [p.sentence for p in problems(screen, answers, TODAY)]
    assert found == [] if not odd else len(found) == 1 and found[0].startswith(odd)


def test_what_nobody_looked_at_and_what_could_be_swallowed_is_told_before_the_first_week() -> None:
    children = [{"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "milk"}]
    things = [
        {"name": "Foam blocks"},
        {"name": "Beads", "cautions": "small"},
        {"name": "Cups", "cautions": "none"},
    ]
    found = remarks(
        answered(children=children, things=things, skills=[{"name": "A", "things": "m1\nm2\nm3"}])
    )
    assert [s for s in found if "milk" in s] == [
        "Nobody said whether there is any milk in or on: Foam blocks, Beads, Cups. It may be planned for Wren all the "
        "same; look once more if you are in doubt."
    ]
    assert any("a magnet or a button cell is in or on: Foam blocks. It may be planned" in s for s in found)
    assert any("could be swallowed of: Beads. It may be planned for Wren" in s for s in found)
    young = [children[0] | {"born": "2024-06"}]
    found = remarks(answered(children=young, things=things, skills=[{"name": "A", "things": "m1\nm3"}]))
    assert not any("could be swallowed of" in s for s in found)


@pytest.mark.parametrize(
    ("typed", "alias", "refused"),
    [
        ("Wren puts it into the hand", "", "such as 'W. puts it into the hand'"),
        ("Gives it, as Wren's sister does", "", "such as 'Gives it, as W.'s sister does'"),
        ("Puts it into the hand", "", ""),
        ("Wrens are birds, and wren too", "", ""),
        ("Wren puts it into the hand", "Wren", ""),
    ],
)
def test_the_name_of_a_child_in_what_counts_is_asked_about(typed: str, alias: str, refused: str) -> None:
    """Others read it, who are told of the child by the alias alone; whoever wants the name there takes it as alias."""
    children = [{"name": "Wren", "hours": HOURS, "alias": alias}]
    skills = [{**dict(answered().entries("skills")[0].texts), "correct": typed}]
    found = refusals(children=children, skills=skills)
    assert len(found) == bool(refused)
    assert all(refused in sentence for sentence in found)
