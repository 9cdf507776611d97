"""What a caution holds back is told, whether it was ever tried or not."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from genplan.case import Case
from genplan.case.targets import MATERIAL_SET
from genplan.coverage.review import review
from genplan.evidence.log import Log
from genplan.planning.explanation import Why
from genplan.planning.what_if import Gains
from genplan.report.criterion_words import criterion_sentences
from genplan.report.first_things import first_things
from genplan.report.grid import Cell, Planned, grid, planned_cells
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.skill_bars import skill_bars
from genplan.report.terminal import week_summary
from genplan.report.why_lines import why_lines
from genplan.text.held_back import things_held_back
from tests.fixtures import builders as b

DAY = b.WEEK.monday
HELD = "Not planned in 'Zips up a jacket': '{thing}' holds a magnet that a child can get at."


def with_a_magnet(case: Case) -> tuple[Case, str]:
    """The first thing of the first target has one."""
    target = next(iter(case.targets.values()))
    dimension = next(d for d in target.dimensions if d.name == MATERIAL_SET)
    thing = case.material_sets[dimension.values[0]]
    held = replace(thing, hazards=frozenset({"magnet"}))
    return replace(case, material_sets={**case.material_sets, thing.id: held}), thing.name


def test_a_thing_is_told_once_with_its_reason_and_all_skills_that_name_it() -> None:
    first = b.a_target()
    case, thing = with_a_magnet(b.a_case(targets=[first, replace(first, id="again", name="Once more")]))
    (said,) = things_held_back(case, ("wren",), DAY)
    assert said == HELD.format(thing=thing).replace("in 'Zips", "in 'Once more' and 'Zips")
    assert things_held_back(case, ("wren",), DAY, "zips-jacket") == (HELD.format(thing=thing),)
    assert things_held_back(case, (), DAY) == things_held_back(b.a_case(), ("wren",), DAY) == ()


@pytest.mark.parametrize("target", [None, "zips-jacket"])
def test_why_names_it_and_does_not_say_that_all_is_in_the_plan(target: str | None) -> None:
    case, thing = with_a_magnet(b.a_case())
    plan, none = b.a_plan(case, left_out=()), Why((), 0, Gains((), 0, 0))
    text = "\n".join(why_lines(case, plan, none, ("wren",), target))
    assert f"- {HELD.format(thing=thing)}" in text
    assert "Nothing else: all that is owed and may be planned is in the plan." in text
    assert "Nothing: all" not in text
    assert "Nothing: all" in "\n".join(why_lines(b.a_case(), plan, none, ("wren",), target))


def test_the_week_names_it_in_the_terminal_and_on_the_page() -> None:
    case, thing = with_a_magnet(b.a_case())
    plan = b.a_plan(case, left_out=())
    assert f"  {HELD.format(thing=thing)}\n" in week_summary(case, plan)
    page = week_page(case, plan)
    assert "holds a magnet that a child can get at" in page
    assert "Nothing that was owed is left out" not in page
    assert "Nothing that was owed is left out" in week_page(b.a_case(), plan)


def test_it_is_counted_apart_from_what_is_still_to_be_tried() -> None:
    case, thing = with_a_magnet(b.a_case())
    target = next(iter(case.targets.values()))
    things = len(target.dimensions[2].values)
    target = replace(target, generalised_when={MATERIAL_SET: things})
    case = replace(case, targets={target.id: target})
    (found,) = review(case, "wren", Log.of(()), DAY, DAY).targets
    text = " ".join(criterion_sentences(Names(case), found.criterion))
    assert f", {things - 1} not tried (" in text
    assert f", 1 not possible for now ({thing}). {things} missing." in text
    (bar,) = skill_bars(Names(case), (found,))
    assert bar.asked[0].words == f"0 of {things} material sets (no more than {things - 1} possible)"


def test_what_was_tried_keeps_its_mark_in_the_grid_whether_it_is_planned_or_not() -> None:
    """The coats were met with Mum, and failed with Grandad, where a retest is planned."""
    case = b.a_case()
    target = case.targets["zips-jacket"]
    coats = replace(case.material_sets["coats"], hazards=frozenset({"magnet"}))
    held = replace(case, material_sets={**case.material_sets, "coats": coats})
    planned = planned_cells({("zips-jacket", ("grandad", "park", "coats")): b.the_sittings()[:1]})
    over = b.the_sittings()[0].end

    def cells(case: Case, planned: Planned, now: datetime) -> dict[str, Cell]:
        """Of the coats in the park, by adult."""
        drawn = grid(Names(case), target, b.the_rows(case, target, b.a_log()), planned, now)
        return {block.adult: block.lines[1].cells[1] for block in drawn.blocks}

    for plan, now in (({}, b.NOW), (planned, b.NOW), (planned, over)):
        free, kept = cells(case, plan, now), cells(held, plan, now)
        for adult in ("Mum", "Grandad"):
            assert (kept[adult].mark, kept[adult].word) == (free[adult].mark, free[adult].word)
        assert kept["Mum"].fine == (*free["Mum"].fine, "not possible now")
        assert kept["Mum"].fine[0] == "5/5"
    assert "before: taught (last probe 1/5)" in cells(held, planned, b.NOW)["Grandad"].fine
    assert cells(held, planned, over)["Grandad"].fine[:1] == ("(last probe 1/5)",)


def test_a_review_that_has_something_held_back_does_not_say_that_nothing_waits() -> None:
    case = b.a_case()
    coats = replace(case.material_sets["coats"], hazards=frozenset({"magnet"}))
    held = replace(case, material_sets={**case.material_sets, "coats": coats})
    for one, times in ((case, 0), (held, 1)):
        things = list(first_things(Names(one), review(one, "wren", b.a_log(), DAY, DAY)))
        told = [t.sentence for t in things if t.kind == "Held back"]
        assert len(told) == times
        assert all("held back for now, not to be taught" in s and coats.name in s for s in told)


def test_nor_does_one_that_waits_for_a_briefing() -> None:
    case = b.a_case()
    teacher = replace(case.adults["teacher"], briefed_on=frozenset())
    new = replace(case, adults={**case.adults, "teacher": teacher})
    for one, told in ((case, []), (new, ["To decide"])):
        things = list(first_things(Names(one), review(one, "wren", b.a_log(), DAY, DAY)))
        assert [t.kind for t in things if "a briefing of Class teacher" in t.sentence] == told
