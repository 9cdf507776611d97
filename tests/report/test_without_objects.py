"""A skill without objects has a set of nothing: there is nothing to bring, and nothing is named as a thing."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from genplan.case import Case, Dimension
from genplan.case.safety import MaterialSet
from genplan.evidence.log import Log
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from genplan.web.sitting_cards import days
from genplan.web.today_values import Facts
from genplan.web.todays_work import today_of
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import faults, read

NOTHING = "No objects"
PLAN = b.a_plan(b.a_case())
EMPTY = ("mum", "home", "none")
HELD = tuple(
    replace(s, probes=tuple(replace(p, combination=(*p.combination[:2], "none")) for p in s.probes))
    for s in PLAN.sittings
)


def a_case(*values: str) -> Case:
    sets = MaterialSet(id="none", name=NOTHING, small_parts=False, bring=False)
    base = b.a_target()
    varied = (*base.dimensions[:2], Dimension("material_set", values))
    return b.a_case(targets=[replace(base, dimensions=varied, taught=())], sets=[sets])


def test_it_stands_on_no_sheet_and_on_no_card() -> None:
    case = a_case("none")
    page = sheets_page(case, replace(PLAN, sittings=HELD))
    assert NOTHING not in page
    assert "With" not in [term.words for term in read(page).all("dt")]
    assert faults(page) == []
    cards = days(case, Log(), HELD, datetime(2026, 11, 30, 9, tzinfo=b.ZONE))
    assert {p.material_set for day in cards for s in day.sittings for p in s.probes} == {""}
    sundays = today_of(
        Facts(case, Log(), b.NOW, sittings=HELD, kept=frozenset([b.WEEK]), reviews=())  # type: ignore[arg-type]
    )
    assert [one.sheet.comes for one in sundays.next] == [()] * len(sundays.next) != []
    names = Names(case)
    assert names.combination(case.targets["zips-jacket"], EMPTY) == "Mum, Home"
    # of the grid it is a column, and a column has a head
    assert read(week_page(case, replace(PLAN, sittings=HELD, matrix=()))).words.count(NOTHING) <= 1


def test_where_a_skill_is_tried_with_things_too_it_says_which_way_is_meant() -> None:
    case = a_case("none", "coats")
    assert NOTHING in sheets_page(case, replace(PLAN, sittings=HELD))
    assert Names(case).combination(case.targets["zips-jacket"], EMPTY) == f"Mum, Home, {NOTHING}"
