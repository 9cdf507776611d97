"""What each relative gets: a message to copy, speech only where it is speech, and a page for the fridge."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from genplan.case import Case, MaterialSet
from genplan.folders import LAST_OF_MESSAGES, write_folder
from genplan.plan import Beside
from genplan.report.calendars import calendar_files
from genplan.report.fridge_page import fridge_page, fridge_pages
from genplan.report.messages import message, messages
from genplan.report.sheets import sheets_page
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import faults, read

CASE = b.a_case()
PLAN = b.a_plan(CASE)


def without_speech() -> Case:
    return b.a_case(targets=[b.a_target(instruction="Hold it up and wait", spoken=False)])


def test_a_message_holds_the_own_sittings_with_what_comes_along_and_what_counts() -> None:
    files = messages(CASE, PLAN)
    assert set(files) == {"messages/adult-grandad.txt", "messages/adult-mum.txt"}
    text = files["messages/adult-grandad.txt"].decode()
    assert text.startswith("Hello Grandad,\n")
    for said in (
        "you are asked to be at one sitting:",
        "Tuesday 1 December, 15:30 to 15:45, with W.",
        "Comes with W.: The fleece; Three winter coats",
        "Zips up a jacket, with The fleece: 5 trials. Say “Zip it up”.",
        "It counts when: Starts and closes the zip",
        "Mind: W. must not meet egg: check what is brought, food, creams and materials at ",
        "If W. says no, walks away or is distressed, stop.",
    ):
        assert said in text
    assert text.endswith(f"\n{LAST_OF_MESSAGES}\n")
    for nobody_else in ("Mum", "Saturday 5", "Wren"):
        assert nobody_else not in text


def test_who_sits_beside_is_told_so_and_brings_nothing() -> None:
    first, *others = PLAN.sittings
    plan = replace(PLAN, sittings=(replace(first, beside="teacher", beside_as=Beside.OBSERVER), *others))
    text = message(CASE, plan, "teacher", PLAN.now)
    assert "You are beside Grandad: you observe and count too." in text
    assert "Comes with" not in text


def test_what_holds_always_is_said_once_in_a_message() -> None:
    both = tuple(replace(s, adult="mum") for s in PLAN.sittings)
    text = message(CASE, replace(PLAN, sittings=both), "mum", PLAN.now)
    assert "you are asked to be at 2 sittings:" in text
    assert text.count("walks away") == 1


def test_what_is_done_and_not_said_stands_nowhere_as_speech() -> None:
    case = without_speech()
    plan = b.a_plan(case)
    sheet = read(sheets_page(case, plan)).words
    assert "Do Hold it up and wait" in sheet
    event = calendar_files(case, plan)["calendars/adult-grandad.ics"].decode()
    for text in (sheet, message(case, plan, "grandad", PLAN.now), event):
        assert "“Hold it up" not in text
        assert "Hold it up and wait" in text
    # a wording that is varied is always said
    varied = b.with_wording(case.targets["zips-jacket"])
    assert "spoken" not in sheets_page(replace(case, targets={varied.id: varied}), b.an_empty_plan())


def test_a_message_of_who_has_no_sitting_any_more_goes(tmp_path: Path) -> None:
    files = messages(CASE, PLAN)
    write_folder(tmp_path, {"plan.json": b"{}", **files})
    write_folder(tmp_path, {"plan.json": b"{}", "messages/adult-mum.txt": files["messages/adult-mum.txt"]})
    assert [p.name for p in (tmp_path / "messages").iterdir()] == ["adult-mum.txt"]


def test_the_page_for_the_fridge_has_every_day_and_who_comes_what_goes_along_and_no_results() -> None:
    page = fridge_page(CASE, PLAN, "wren")
    assert faults(page) == []
    days = [li.words for li in read(page).with_class("fridge-days")[0].all("li")]
    assert days == [
        "Monday",
        "Tuesday Grandad 15:30, The park Send along: The fleece; Three winter coats",
        *("Wednesday", "Thursday", "Friday"),
        "Saturday Mum 09:45, Home Send along: Two jackets with different zips",
        "Sunday",
    ]
    assert "Zips" not in page
    assert "Wren" not in page
    assert "Wren Example" in fridge_page(CASE, PLAN, "wren", names=True)
    assert list(fridge_pages(CASE, PLAN)) == ["pages/fridge-wren.html"]
    assert fridge_pages(CASE, b.an_empty_plan()) == {}


def test_a_full_stop_of_the_case_is_not_doubled() -> None:
    case = b.a_case(targets=[b.a_target(instruction="Wait.", spoken=False, correct_when="Waits.")])
    text = message(case, PLAN, "grandad", PLAN.now)
    assert "Do: Wait. It counts when: Waits.\n" in text
    assert ".." not in text


def test_what_the_child_must_not_meet_is_not_to_be_brought() -> None:
    """It was said after the week was told: the text still says not to use it, and with one full stop."""
    name = CASE.material_sets[PLAN.sittings[0].probes[0].combination[2]].name
    assert any(f"Comes with W.: {name}" in text.decode() for text in messages(CASE, PLAN).values())
    marked = {i: replace(s, allergens=frozenset({"egg"})) for i, s in CASE.material_sets.items()}
    told = [text.decode() for text in messages(replace(CASE, material_sets=marked), PLAN).values()]
    assert not any("Comes with" in text for text in told)
    assert any(f"'{name}' holds egg: do not use it with W.\n" in text for text in told)
    assert not any(".." in text for text in told)


def test_what_was_to_be_brought_and_is_held_back_since_is_named_with_why() -> None:
    """The plan holds no probe of it any more, and without a word somebody would bring it as told."""
    (whole,) = (s for s in PLAN.sittings if s.adult == "grandad")
    out = next(p for p in whole.probes if p.combination[2] != whole.probes[0].combination[2])
    left = replace(whole, probes=tuple(p for p in whole.probes if p.combination[2] != out.combination[2]))
    thing = replace(CASE.material_sets[out.combination[2]], allergens=frozenset({"egg"}))
    marked = replace(CASE, material_sets={**CASE.material_sets, thing.id: thing})
    text = message(marked, replace(PLAN, sittings=(left,)), "grandad", PLAN.now, told=(whole,))
    out = f"Please put {thing.name} away and do not use it: '{thing.name}' holds egg, which W. must not"
    assert out in text
    assert text.count(thing.name) == 2
    off = message(marked, replace(PLAN, sittings=()), "grandad", PLAN.now, off=(whole,))
    assert out in off  # of what is called off it is said, too


@pytest.mark.parametrize("others", [True, False])
def test_what_was_told_of_a_visit_that_is_anothers_now_is_put_away_too(others: bool) -> None:
    """Whoever has it at home may use it else; also where nothing else is asked."""
    (whole,) = (s for s in PLAN.sittings if s.adult == "grandad")
    thing = replace(CASE.material_sets[whole.probes[0].combination[2]], allergens=frozenset({"egg"}))
    marked = replace(CASE, material_sets={**CASE.material_sets, thing.id: thing})
    safe = tuple(replace(s, probes=()) for s in PLAN.sittings if s.adult == "grandad") if others else ()
    week = replace(PLAN, sittings=tuple(replace(s, id=f"{s.id}-anew") for s in safe))
    text = message(marked, week, "grandad", PLAN.now, told=(whole,))
    away = f"Please put {thing.name} away and do not use it"
    assert text.count(away) == 1
    assert away not in message(CASE, week, "grandad", PLAN.now, told=(whole,))
    assert away not in message(marked, week, "mum", PLAN.now, told=(whole,))


def test_a_message_asks_for_nothing_that_is_past() -> None:
    (own,) = (s for s in PLAN.sittings if s.adult == "grandad")
    assert "asked to be at one sitting" in message(CASE, PLAN, "grandad", own.start)
    over = message(CASE, PLAN, "grandad", own.end)
    assert over.startswith(
        "Hello Grandad,\n\nfrom now on nothing is asked of you in the week from Monday 30 Nov"
    )


def test_what_stays_at_the_place_is_not_to_be_brought() -> None:
    fleece = next(i for i, s in CASE.material_sets.items() if s.name == "The fleece")
    there = replace(CASE.material_sets[fleece], kept_at=frozenset(CASE.locations))
    case = replace(CASE, material_sets={**CASE.material_sets, fleece: there})
    text = message(case, PLAN, "grandad", PLAN.now)
    assert "  Comes with W.: Three winter coats\n  There already: The fleece\n" in text
    assert "There already The fleece" in read(sheets_page(case, PLAN)).words


def test_of_several_children_it_is_said_once_when_to_stop() -> None:
    case = b.a_case([b.a_learner(), b.a_learner("ines", "Ines Example", "I.")])
    first, *others = (replace(s, adult="mum") for s in PLAN.sittings)
    text = message(case, replace(PLAN, sittings=(replace(first, learner="ines"), *others)), "mum", PLAN.now)
    assert text.count("walks away") == text.count("within sight and reach") == 1
    assert "If a child says no" in text


def test_a_skill_without_objects_names_none_and_one_with_two_ways_of_having_none_says_which() -> None:
    """Nobody is told to come with nothing, nor shown how many of nothing it was met with."""
    nothing = {"small_parts": False, "bring": False}
    sets = [MaterialSet(id=i, name=f"No {i}", **nothing) for i in ("jackets", "coats", "fleece")]
    case = b.a_case(sets=sets)
    assert "No fleece" in message(case, b.a_plan(case), "grandad", b.NOW)
    (target,) = case.targets.values()
    ways = tuple(
        replace(d, values=d.values[2:]) if d.name == "material_set" else d for d in target.dimensions
    )
    alone = replace(case, targets={target.id: replace(target, dimensions=ways)})
    plan = b.a_plan(case)
    plan = replace(
        plan,
        sittings=tuple(
            replace(s, probes=tuple(p for p in s.probes if "fleece" in p.combination)) for s in plan.sittings
        ),
    )
    text = message(alone, plan, "grandad", b.NOW)
    assert "No fleece" not in text
    assert f"{target.name}: 5 trials." in text
    sent = calendar_files(alone, plan)["calendars/adult-grandad.ics"].decode()
    assert "No fleece" not in sent
    assert "No fleece" in calendar_files(case, plan)["calendars/adult-grandad.ics"].decode()
