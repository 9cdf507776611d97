"""The guided start on a terminal, read from a text: every answer kept, gone on with later, a case at the end."""

from __future__ import annotations

import random
import shlex
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.cli import main, output
from genplan.cli.start_prompts import picked_all
from genplan.cli.start_walk import Walk
from genplan.language import Speech, Words, speaking
from genplan.start.answers import Answers
from genplan.start.case_text import case_text
from genplan.workflow import answers_so_far
from tests.fixtures.start_answers import HOURS, TODAY, answered

Capture = pytest.CaptureFixture[str]

FAMILY = """\


Wren
2020-04

mon-fri 3-6
mon-fri 3-6pm



Mum
mon-thu 4-6pm

Dad
sat 10-12
yes
father
2


Home

Park





Asks for help
Says it within 10 s
Two cups
2
park

2


4


"""


@pytest.fixture(autouse=True)
def _somewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Europe/Dublin")


def lines(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is typed; then no more comes."""
    rest = iter(text.split("\n")[:-1])

    def ask(question: str) -> str:
        try:
            return next(rest)
        except StopIteration:
            raise EOFError from None

    monkeypatch.setattr("builtins.input", ask)


def test_a_family_answers_and_its_first_week_is_planned(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    folder = tmp_path / "our-case"
    lines(FAMILY, monkeypatch)
    assert main(["new", str(folder), "--ask", "--now", "2026-11-29T12:00"]) == 0
    printed = capsys.readouterr().out
    assert "Is it the afternoon? Then write 15:00-18:00, or with pm; else 03:00-06:00." in printed
    assert "Dad: Saturday 10:00–12:00; father; at most 2 visits in one week" in printed
    assert "Week 2026-W49: Monday 30 November" in printed
    assert f"genplan keep {folder} --from {folder / 'plan-2026-W49'}" in printed
    told = printed[printed.index("Week 2026-W49") :]
    assert "1 visit with 1 check." in told, "the words of the case that was made"
    assert "sitting" not in told
    loaded = load(folder)
    assert loaded.case is not None
    target = loaded.case.targets["asks-for-help"]
    assert target.taught == ({"adult": "dad", "location": "park", "material_set": "two-cups"},)
    assert target.dimensions[1].values == ("park",)
    assert (folder / "plan-2026-W49" / "week.html").is_file()


def test_the_end_of_the_answers_keeps_them_and_says_how_to_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    folder = tmp_path / "our-case"
    whole = FAMILY.split("\n")
    for end in (3, 9, 21, len(whole) - 3):
        lines("\n".join(whole[:end]) + "\n", monkeypatch)
        assert main(["new", str(folder), "--ask"]) == 0
        assert f"Go on where you were with: genplan new {folder} --ask" in capsys.readouterr().out
        assert answers_so_far(folder).entries("children")[0].get("name") == "Wren"
        (folder / ".start.json").unlink()


def walked(answers: Answers, text: str, asked: list[str] | None = None) -> Answers:
    """Goes on with these answers; the text ends where the walk does."""
    rest: Iterator[str] = iter(text.split("\n")[:-1])
    asked = [] if asked is None else asked

    def ask(question: str) -> str:
        asked.append(question)
        return next(rest)

    found = Walk(answers, ask, lambda so_far: None, TODAY).run()
    assert list(rest) == []
    return found


def done(answers: Answers, *screens: str) -> Answers:
    return replace(answers, done=frozenset(screens))


ALL = ("purpose", "children", "helpers", "places", "who", "ways", "skills", "things")


def test_it_goes_on_in_the_middle_of_a_person() -> None:
    left = done(answered(helpers=[{"name": "Mum"}]), *(s for s in ALL if s != "helpers"))
    found = walked(left, "tue 4-6pm\n\n\n")
    (mum,) = found.entries("helpers")
    assert (mum.key, mum.get("hours")) == ("h1", "tue 4-6pm")


def test_what_was_answered_can_be_changed_at_the_end() -> None:
    """The helpers: Mum stays, Dad goes, Nan comes; a number that is none is told."""
    answers = done(answered(), *ALL)
    found = walked(answers, "9\n3\n\nout\nNan\nsun 10-12\n\n\n\n")
    assert [(e.key, e.get("name")) for e in found.entries("helpers")] == [("h1", "Mum"), ("h2", "Nan")]


def test_an_answer_done_anew_keeps_what_is_not_typed() -> None:
    answers = done(answered(), *ALL)
    found = walked(answers, "3\nagain\nMama\n\n\n\n\n\n")
    assert [(e.get("name"), e.get("hours")) for e in found.entries("helpers")] == [
        ("Mama", "mon-fri 3-6pm"),
        ("Dad", "sat 10-12"),
    ]


def test_what_has_to_be_answered_shows_nothing_that_enter_would_take(capsys: Capture) -> None:
    """Of a child of two each thing has to be looked at; of an older one it can be left open."""
    for born, shown, after_no in (
        (
            "2024-09",
            "\n  4 nothing small, no magnet, no button cell: I have looked\n  Your choice: ",
            "cannot look, type 1.",
        ),
        ("2020-04", "I have looked\n  [I do not know]: ", "do not know, press Enter alone."),
    ):
        child = {"name": "Wren", "born": born, "mouths": "", "hours": HOURS}
        answers = done(answered(children=[child], things=[{"name": "Cups"}]), *ALL[:-1])
        asked: list[str] = []
        found = walked(answers, "no\n4\n\n\n", asked)
        assert found.entries("things")[0].get("cautions") == "none"
        (question, again) = [q for q in asked if q.startswith("Could any of this be in Cups")]
        assert question == again
        assert question.endswith(shown)
        assert f"If you have looked, type 4. If you {after_no}" in capsys.readouterr().out


def test_further_questions_say_of_whom_they_are(capsys: Capture) -> None:
    """Of names that were typed as a list."""
    answers = done(answered(places=[]), *(s for s in ALL if s != "places"))
    walked(answers, "Home, Park\n\n\n\n\n")
    told = [x for x in capsys.readouterr().out.splitlines() if x.startswith("There is more")]
    assert told[-2:] == [f"There is more about {x}, which can stay as it is:" for x in ("Home", "Park")]


def test_a_second_skill_that_is_none_is_taken_out_again(capsys: Capture) -> None:
    """An empty answer to a question that needs one offers the way out, and it is not taken for an answer."""
    answers = done(answered(), *(s for s in ALL if s != "skills"))
    found = walked(answers, "\n\n\n\nJumps\n\n\nOUT\n\n\n")
    assert [e.get("name") for e in found.entries("skills")] == ["Asks for help"]
    printed = capsys.readouterr().out
    assert "Or type 'again' to answer anew, 'out' to take it out." in printed
    assert "Taken out: Jumps." in printed


@pytest.mark.parametrize("typed", ["no", "nothing", "nein", "nichts", "None"])
def test_a_word_for_nothing_ends_a_list_and_yes_asks_for_a_name(typed: str, capsys: Capture) -> None:
    answers = done(answered(), *ALL)
    found = walked(answers, f"3\n\n\nyes\n{typed}\n\n")
    assert [e.get("name") for e in found.entries("helpers")] == ["Mum", "Dad"]
    assert "Then type what it is called." in capsys.readouterr().out


@pytest.mark.parametrize("typed", ["help", "?", "Hilfe", "HELP"])
def test_help_is_given_and_never_taken_for_a_name(typed: str, capsys: Capture) -> None:
    answers = done(answered(children=[]), *(s for s in ALL if s != "children"))
    found = walked(answers, f"{typed}\nWren\n{typed}\n\n\n{typed}\nmon 3-5pm\n\n\n\n\n")
    assert [e.get("name") for e in found.entries("children")] == ["Wren"]
    assert found.entries("children")[0].get("born") == ""
    printed = capsys.readouterr().out
    assert "A first name will do, or a nickname" in printed
    assert "Type days and hours, such as mon-fri 3-5pm, sat 10-12." in printed
    assert printed.count("Type 'back' for the question before") == 3


@pytest.mark.parametrize("back", ["back", "zurück", "BACK"])
def test_back_asks_the_question_before_again_and_keeps_what_was_typed(back: str) -> None:
    """From the hours to what is to be minded, the month and the name; then all are asked once more."""
    answers = done(answered(children=[]), *(s for s in ALL if s != "children"))
    asked: list[str] = []
    found = walked(
        answers, f"Wern\n2020-04\n\n{back}\n{back}\n{back}\nWren\n2020-05\n\nmon 3-5pm\n\n\n\n\n", asked
    )
    (wren,) = found.entries("children")
    assert (wren.get("name"), wren.get("born"), wren.get("hours")) == ("Wren", "2020-05", "mon 3-5pm")
    assert [question.partition("\n")[0] for question in asked[:7]] == [
        "The child's name: ",
        "Born: ",
        "Does Wern still put things into the mouth?",
        "When could Wern do something short? ",
        "Does Wern still put things into the mouth?",
        "Born [2020-04]: ",
        "The child's name [Wern]: ",
    ]


@pytest.mark.parametrize("name", ["J", "N", "Y"])
def test_a_letter_may_be_what_a_child_is_called(name: str) -> None:
    answers = done(answered(children=[]), *(s for s in ALL if s != "children"))
    found = walked(answers, f"{name}\n\n\nmon 3-5pm\n\n\nn\n\n")
    assert [e.get("name") for e in found.entries("children")] == [name]


def test_no_is_neither_a_name_nor_a_month(capsys: Capture) -> None:
    answers = done(answered(children=[]), *(s for s in ALL if s != "children"))
    found = walked(answers, "Wern\nback\nno\nWren\nnone\n\nmon 3-5pm\n\n\n\n\n")
    (wren,) = found.entries("children")
    assert (wren.get("name"), wren.get("born")) == ("Wren", "")
    assert "'no' is no name." in capsys.readouterr().out


def test_back_leads_to_the_entry_before_and_to_the_part_before(capsys: Capture) -> None:
    """From 'Somebody else?' to Mum's hours, from her name to the child; from the first question to nowhere."""
    answers = Answers().with_done("purpose", False)
    asked: list[str] = []
    rest = iter(
        [
            "back",
            "",
            "",
            "Wren",
            "",
            "",
            "mon 3-5pm",
            "",
            "",
            "",
            "Mum",
            "mon 3-5pm",
            "",
            "back",
            "back",
            "back",
            "back",
            "back",
        ]
    )

    def ask(question: str) -> str:
        asked.append(question.partition("\n")[0])
        try:
            return next(rest)
        except StopIteration:
            raise EOFError from None

    with pytest.raises(EOFError):
        Walk(answers, ask, lambda so_far: None, TODAY).run()
    assert capsys.readouterr().out.count("This is the first question.") == 1
    assert asked[-6:] == [
        "Somebody else? (Enter alone if that is all): ",
        "When can Mum help? [mon 3-5pm]: ",
        "Name [Mum]: ",
        "Another child? (Enter alone if that is all): ",
        "Allergies: ",
        "When could Wren do something short? [mon 3-5pm]: ",
    ]


def test_to_go_back_after_all_was_asked_leads_to_what_was_asked_last() -> None:
    answers = done(answered(), *ALL)
    found = walked(answers, "back\n" + 3 * "\n")
    assert [e.get("name") for e in found.entries("skills")] == ["Asks for help"]


def test_stop_ends_with_what_was_answered_kept() -> None:
    kept: list[Answers] = []
    rest = iter(["", "", "Wren", "stop"])
    with pytest.raises(EOFError):
        Walk(Answers(), lambda question: next(rest), kept.append, TODAY).run()
    assert kept[-1].entries("children")[0].get("name") == "Wren"


@pytest.mark.parametrize(
    "typed", ["1, 2", "1 and 2", "1 und 2", "1 2", "Home and Park", "home, PARK", "1; 2"]
)
def test_several_are_taken_however_they_are_joined(typed: str) -> None:
    choices = (("l1", "Home"), ("l2", "Park"), ("l3", "Mum and Dad's"))
    assert picked_all(typed, choices) == (("l1", "l2"), "")
    assert picked_all("Mum and Dad's, Park", choices) == (("l3", "l2"), "")


@pytest.mark.parametrize(
    ("typed", "part"),
    [("Home and Prak", "Prak"), ("1, 7", "7"), ("1 7", "7"), ("Garden", "Garden"), (",", ",")],
)
def test_the_part_that_is_none_of_them_is_named(typed: str, part: str) -> None:
    assert picked_all(typed, (("l1", "Home"), ("l2", "Park"))) == ((), part)


def test_none_is_not_taken_for_having_looked(capsys: Capture) -> None:
    """Of small pieces nobody knows before somebody has looked."""
    answers = done(answered(things=[{"name": "Cups"}]), *(s for s in ALL if s != "things"))
    found = walked(answers, "none\n4\n\n\n")
    assert found.entries("things")[0].get("cautions") == "none"
    assert "If you have looked, type 4." in capsys.readouterr().out
    found = walked(answers, "none\n\n\n\n")
    assert found.entries("things")[0].get("cautions") == ""


def test_a_longest_visit_in_which_no_check_fits_is_asked_again(capsys: Capture) -> None:
    answers = done(answered(children=[]), *(s for s in ALL if s != "children"))
    found = walked(answers, "Wren\n\n\nmon-sat 10-12, mon-fri 3-5pm\n\nyes\n\n2\n15\n\n\n\n")
    assert found.entries("children")[0].get("minutes") == "15"
    assert "a visit has to last 10 minutes at least, or nothing can be planned." in capsys.readouterr().out


def test_a_part_that_no_longer_fits_what_was_changed_is_asked_again(capsys: Capture) -> None:
    """A skill with checks of 15 minutes, and then visits of 15: the skill is asked about before the end."""
    skills = [{"name": "Asks for help", "correct": "Says it", "minutes": "15", "by": "h1", "at": "l1", "with": "m1",
               "helpers": "", "places": "", "things": ""}]  # fmt: skip
    answers = done(answered(skills=skills), *ALL)
    found = walked(answers, "2\nagain\n\n\n\n\n\nyes\n\n20\n\n\n\n")
    assert found.entries("children")[0].get("minutes") == "20"
    found = walked(answers, "2\nagain\n\n\n\n\n\nyes\n\n15\n25\n\n\n\n")
    assert "A check takes 15 minutes" in capsys.readouterr().out
    assert found.entries("children")[0].get("minutes") == "25"


def test_an_empty_first_week_is_not_to_be_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    folder = tmp_path / "our-case"
    lines(FAMILY.replace("mon-fri 3-6pm", "mon-fri 3-4pm"), monkeypatch)
    assert main(["new", str(folder), "--ask", "--now", "2026-11-29T12:00"]) == 0
    printed = capsys.readouterr().out
    assert "Please note: Wren and Mum or Dad are never free together for the 10 minutes" in printed
    assert "This week is empty, so there is nothing to tell anybody yet" in printed
    assert "genplan keep" not in printed


def test_again_begins_with_the_name_and_more_is_asked_until_it_is_understood(capsys: Capture) -> None:
    answers = done(answered(), *ALL)
    found = walked(answers, "3\n\n\nNan\nagain\nAunt\nsun 10-12\nperhaps\n\n\n\n")
    assert [e.get("name") for e in found.entries("helpers")] == ["Mum", "Dad", "Aunt"]
    assert "'perhaps' is neither yes nor no." in capsys.readouterr().out


def test_what_was_begun_before_the_end_of_the_answers_can_be_taken_out(capsys: Capture) -> None:
    skills = [{"name": "Asks for help", "correct": "Says it"}, {"name": "no"}]
    answers = done(answered(skills=skills), *(s for s in ALL if s != "skills"))
    found = walked(answers, "\n\n\n\n\n\n\nout\n\n\n")
    assert [e.get("name") for e in found.entries("skills")] == ["Asks for help"]
    assert "no: the questions that are left. At each of them, type 'again'" in capsys.readouterr().out


def test_a_helper_who_is_called_as_the_child_is_asked_for_again(capsys: Capture) -> None:
    answers = done(answered(helpers=[]), *(s for s in ALL if s != "helpers"))
    found = walked(answers, "Wren\nGrandad Wren\ntue 4-6pm\n\n\n\n")
    assert [e.get("name") for e in found.entries("helpers")] == ["Grandad Wren"]
    assert "Wren is the child's name" in capsys.readouterr().out


def test_no_question_ends_with_two_signs() -> None:
    asked: list[str] = []
    walked(done(answered(), *ALL), "3\nagain\n\n\n\n\n\n\n", asked)
    assert "When can Mum help? [mon-fri 3-6pm]: " in asked
    assert not [question for question in asked if "?:" in question]


def test_names_may_be_typed_as_a_list(capsys: Capture) -> None:
    """Each is asked about; where one of them is no name, all are asked for again."""
    answers = done(answered(helpers=[]), *(s for s in ALL if s != "helpers"))
    found = walked(answers, "Mum, 16-18\nMum, Grandad\ntue 4-6pm\n\nsat 10-12\n\n\n\n")
    people = [(e.get("name"), e.get("hours")) for e in found.entries("helpers")]
    assert people == [("Mum", "tue 4-6pm"), ("Grandad", "sat 10-12")]
    assert "'16-18' looks like hours. What is this person called?" in capsys.readouterr().out


def test_what_a_browser_changed_meanwhile_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    elsewhere = answered(helpers=[{"name": "Nan", "hours": HOURS}])

    def ask(_question: str) -> str:
        workflow.keep_answers(tmp_path / "case", elsewhere)
        return "1"

    monkeypatch.setattr("builtins.input", ask)
    assert main(["new", str(tmp_path / "case"), "--ask"]) != 0
    assert "Your answers were changed elsewhere meanwhile" in capsys.readouterr().err
    assert workflow.answers_so_far(tmp_path / "case") == elsewhere


def test_what_a_child_must_not_have_is_asked_of_each_thing_until_it_is_said(capsys: Capture) -> None:
    children = [{"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "egg"}]
    things = [{"name": "Cups", "cautions": "none", "holds": ""}]
    skills = [{"name": "Stacks", "correct": "Three", "things": "Cups"}]
    found = walked(done(answered(children=children, things=things, skills=skills), *ALL), "\n2\n\n")
    printed = capsys.readouterr().out
    assert "Say of Cups whether there is any egg in it, or on it" in printed
    assert found.entries("things")[0].get("holds") == "-looked:egg"
    assert "Please note: As you said, there is no egg in or on: Cups." in printed
    assert "Stacks: Three; learned using Cups; learned with Mum" in printed


def test_a_thing_that_was_looked_at_is_told_so(capsys: Capture) -> None:
    children = [{"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "egg"}]
    things = [{"name": "Cups", "cautions": "none", "holds": "-looked:egg"}]
    walked(done(answered(children=children, things=things), *ALL), "\n")
    printed = capsys.readouterr().out
    assert "Please note: As you said, there is no egg in or on: Cups." in printed
    assert "You ticked" not in printed


def test_what_was_looked_for_is_asked_anew_with_a_new_allergy_and_a_new_name(capsys: Capture) -> None:
    children = [{"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "milk, egg"}]
    things = [{"name": "custard pots", "cautions": "none", "holds": "-looked:milk"}]
    answers = done(answered(children=children, things=things), *ALL)
    asked: list[str] = []
    found = walked(answers, "\n3\n\n", asked)
    assert "What is called so may hold egg or milk: choose" in capsys.readouterr().out
    assert found.entries("things")[0].get("holds") == "-looked:egg+milk"
    assert not any("-looked" in question for question in asked)
    # the skill names another thing, and of that nothing was said yet
    again = "7\nagain\n\n\npizza slices\n\n\n\n\n\n\n"
    walked(found, again + "4\n\n3\n\n\n", asked := [])
    (told,) = [question for question in asked if "pizza slices, or on it" in question and "egg" in question][
        :1
    ]
    assert told.endswith("Your choice: "), "nothing at all is no answer of what may hold it"


def test_what_a_child_is_kept_from_is_refused_and_asked_again(capsys: Capture) -> None:
    """What is true of a thing is an answer; what a skill names is asked about once more, with the reason."""
    children = [{"name": "Wren", "born": "2020-04", "hours": HOURS, "allergies": "egg"}]
    answers = done(answered(children=children, things=[], skills=[]), *(s for s in ALL if s != "skills"))
    skill = "Stacks\nThree\nPancakes, Cups\n\n\n\n\n\n\n"
    looked = "4\n1\n\n4\n2\n\n"
    found = walked(answers, skill + looked + "cups, beads\n\n" + "4\n2\n\n\n")
    printed = capsys.readouterr().out
    assert printed.count("Wren is kept from: Pancakes (it holds egg). Name something else for the skill") == 1
    assert "learned using cups; to be tried using beads too" in printed
    assert [e.get("name") for e in found.entries("things")] == ["cups", "beads"]


@pytest.mark.parametrize(
    ("purpose", "asked"), [("1", "Nimm den Haken weg"), ("3", "Nehmen Sie den Haken weg")]
)
def test_german_speaks_as_the_purpose_asks_from_its_answer_on(
    purpose: str, asked: str, capsys: Capture
) -> None:
    answers = done(answered(purpose=[]), *(s for s in ALL if s not in ("purpose", "who")))
    with speaking(Speech("de", Words.PLAIN)):
        walked(answers, f"{purpose}\n\n\n\n\n")
    assert asked in capsys.readouterr().out


def test_a_thing_that_a_skill_names_again_is_as_it_was(capsys: Capture) -> None:
    answers = answered(things=[{"name": "Red cups", "cautions": "small", "copies": "3"}, {"name": "Ball"}])
    without = walked(answers, "7\nagain\n\n\nBall\n\n\n\n\n\n\n\n")
    assert [e.get("name") for e in without.entries("things")] == ["Ball"]
    found = walked(without, "7\nagain\n\n\nred  CUPS, Ball\n\n\n\n\n\n\n" + "\n\n\n")
    assert [(e.get("name"), e.get("copies")) for e in found.entries("things")] == [
        ("red CUPS", "3"),
        ("Ball", ""),
    ]


def test_a_skill_with_nothing_else_to_try_it_with_is_told(capsys: Capture) -> None:
    only = {"helpers": [{"name": "Mum", "hours": HOURS}], "places": [{"name": "Home"}]}
    walked(done(answered(**only), *ALL), "\n")
    assert "Asks for help: there is nothing else to try it with" in capsys.readouterr().out


def test_warnings_of_the_first_case_are_said_in_plain_words_and_the_wait_counts_from_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    """In visits of ten minutes nothing can be taught, and a parent reads that. Answering is no planning."""
    monkeypatch.setattr(output.progress, "_began", output.progress._began - 10_000)
    workflow.keep_answers(tmp_path / "case", done(answered(
        children=[{"name": "Wren", "born": "2020-04", "hours": HOURS, "minutes": "10"}]), *ALL))  # fmt: skip
    lines("\n", monkeypatch)
    assert main(["new", str(tmp_path / "case"), "--ask", "--now", "2026-11-29T12:00"]) == 0
    warned = capsys.readouterr().err
    assert "10 minutes that a visit of wren may last" in warned
    assert not [word for word in ("sitting", "probe", "target of") if word in warned]
    assert output.progress.seconds < 10_000


TYPED = (
    *("", "", "", "", "1", "2", "1 and 2", "1, 9", "20", "2", "4", "4/5", "2020-04", "UK", "Leeds", "all"),
    *(
        "back",
        "zurück",
        "help",
        "?",
        "again",
        "weg",
        "out",
        "yes",
        "no",
        "nothing",
        "none",
        "egg",
        "Eipulver",
    ),
    *("Wren", "Mum", "Home", "Cups", "Asks for help", "mon-fri 3-5pm", "sat 10-12", "N"),
)


@pytest.mark.parametrize("seed", range(6))
def test_whatever_is_typed_no_word_of_the_walk_becomes_a_name(seed: int) -> None:
    """Answers drawn at random: the walk never breaks, and what it ends with makes a case."""
    drawn, left = random.Random(seed), iter(range(600))

    def ask(question: str) -> str:
        if next(left, None) is None:
            raise EOFError
        return drawn.choice(TYPED)

    walk = Walk(Answers(), ask, lambda so_far: None, TODAY)
    with suppress(EOFError):
        assert case_text(walk.run(), "abcdefghjkmn")
    names = {e.get("name").lower() for entries in walk.answers.groups.values() for e in entries}
    assert len(names) > 1
    assert not names & {"back", "zurück", "help", "?", "again", "weg", "out", "yes", "no", "nothing", "none"}


def test_the_next_command_is_quoted_and_in_the_language_spoken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    folder = tmp_path / "neu fall" / "ä'ö"
    lines("\n", monkeypatch)
    assert main(["--language", "de", "new", str(folder), "--ask"]) == 0
    (command,) = [t for t in capsys.readouterr().out.splitlines() if " --ask" in t]
    assert shlex.split(command[command.index("genplan") :]) == [
        "genplan",
        "--language",
        "de",
        "new",
        str(folder),
        "--ask",
    ]
