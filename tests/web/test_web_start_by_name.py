"""What a thing is called speaks against one tick for all: the guided start asks again, by what the name says."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan import workflow
from genplan.language import Speech, Words, speaking
from genplan.start.answers import Entry
from genplan.start.case_text import case_text
from genplan.start.problems import problems
from genplan.start.reading import worded
from genplan.start.screens import SCREENS, group_of
from tests.fixtures.local_server import NOW, Local, running
from tests.fixtures.start_answers import HOURS, TODAY, answered
from tests.web.test_web_start import beside, sent, typed

TODDLER = {"name": "Wren", "born": "2024-05", "hours": HOURS, "mouths": "mouths"}
NAMES = ("Marbles", "Fridge magnets", "Singing card", "Balloons", "picture cards")


@pytest.fixture
def local(tmp_path: Path) -> Iterator[Local]:
    with running(tmp_path / "our-case") as found:
        workflow.keep_answers(
            tmp_path / "our-case", answered(children=[TODDLER], things=[{"name": name} for name in NAMES])
        )
        yield found


def rows(*cautions: str) -> dict[str, object]:
    ticked = zip(NAMES, cautions, strict=True)
    things = ({"key": f"m{n}", "kept_at": "l1"} for n in range(1, len(NAMES) + 1))
    fields = typed("things", *things)
    return fields | {f"things.m{n}.cautions": c.split() for n, (_, c) in enumerate(ticked, 1)}


def test_one_tick_for_all_three_does_not_answer_what_a_name_says_outright(
    local: Local, tmp_path: Path
) -> None:
    folder = tmp_path / "our-case"
    asked = sent(local, "/start/things", rows(*["none"] * 5))
    found = beside(asked.text)
    assert asked.status == 422
    assert [sentence.partition(". If")[0] for sentence in found] == [
        "By its name Marbles may have pieces small enough to be swallowed",
        "By its name this may be in Fridge magnets, or on it: a magnet a child could get hold of",
        "By its name this may be in Singing card, or on it: a button cell a child could get hold of",
        "By its name this may be in Balloons, or on it: a balloon",
    ]
    # what is asked for can be chosen now: one holds it, of the others somebody says by name that there is none
    ticks = ("none too-big", "none no-magnet", "button-cell", "none balloon", "none")
    assert sent(local, "/start/things", rows(*ticks)).status == 303
    written = case_text(workflow.answers_so_far(folder), "abcdefghjkmn")
    things = written.partition("material_sets:")[2].partition("targets:")[0]
    keys = [line.strip() for line in things.splitlines() if "free_of" in line or "hazards" in line]
    assert keys == [
        "free_of: [button-cell, magnet]",
        "free_of: [button-cell, magnet]",
        "hazards: [button-cell]",
        "hazards: [balloon]",
        "free_of: [button-cell, magnet]",
        "free_of: [button-cell, magnet]",
    ]


def test_what_is_said_of_all_is_no_answer_to_a_name() -> None:
    things = [{"name": "Horseshoe magnet", "cautions": "none\nno-magnet"}, {"name": "Cup"}]
    found = answered(things=things).with_said_of_all("things", "m1", "cautions", ("no-magnet",))
    assert [e.get("cautions") for e in found.entries("things")] == ["none\nno-magnet", "none"]


def test_in_german_the_question_holds_for_one_thing_and_for_several() -> None:
    with speaking(Speech("de", Words.PLAIN)):
        asked = worded(str(group_of("things").question("cautions").words), Entry("m1", {"name": "Murmeln"}))
        things = [{"name": "Kühlschrankmagnete", "cautions": "none"}]
        answers = answered(children=[TODDLER], things=things)
        of_all = [p for s in SCREENS for p in problems(s, answers, TODAY)]
        (problem,) = [p for p in of_all if p.question == "cautions"]
    assert asked == "Kann etwas davon darin oder daran sein: Murmeln?"
    assert "wähle „kein Magnet, an den ein Kind kommen könnte" in problem.sentence


MAGNET_AND_NONE = "Two ticks contradict each other, 'a magnet a child could get hold of' and 'no"


@pytest.mark.parametrize(
    ("cautions", "told"),
    [
        ("no-magnet", "Look at Fridge magnets"),  # nobody said whether a piece could be swallowed
        ("magnet\nno-magnet", MAGNET_AND_NONE),
        ("none\nmagnet", MAGNET_AND_NONE),
        ("magnet", ""),
        ("none\nno-magnet", ""),
    ],
)
def test_ticks_that_leave_it_open_or_speak_against_each_other_are_asked_about(
    cautions: str, told: str
) -> None:
    things = [{"name": "Fridge magnets", "cautions": cautions}, {"name": "Cup", "cautions": "none"}]
    answers = answered(children=[TODDLER], things=things)
    found = [p.sentence for s in SCREENS for p in problems(s, answers, TODAY) if p.question == "cautions"]
    assert len(found) == bool(told)
    assert all(sentence.startswith(told) for sentence in found)


def test_what_was_looked_for_under_one_name_is_asked_about_under_another(
    local: Local, tmp_path: Path
) -> None:
    """It was kept that somebody looked, so nobody is told that nobody did; the other name is answered by itself."""
    folder = tmp_path / "our-case"
    things = [{"name": "picture cards", "cautions": "none"}]
    workflow.case_of_answers(folder, answered(children=[TODDLER], things=things), NOW)
    refused = local.post("/case/material_sets/picture-cards/rename", {"called": "Fridge magnets animals"})
    page = html.unescape(refused.text)
    assert refused.status == 422
    assert "That somebody looked for it, and found none, was said of picture cards" in page
    assert "nobody said" not in page


def offered(page: str, thing: str) -> list[str]:
    """The values of the ticks of a thing, as its row shows them."""
    _, _, behind = page.partition(f'<fieldset id="things.{thing}.cautions"')
    return re.findall(r'value="([^"]+)"', behind.partition("<button")[0].partition("</fieldset>")[0])


def test_what_holds_whatever_it_is_called_is_offered_where_the_name_says_otherwise(local: Local) -> None:
    first = ["small", "magnet", "button-cell", "none"]
    page = sent(local, "/start/things", rows(*["none"] * 5)).text
    wanted = [["too-big"], ["no-magnet"], ["no-button-cell"], ["balloon", "no-balloon"], []]
    assert [offered(page, f"m{n}") for n in range(1, 6)] == [[*first, *more] for more in wanted]


def test_what_was_chosen_of_a_thing_can_be_taken_back() -> None:
    """Though its name says nothing of it, as after an answer of before."""
    question = group_of("things").question("cautions")
    cup = Entry("m1", {"name": "Cup", "cautions": "none\nno-magnet"})
    choices = question.choices(answered(things=[{"name": "Cup"}]), cup)
    assert [key for key, _words in choices] == ["small", "magnet", "button-cell", "none", "no-magnet"]
