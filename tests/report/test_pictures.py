"""A matrix at a glance, the bars of the skills, and a week as a picture: each says in words all that it shows."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from importlib.resources import files

from genplan.case import Dimension
from genplan.coverage.review import review
from genplan.report.glance import glance
from genplan.report.grid import grid, planned_cells
from genplan.report.names_and_words import Names
from genplan.report.skill_bars import skill_bars
from genplan.report.week_picture import week_picture
from genplan.report.week_table import By, ids_by, week_table
from tests.fixtures import builders as b


def test_at_a_glance_every_cell_is_a_sign_and_their_numbers_are_said() -> None:
    target = b.a_target()
    target = replace(target, dimensions=(*target.dimensions, Dimension("group", ("alone", "class"))))
    case, log = b.a_case(targets=[target]), b.a_log(more=("alone",))
    plan = b.a_plan(case, sittings=b.the_sittings(more=("alone",)))
    drawn = grid(Names(case), target, b.the_rows(case, target, log), planned_cells(plan.planned()))
    found = glance(drawn)
    marks = [mark for row in found.rows for cell in row.cells for mark in cell]
    assert len(marks) == len(list(target.combinations())) == 54
    # a line for each set, in it a sign for each value that it is varied with
    assert found.sets[0] == "Two jackets with different zips"
    assert (found.under, found.abreast) == (("alone", "class"), 2)
    numbers = {word: int(n) for n, word in (part.split(" ", 1) for part in found.words.split(", "))}
    assert sum(numbers.values()) == 54
    assert numbers["planned"] == 3
    assert [row.adult for row in found.rows] == ["Mum", "Grandad", "Class teacher"]


def test_what_is_over_and_not_written_down_is_not_planned() -> None:
    case = b.a_case(targets=[b.a_target()])
    plan, target = b.a_plan(case), next(iter(case.targets.values()))
    first, *_others = sorted(plan.sittings, key=lambda s: s.start)

    def fine(now: datetime) -> tuple[int, list[str]]:
        rows = b.the_rows(case, target, b.a_log())
        drawn = grid(Names(case), target, rows, planned_cells(plan.planned()), now)
        cells = [c for block in drawn.blocks for line in block.lines for c in line.cells]
        waiting = [text for c in cells for text in c.fine if text.endswith(": not written down yet")]
        return sum(c.word == "planned" for c in cells), waiting

    planned, none = fine(first.end - timedelta(minutes=1))
    assert none == []
    left, waiting = fine(first.end)
    assert left == planned - len(waiting)
    assert waiting
    assert all(f"{first.start:%H:%M}" in text for text in waiting)


def test_what_a_screen_reader_alone_is_told_makes_no_page_wider_than_a_phone() -> None:
    # it is laid out absolutely, so whatever is scrolled around it has to hold it
    rules = (files("genplan.report") / "templates" / "style.css").read_text("utf-8")
    assert "position: absolute" in rules.split(".unseen {")[1].split("}")[0]
    assert "position: relative" in rules.split(".scroll { overflow-x")[1].split("}")[0]


def test_the_bar_of_a_skill_never_shows_more_than_there_is() -> None:
    case = b.a_case(targets=[b.a_target(generalised_when={"adult": 2, "location": 1})])
    found = review(case, "wren", b.a_log(), b.NOW.date() - timedelta(30), b.NOW.date())
    (bar,) = skill_bars(Names(case), found.targets)
    assert 0 < bar.met < bar.tried < bar.possible
    # what is neither tried nor open is said: 8 tried, 14 open, 2 taught
    count = found.targets[0].tally
    assert bar.tried + 2 + len(count.open) == bar.possible
    assert bar.words == f"{bar.tried} of {bar.possible} pairs tried, {bar.met} met; 2 taught and not tried"
    # of two adults one is met, of one place one
    assert [(x.words, x.full, x.wanted) for x in bar.asked] == [
        ("1 of 2 people (any of 3)", 1, 2),
        ("1 of 1 place", 1, 1),
    ]
    assert bar.reached == "not yet"


def test_a_picture_has_a_row_for_each_hour_in_which_something_begins() -> None:
    case = b.a_case()
    picture = week_picture(Names(case), b.WEEK, b.the_sittings())
    assert picture.hours == (9, 15)
    held = [(day.weekday, cell.hour, len(cell.blocks)) for day in picture.days for cell in day.cells]
    assert held == [("Tuesday", 15, 1), ("Saturday", 9, 1)]
    first = picture.days[1].cells[0].blocks[0]
    assert (first.learner, first.adult, first.place) == ("W.", "Grandad", "The park")
    other = picture.days[5].cells[0].blocks[0]
    assert (first.shade, first.edge) != (other.shade, other.edge)


def test_a_table_by_adult_or_room_holds_what_the_table_by_child_holds() -> None:
    case, plan = b.a_big_plan(4)
    for by in (By.LEARNER, By.ADULT, By.LOCATION):
        table = week_table(Names(case), b.WEEK, plan.sittings, by)
        lines = sum(len(cell) for row in table.rows for cell in row.cells)
        assert lines == sum(len(ids_by(by, s)) for s in plan.sittings)
        assert all(len(row.cells) == len(table.days) for row in table.rows)
