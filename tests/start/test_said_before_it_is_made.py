"""What is said of answers before a case is made of them: which field lacks a choice, who has no skill."""

from __future__ import annotations

import pytest

from genplan.start.case_text import case_text
from genplan.start.first_week import remarks
from genplan.start.problems import problems
from genplan.start.screens import SCREENS
from genplan.start.things_named import with_things_named
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


@pytest.mark.parametrize("born", ["2024-02", "2023-11", "2023-10", ""])
def test_of_each_thing_that_is_named_somebody_says_whether_it_is_small_for_a_child_under_three(
    born: str,
) -> None:
    """On 29 November 2026: a month of age is complete once the calendar month is over."""
    child = {"name": "Wren", "born": born, "hours": HOURS}
    asked = refusals(children=[child], things=[{"name": "Cups"}])
    assert [s.partition(",")[0] for s in asked] == ["Look at Cups"] * (born in ("2024-02", "2023-11"))


@pytest.mark.parametrize("named", ["{}", "Cups, {}"])
@pytest.mark.parametrize(
    ("thing", "why"),
    [
        ("Pancakes", "Pancakes (it holds egg)"),
        ("Beads", "Beads (nothing that could be swallowed is planned under the age of 36 months)"),
        ("Board", "Board (a magnet a child could get hold of)"),
    ],
)
def test_what_a_child_is_kept_from_is_refused_where_it_is_named(named: str, thing: str, why: str) -> None:
    """Once what it holds was asked, and not before."""
    own = {"name": "Asks", "correct": "Says it", "things": named.format(thing)}
    (sentence,) = refusals(children=TODDLER, things=THINGS, skills=[own])
    assert sentence.startswith(f"Wren is kept from: {why}. Name something else for the skill")
    skills = next(s for s in SCREENS if s.key == "skills")
    before = answered(children=TODDLER, things=THINGS, skills=[own]).with_done("things", False)
    assert problems(skills, before, TODAY) == ()
    # of another child nothing is said
    other = [*TODDLER, {"name": "Ada", "born": "2019-01", "hours": HOURS}]
    asked = refusals(children=other, things=THINGS, skills=[own | {"child": "c2"}])
    assert [s for s in asked if "kept from" in s] == ([s for s in asked if "magnet" in s])


def of_names(typed: str) -> list[str]:
    answers = with_things_named(answered(things=[], skills=[{"name": "A", "correct": "b", "things": typed}]))
    (skills,) = [s for s in SCREENS if s.key == "skills"]
    return [p.sentence for p in problems(skills, answers, TODAY)]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("red cup, Red  Cup", "Two are called Red Cup. Add a word to tell them apart."),
        ("cup, " + 121 * "x", "'" + 30 * "x" + "…' has 121 letters, and a name at most 120."),
        (", ".join(f"cup {n}" for n in range(200)), "That is 200, and at most 60 can be asked about here."),
        ("cup, 3", "'3' is only a number: write a word with it. What is this thing called?"),
        ("cup 🥤, كوب; 杯子", ""),
        (" , ;\n", ""),
        ("nothing", ""),
        ("keine", ""),
        ("Wren's cup", ""),
    ],
)
def test_odd_names_of_things_are_kept_and_asked_about(typed: str, told: str) -> None:
    found = of_names(typed)
    assert len(found) == bool(told)
    assert all(sentence.startswith(told) for sentence in found)


def test_a_thing_that_two_skills_name_is_one_and_one_skill_may_need_none() -> None:
    skills = [
        {"name": n, "correct": "b", "things": t} for n, t in (("A", "Cup, ball"), ("B", "cup"), ("C", ""))
    ]
    answers = with_things_named(answered(things=[], skills=skills))
    assert [e.get("name") for e in answers.entries("things")] == ["Cup", "ball"]
    assert "things" not in answers.done, "they were not asked about yet"
    text = case_text(answers, "abcdefghjkmn")
    assert [text.count(f"material_sets: [{ids}]") for ids in ("cup, ball", "cup", "nothing")] == [1, 1, 1]
    assert [text.count(f"material_set: {first}") for first in ("cup", "nothing")] == [2, 1]


@pytest.mark.parametrize(("born", "kept"), [("2024-06", True), ("2023-10", False), ("", False)])
def test_small_parts_are_refused_by_the_age_of_today(born: str, kept: bool) -> None:
    """On 29 November 2026; a month of age is complete once the calendar month is over."""
    children = [{"name": "Anna", "born": born, "hours": HOURS}]
    skill = {"name": "Threads", "correct": "Three", "things": "Beads"}
    asked = refusals(children=children, things=[{"name": "Beads", "cautions": "small"}], skills=[skill])
    assert ("Anna is kept from: Beads" in " ".join(asked)) is kept


@pytest.mark.parametrize("group", ["children", "helpers", "places"])
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
        ("\u200b", "Nothing of that can be seen. What is "),
        ("🧑🏽", ""),
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
        {"name": "Foam blocks", "holds": ""},
        {"name": "Beads", "cautions": "small", "holds": ""},
        {"name": "Cups", "cautions": "none", "holds": ""},
    ]
    found = remarks(
        answered(
            children=children, things=things, skills=[{"name": "A", "things": "Foam blocks, Beads, Cups"}]
        )
    )
    assert [s for s in found if "milk" in s] == [
        "Nobody said whether there is any milk in or on: Foam blocks, Beads, Cups. It may be planned for Wren all the "
        "same; look once more if you are in doubt."
    ]
    assert any("a magnet or a button cell is in or on: Foam blocks. It may be planned" in s for s in found)
    assert any("could be swallowed of: Beads. It may be planned for Wren" in s for s in found)
    young = [children[0] | {"born": "2024-06"}]
    found = remarks(
        answered(children=young, things=things, skills=[{"name": "A", "things": "Foam blocks, Cups"}])
    )
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
