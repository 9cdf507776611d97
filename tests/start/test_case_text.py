"""Answers make a case that loads without a finding, with ids that nobody was asked for."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Case, Week
from genplan.case.safety import allergens_met
from genplan.casefile import load
from genplan.casefile.ids_from_names import LONGEST, id_from
from genplan.casefile.scalar_types import ID
from genplan.errors import FileError, UsageError
from genplan.language import Speech, speaking
from genplan.start.answers import KEY, Answers, Entry, NoAnswers, as_json, from_json
from genplan.start.asked_about_people import CHILDREN, MOUTHS
from genplan.start.asked_about_places import SMALL
from genplan.start.case_text import case_text
from genplan.start.draft import read_draft, write_draft
from genplan.start.kept_from import kept_from
from genplan.start.problems import problems
from genplan.start.screens import SCREENS, screen_of
from genplan.start.summary import lines_of
from tests.fixtures.start_answers import HOURS, TODAY, answered

CASE_ID = "abcdefghjkmn"


def case_of(folder: Path, answers: Answers) -> Case:
    assert [p for s in SCREENS for p in problems(s, answers, TODAY)] == []
    (folder / "case.yaml").write_text(case_text(answers, CASE_ID), "utf-8")
    loaded = load(folder)
    assert [f.sentence() for f in loaded.findings] == []
    assert loaded.case is not None
    return loaded.case


def test_a_thing_that_holds_gluten_is_not_said_to_hold_no_wheat(tmp_path: Path) -> None:
    """Only what was chosen is in it, somebody looked: the gluten may be that of wheat."""
    children = [
        {"name": name, "born": "2018-04", "hours": HOURS, "allergies": avoided}
        for name, avoided in (("Wren", "wheat"), ("Robin", "gluten"), ("Ash", "egg"))
    ]
    skills = [
        {
            "name": what,
            "correct": "Says it",
            "child": f"c{n}",
            "things": "Snack box, Two cups" if n == 3 else "Two cups",
        }
        for n, what in enumerate(("Asks for help", "Asks to stop", "Asks for more"), 1)
    ]
    things = [
        {"name": "Snack box", "cautions": "none", "holds": "gluten\n-looked:egg+gluten+wheat"},
        {"name": "Two cups", "cautions": "none", "holds": "-looked:egg+gluten+wheat"},
    ]
    case = case_of(tmp_path, answered(children=children, skills=skills, things=things))
    snacks = case.material_sets["snack-box"]
    assert (snacks.allergens, snacks.free_of & {"egg", "wheat"}) == ({"gluten"}, {"egg"})
    met = {name: allergens_met(child.allergens, snacks.holds) for name, child in case.learners.items()}
    assert met == {"wren": ("gluten",), "robin": ("gluten",), "ash": ()}


@pytest.mark.parametrize(
    ("name", "id_"),
    [
        ("Grandad's flat", "grandads-flat"),
        ("Zoë", "zoe"),
        ("Großmutter Ö.", "grossmutter-oe"),
        ("Жанна", "zhanna"),
        ("Γιαγιά", "giagia"),
        ("Łukasz & Åse", "lukasz-and-aase"),
        ("all", "all-2"),
        ("おばあさん", "helper-1"),
        ("!", "helper-1"),
        ("Two jackets with quite different zips", "two-jackets-with-quite"),
    ],
)
def test_an_id_comes_from_a_name(name: str, id_: str) -> None:
    found = id_from(name, {"mum"}, "helper")
    assert found == id_
    assert ID.fullmatch(found)
    assert len(found) <= LONGEST


def test_no_two_ids_are_alike() -> None:
    taken: set[str] = set()
    for _ in range(3):
        taken.add(id_from("Mum", taken, "helper"))
        taken.add(id_from("?", taken, "helper"))
    assert taken == {"mum", "mum-2", "mum-3", "helper-1", "helper-2", "helper-3"}


def test_the_answers_of_a_family_are_a_case(tmp_path: Path) -> None:
    answers = answered(
        helpers=[
            {"name": "Mum", "hours": HOURS},
            {"name": "Mum!", "hours": "tue 4-6pm, the same on sat", "visits": "2", "role": "friend"},
            {"name": "Wrén", "hours": "sun 10-11"},  # of an id that the child has
        ],
        places=[{"name": "Home"}, {"name": "Park", "open": "daily 9-17:30", "helpers": "h1\nh3"}, {"name": "Hall"}],
        travel=[{"minutes": "20"}],
        ways=[{"from": "l1", "to": "l3", "minutes": "5"}],
        things=[{"name": "Two cups", "cautions": "none"}, {"name": "Beads", "cautions": "small"}],
        children=[{"name": "Wren", "born": "April 2020", "hours": HOURS, "allergies": "eggs and kiwi"}],
        skills=[
            {"name": "Asks", "correct": "Says it", "by": "h2", "at": "l3", "things": "Beads, two cups", "trials": "8"},
            {"name": "Waits", "correct": "x: y", "places": "l2", "since": "2026-10-01", "pass_mark": "3 of 4"},
        ],
    )  # fmt: skip
    case = case_of(tmp_path, answers)
    assert list(case.learners) == ["wren"]
    assert list(case.adults) == ["mum", "mum-2", "wren-2"]
    assert case.adults["mum-2"].locations == {"home", "hall"}
    assert case.adults["mum"].locations is None
    assert case.learners["wren"].allergens == {"egg", "kiwi"}
    assert case.travel.minutes("home", "hall") == 5
    assert case.travel.minutes("home", "park") == 20
    beads = case.material_sets["beads"]
    assert (beads.small_parts, beads.allergens) == (True, frozenset())
    asks, waits = case.targets["asks"], case.targets["waits"]
    assert asks.taught == ({"adult": "mum-2", "location": "hall", "material_set": "beads"},)
    assert (asks.trials, str(waits.pass_mark), len(waits.maintenance_days) > 0) == (8, "3/4", True)
    assert asks.generalised_when == {"adult": 3, "location": 2, "material_set": 2}
    assert dict(waits.dimensions[1:2] and {"location": waits.dimensions[1].values}) == {
        "location": ("home", "park")
    }


def test_no_more_is_asked_for_than_can_ever_be_reached(tmp_path: Path) -> None:
    """The kite stays where the skill is not tried, and Aunt goes nowhere: counting them, the goal could not be
    reached."""
    answers = answered(
        helpers=[{"name": n, "hours": HOURS} for n in ("Mum", "Dad", "Aunt")],
        places=[{"name": n, "helpers": "h1\nh2"} for n in ("Home", "Park", "Hall")],
        things=[
            {"name": "Cheese roll", "cautions": "none"},
            {"name": "Kite", "cautions": "none", "kept_at": "l3"},
        ],
        skills=[{"name": "Asks", "correct": "Says it", "places": "l1\nl2"}],
    )
    case = case_of(tmp_path, answers)
    assert case.targets["asks"].generalised_when == {"adult": 2, "location": 2, "material_set": 1}


def test_a_skill_without_things_has_nothing_to_bring(tmp_path: Path) -> None:
    case = case_of(tmp_path, answered(things=[]))
    assert case.material_sets["nothing"].name == "No objects"
    assert case.targets["asks-for-help"].generalised_when["material_set"] == 1


def test_a_case_that_was_made_in_another_language_says_so(tmp_path: Path) -> None:
    with speaking(Speech("de")):
        case = case_of(tmp_path, answered(things=[]))
    assert (case.language, case.material_sets["nothing"].name) == ("de", "Keine Gegenstände")
    assert case_of(tmp_path, answered()).language == "en"
    assert "language:" not in (tmp_path / "case.yaml").read_text("utf-8")


def test_three_children_each_have_their_skills(tmp_path: Path) -> None:
    children = [{"name": name, "hours": HOURS} for name in ("Ada", "Bo", "Cy")]
    helpers = [{"name": "Mum", "hours": HOURS, "children": "c1"}, {"name": "Lee", "hours": HOURS}]
    skills = [{"name": "Greets", "correct": "Says it", "child": f"c{n}", "by": "h2"} for n in (1, 2, 3)]
    purpose = [{"policy": "caseload", "timezone": "Europe/Dublin"}]
    case = case_of(tmp_path, answered(purpose=purpose, children=children, helpers=helpers, skills=skills))
    assert {t.id: t.learner for t in case.targets.values()} == {
        "greets": "ada", "greets-2": "bo", "greets-3": "cy"
    }  # fmt: skip
    assert case.adults["mum"].learners == {"ada"}


@pytest.mark.parametrize(
    ("screen", "groups", "sentence"),
    [
        ("children", {"children": []}, "What is the child called?"),
        ("children", {"children": [{"name": "Wren", "hours": ""}]},
         "When could Wren do something short? Without hours nothing can be planned."),
        ("children", {"children": [{"name": "W", "hours": HOURS, "born": "spring"}]},
         "'spring'; expected a year and a month, such as 2020-04 or April 2020."),
        ("children", {"children": [{"name": "W", "hours": HOURS, "allergies": "penut"}]},
         "'penut'. Is it 'peanut'? Then write that, with a comma between several. If it is something else, write it in "
         "quotation marks: \"penut\"."),
        ("children", {"children": [{"name": "W", "hours": HOURS, "allergies": "shellfish"}]},
         "'shellfish'. Write 'crustaceans' or 'molluscs', whichever is meant."),
        ("helpers", {"helpers": [{"name": "Mum", "hours": HOURS}, {"name": " mum", "hours": HOURS}]},
         "Two are called mum. Add a word to tell them apart."),
        ("helpers", {"helpers": [{"name": "Mum", "hours": HOURS}, {"name": " wren", "hours": HOURS}]},
         "wren is the child's name, and this is about who helps. If somebody else has the same name, add a word."),
        ("children", {"children": [{"name": "W", "hours": HOURS, "born": "2026-12"}]},
         "'2026-12' is still to come, today is 29 November 2026."),
        ("skills", {"skills": [{"name": "A", "correct": "b", "since": "3 December 2026"}]},
         "'3 December 2026' is still to come, today is 29 November 2026. Leave it empty, and say that the skill is"
         " still being learned, if it does not work yet."),
        ("helpers", {"helpers": [{"name": "Mum", "hours": HOURS, "visits": "20 minutes"}]},
         "'20 minutes'; expected a whole number from 1 to 100."),
        ("helpers", {"helpers": [{"name": "Mum", "hours": HOURS, "visits": "0"}]},
         "'0'; expected a whole number from 1 to 100."),
        ("ways", {"places": [{"name": n} for n in "ABC"], "ways": [{"from": "l1", "to": "l1", "minutes": "3"}]},
         "A way leads from one place to another: choose two."),
        ("ways", {"places": [{"name": n} for n in "ABC"], "ways": [{"from": "l1", "to": "l2"}]},
         "How many minutes is this way?"),
        ("things", {"things": [{"name": "Cups", "cautions": "none\nsmall"}]},
         "Two ticks contradict each other, 'a piece small enough to be swallowed' and 'nothing small, no magnet, no "
         "button cell: I have looked'. Take one of them away."),
        ("skills", {"skills": [{"name": "Asks"}]},
         "What counts as correct? Without that, two people would count differently."),
        ("skills", {"skills": [{"name": "A", "correct": "b", "by": "h9"}]}, "None of these; expected one of them."),
        ("skills", {"skills": [{"name": "A", "correct": "b", "places": "-"}]},
         "'Where?' has no tick; expected one of them at least."),
        ("purpose", {"purpose": [{"timezone": "Hobbiton"}]},
         "'Hobbiton'; expected a large city or a country, such as Dublin or Ireland. Few towns have a time zone called "
         "after them: write the country instead. United Kingdom is Europe/London."),
        ("purpose", {"purpose": [{"timezone": "USA"}]},
         "'USA'. Clocks differ there: write the nearest large city."),
        ("purpose", {"purpose": [{"timezone": "Europe/Dubln"}]},
         "'Europe/Dubln'; expected a large city or a country, such as Dublin or Ireland. Did you mean "
         "'Europe/Dublin'?"),
        ("children", {"children": [{"name": "Wren", "hours": HOURS, "born": "3"}]},
         "'3'; expected a year and a month, such as 2020-04 or April 2020. If that is the age, write when the "
         "birthday was."),
        ("children", {"children": [{"name": "Wren", "hours": HOURS, "born": "1823-10"}]},
         "'1823-10' is more than 100 years ago; expected a year and a month, such as 2020-04."),
        ("children", {"children": [{"name": "Wren", "hours": HOURS, "born": "3/4/2020"}]},
         "'3/4/2020' may be 4 March 2020 or 3 April 2020: write the month in letters, or the date year first, such as "
         "2020-03-04."),
        ("children", {"children": [{"name": "Wren", "hours": HOURS, "minutes": "9"}]},
         "A check takes 5 minutes, and there are 5 to arrive before it: a visit has to last 10 minutes at least, or "
         "nothing can be planned."),
        ("skills", {"skills": [{"name": "A", "correct": "b", "minutes": "16"}],
                    "children": [{"name": "Wren", "hours": HOURS, "minutes": "20"}]},
         "A visit of Wren lasts 20 minutes at most, 5 of them to arrive: a check can take 15 minutes at most. Else "
         "let a visit last longer, where it was asked about Wren."),
    ],
)  # fmt: skip
def test_what_is_missing_or_unclear_is_said_about_the_answer(
    screen: str, groups: dict[str, list[dict[str, str]]], sentence: str
) -> None:
    found = screen_of(screen)
    assert found is not None
    assert [p.sentence for p in problems(found, answered(**groups), TODAY)] == [sentence]


def test_what_is_over_or_of_today_is_no_day_to_come(tmp_path: Path) -> None:
    skills = [{"name": "A", "correct": "b", "since": "29 November 2026"}]
    assert case_of(tmp_path, answered(skills=skills)).targets["a"].mastered_on == TODAY


def test_a_number_may_be_spelt_out_and_say_what_it_counts(tmp_path: Path) -> None:
    children = [{"name": "Wren", "hours": HOURS, "minutes": "half an hour", "visits": "three"}]
    helpers = [{"name": "Mum", "hours": HOURS, "visits": "2 visits"}]
    skills = [
        {
            "name": "A",
            "correct": "b",
            "by": "h1",
            "minutes": "10 min.",
            "trials": "five tries",
            "pass_mark": "four of 5",
        }
    ]
    case = case_of(tmp_path, answered(children=children, helpers=helpers, skills=skills))
    limits = case.learners["wren"].limits
    assert (limits.sitting_minutes, limits.sittings_per_day) == (30, 3)
    assert case.adults["mum"].limits.sittings_per_week == 2
    assert (case.targets["a"].minutes, case.targets["a"].trials, str(case.targets["a"].pass_mark)) == (
        10,
        5,
        "4/5",
    )


def test_a_city_is_enough_for_a_time_zone(tmp_path: Path) -> None:
    case = case_of(tmp_path, answered(purpose=[{"timezone": "buenos aires"}]))
    assert str(case.timezone) == "America/Buenos_Aires"


def test_answers_are_kept_as_they_were_typed_and_the_case_takes_their_place(tmp_path: Path) -> None:
    folder, answers = tmp_path / "new", answered(children=[{"name": "  Wren\t", "hours": "mon 3-5"}])
    workflow.keep_answers(folder, answers)
    assert workflow.answers_so_far(folder) == answers == from_json(as_json(answers))
    with pytest.raises(UsageError, match="Is it the afternoon"):
        workflow.case_of_answers(folder, answers, None)
    started = workflow.case_of_answers(folder, answered(), datetime(2026, 11, 26, 9))  # a Thursday
    assert (started.week, started.findings) == (Week(2026, 48), ())
    assert sorted(p.name for p in folder.iterdir()) == [
        "busy",
        "case.schema.json",
        "case.yaml",
        "results.csv",
    ]
    assert workflow.answers_so_far(folder) == Answers()
    with pytest.raises(FileError, match="holds files already"):
        workflow.case_of_answers(folder, answered(), None)


NO_ANSWERS = (
    "",
    "{}",
    "[1]",
    '{"format": 1}',
    '{"format": 1, "groups": {"a": [{"key": "x"}]}, "done": []}',
    "[" * 9999,
)


@pytest.mark.parametrize("text", NO_ANSWERS)
def test_a_file_that_holds_no_answers_is_told(tmp_path: Path, text: str) -> None:
    with pytest.raises(NoAnswers):
        from_json(text)
    (tmp_path / ".start.json").write_text(text, "utf-8")
    with pytest.raises(FileError, match="Move it away to begin anew"):
        workflow.answers_so_far(tmp_path)


def test_half_a_sign_is_kept_as_a_question_mark_and_read_as_none(tmp_path: Path) -> None:
    """Of a surrogate pair, as a terminal of another encoding sends it."""
    answers = Answers().with_entry("family", Entry("c1").with_text("name", "Ada \udcff"))
    write_draft(tmp_path, answers)
    assert read_draft(tmp_path) == answers
    assert answers.one("family", "name") == "Ada ?"
    with pytest.raises(NoAnswers):
        from_json(as_json(answers).replace("Ada ?", "\\udcff"))


def test_a_fresh_key_is_always_one_that_is_read_again() -> None:
    answers = Answers().with_entries("family", [Entry("c1"), Entry("c999")])
    fresh = answers.fresh_key("family", "c")
    assert fresh == "c2"
    assert KEY.fullmatch(fresh)
    assert Answers().with_entries("family", [Entry("c2")]).fresh_key("family", "c") == "c3"


def test_a_child_of_any_age_who_puts_things_into_the_mouth_is_kept_from_what_is_small(tmp_path: Path) -> None:
    child = {"name": "Wren", "hours": HOURS, "born": "2019-03"}
    for said, kept in (("", False), (MOUTHS, True)):
        answers = answered(
            children=[{**child, "mouths": said}], things=[{"name": "Beads", "cautions": SMALL}]
        )
        (entry,), (beads,) = answers.entries("children"), answers.entries("things")
        assert ("swallowed" in kept_from(answers, entry, beads, TODAY)) is kept
        answers = answered(children=[{**child, "mouths": said}])
        assert case_of(tmp_path, answers).learners["wren"].mouths is kept


def test_the_hours_of_several_children_are_asked_for_once(tmp_path: Path) -> None:
    """What is left empty is as for the first; what touches a child's safety is asked of each."""
    children = [
        {"name": "Wren", "born": "2018-04", "hours": HOURS},
        {"name": "Robin", "born": "2019-04"},
        {"name": "Ash", "born": "2020-04", "hours": "sat 10-12"},
    ]
    skills = [{"name": "Asks for help", "correct": "Says it", "child": f"c{n}"} for n in (1, 2, 3)]
    case = case_of(tmp_path, answered(children=children, skills=skills))
    assert case.learners["robin"].free == case.learners["wren"].free != case.learners["ash"].free
    assert lines_of(screen_of("children"), answered(children=children))[1] == (
        "Robin: born 2019-04; Monday to Friday 15:00–18:00"
    )
    again = [q.key for q in CHILDREN.questions if q.of_entry or q.hint_again]
    assert again == ["hours"]
    alone = answered(children=[children[1], children[2]])
    (missing,) = [p for p in problems(screen_of("children"), alone, TODAY) if p.question == "hours"]
    assert missing.entry == "c1"
