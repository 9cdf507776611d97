"""Of a week of many the page shows what was asked for: a child, an adult, a room or a day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.plan import Beside
from genplan.report.names_and_words import Names
from genplan.report.week_table import NOTHING, State
from genplan.web.week_choice import WeekChoice, week_choice
from tests.fixtures import builders as b

CASE, PLAN = b.a_big_plan(4)
TUESDAY = PLAN.sittings[0].start.date()


def chosen(by: str = "", of: str = "", today: date = TUESDAY, number: int = 4) -> WeekChoice:
    case, plan = b.a_big_plan(number)
    return week_choice(Names(case), b.WEEK, plan.sittings, today, by, of)


def test_a_few_children_are_shown_whole() -> None:
    found = chosen(number=3)
    assert (len(found.sittings), found.by, found.table) == (6, "", None)


def test_of_many_nothing_is_listed_that_was_not_asked_for() -> None:
    found = chosen()
    assert (found.sittings, found.by, found.of) == ((), "child", "")
    assert found.table is not None
    assert [row.name for row in found.table.rows] == ["C0.", "C1.", "C2.", "C3."]
    assert [number for _, _, number in found.values] == [2, 2, 2, 2]
    # every sitting is one line of the table
    assert sum(len(cell) for row in found.table.rows for cell in row.cells) == len(PLAN.sittings)


@pytest.mark.parametrize(
    ("by", "of", "number"),
    [
        ("child", PLAN.sittings[0].learner, 2),
        ("adult", "mum", 4),
        ("room", "park", 4),
        ("day", str(TUESDAY), 4),
    ],
)
def test_one_of_them_is_listed(by: str, of: str, number: int) -> None:
    found = chosen(by, of)
    assert (len(found.sittings), found.of) == (number, of)
    assert found.name


def test_without_a_day_it_is_the_one_to_look_at_first() -> None:
    assert chosen("day").of == str(TUESDAY)
    assert chosen("day", today=date(2026, 12, 2)).of == "2026-12-05"
    assert chosen("day", today=date(2026, 12, 6)).of == str(TUESDAY)


@pytest.mark.parametrize(("by", "of"), [("moon", "mum"), ("adult", "nobody"), ("day", "x" * 900)])
def test_what_makes_no_sense_is_no_choice(by: str, of: str) -> None:
    assert chosen(by, of).of in ("", str(TUESDAY))


def test_a_second_adult_has_the_sitting_too() -> None:
    first, *others = PLAN.sittings
    watched = replace(first, beside="teacher", beside_as=Beside.OBSERVER)
    found = week_choice(Names(CASE), b.WEEK, (watched, *others), TUESDAY, "adult", "teacher")
    assert found.sittings == (watched,)


@pytest.mark.parametrize("by", ["child", "adult", "room", "day"])
def test_the_table_marks_what_is_not_as_people_were_told_and_counts_what_is_to_be(by: str) -> None:
    gone, partly, *_others = PLAN.sittings
    states = {
        gone: State("✗ can no longer be held", is_struck=True, brief="✗ not possible"),
        partly: State("± can be held, but not as people were told", brief="± not as told"),
    }
    found = week_choice(
        Names(CASE),
        b.WEEK,
        PLAN.sittings,
        TUESDAY,
        by,
        "",
        off=[gone],
        state=lambda s: states.get(s, NOTHING),
    )
    assert sum(number for _, _, number in found.values) == len(PLAN.sittings) - 1
    assert found.table is not None
    lines = [line for row in found.table.rows for cell in row.cells for line in cell]
    marks = sorted((line.state.is_struck, line.state.brief) for line in lines)
    assert marks == [*[(False, "")] * (len(lines) - 2), (False, "± not as told"), (True, "✗ not possible")]
