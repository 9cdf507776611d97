"""The guided start on a terminal, read from a text: every answer kept, gone on with later, a case at the end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.cli import main
from genplan.cli.start_walk import Walk
from genplan.start.answers import Answers
from genplan.workflow import answers_so_far
from tests.fixtures.start_answers import TODAY, answered

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



Two cups
4


Asks for help
Says it within 10 s
2
park


2
all




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
    assert "Is it the afternoon? Then write 15:00-18:00, or with pm." in printed
    assert "Dad: Saturday 10:00–12:00; father; most visits in one week 2" in printed
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
    for screen in screens:
        answers = answers.with_done(screen)
    return answers


ALL = ("purpose", "children", "helpers", "places", "ways", "things", "skills")


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


def test_a_second_skill_that_is_none_is_taken_out_again(capsys: Capture) -> None:
    """An empty answer to a question that needs one offers the way out, and it is not taken for an answer."""
    answers = done(answered(), *(s for s in ALL if s != "skills"))
    found = walked(answers, "\n\n\n\n\n\nno\n\n\nOUT\n\n\n")
    assert [e.get("name") for e in found.entries("skills")] == ["Asks for help"]
    printed = capsys.readouterr().out
    assert "Or type 'again' to answer anew, 'out' to take it out." in printed
    assert "Taken out: no." in printed


def test_again_begins_with_the_name_and_more_is_asked_until_it_is_understood(capsys: Capture) -> None:
    answers = done(answered(), *ALL)
    found = walked(answers, "3\n\n\nNan\nagain\nAunt\nsun 10-12\nperhaps\n\n\n\n")
    assert [e.get("name") for e in found.entries("helpers")] == ["Mum", "Dad", "Aunt"]
    assert "'perhaps' is neither yes nor nothing." in capsys.readouterr().out


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
    assert "Wren is what the child is called" in capsys.readouterr().out


def test_no_question_ends_with_two_signs() -> None:
    asked: list[str] = []
    walked(done(answered(), *ALL), "3\nagain\n\n\n\n\n\n\n", asked)
    assert "When can Mum help? [mon-fri 3-6pm]: " in asked
    assert not [question for question in asked if "?:" in question]
