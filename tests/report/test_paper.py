"""On A4 paper and on a phone nothing lies beyond the edge, however many dimensions and however long the names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Case, Dimension, Target
from genplan.coverage.review import review
from genplan.planning.hours_used import hours_used
from genplan.report.adult_page import adult_page
from genplan.report.grid import WIDEST, Grid, grid
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.render import _environment
from genplan.report.review_page import review_page
from genplan.report.sheets import sheets_page
from genplan.report.skill_bars import skill_bars
from genplan.report.timetable import timetable_page
from tests.fixtures import builders as b
from tests.fixtures.browser import browser, need_browser, overflows
from tests.fixtures.pagecheck import faults, read

GROUP = Dimension("group", ("alone", "beside three children", "whole class"))
SPOKEN = Dimension("wording", ("Zip it up", "Do up your coat, please", "Coat!"))
LONG = "The community swimming pool at Upper Ballywhatever, the small changing room behind the desk"
UNBROKEN = "Zwischenmahlzeitenaufbewahrungsdosendeckelverschlusslasche"
A4 = 703
"""The width of A4 between the margins of 12 mm, in CSS pixels: (210 - 24) / 25.4 * 96 = 702.99."""
A4_ACROSS = 1046
"""And across, between margins of 10 mm: (297 - 20) / 25.4 * 96 = 1046.9."""
PHONE = 320
BEYOND = """[...document.body.querySelectorAll("*")]
    .filter(e => e.getBoundingClientRect().right > window.innerWidth + 0.5)
    .map(e => e.tagName + "." + e.className + ": " + e.textContent.slice(0, 40))"""

NARROWEST = """Math.min(...[...document.querySelectorAll(".matrix td:not([colspan])")]
    .map(e => e.clientWidth).filter(width => width > 0))"""
"""Of the cells that are not folded away."""


def varied(*more: Dimension, names: str = "") -> Case:
    """The case of the builders with more dimensions; with `names` everybody and everything is called so."""
    target = b.a_target(generalised_when={"adult": 2}, taught=())
    case = b.a_case(targets=[replace(target, dimensions=(*target.dimensions, *more))])
    if not names:
        return case
    return replace(
        case,
        learners={i: replace(v, alias=names) for i, v in case.learners.items()},
        adults={i: replace(v, name=names, role=names) for i, v in case.adults.items()},
        locations={i: replace(v, name=names) for i, v in case.locations.items()},
        material_sets={i: replace(v, name=names) for i, v in case.material_sets.items()},
        targets={i: replace(v, name=names, instruction=names) for i, v in case.targets.items()},
    )


def pages(case: Case) -> dict[str, str]:
    (target,) = case.targets.values()
    log = b.a_log(more=tuple(d.values[0] for d in target.extra_dimensions))
    found = review(case, "wren", log, date(2026, 11, 1), date(2026, 11, 28))
    plan = b.a_plan(case)
    return {
        "review": review_page(case, found, b.NOW),
        "week": week_page(case, plan),
        "sheets": sheets_page(case, plan),
        "adult": adult_page(case, plan, "grandad"),
    }


def many(name: str) -> dict[str, str]:
    """What only a page of several learners has."""
    case, plan = b.a_big_plan(2)
    called = {i: replace(v, alias=name) for i, v in case.learners.items()}
    adults = {i: replace(v, name=name) for i, v in case.adults.items()}
    places = {i: replace(v, name=name) for i, v in case.locations.items()}
    return {"week of two": week_page(replace(case, learners=called, adults=adults, locations=places), plan)}


CASES = {
    "three dimensions": varied(),
    "four dimensions": varied(GROUP),
    "five dimensions": varied(GROUP, SPOKEN),
    "long names": varied(GROUP, names=LONG),
    "a name without a gap": varied(Dimension("group", ("alone", UNBROKEN, LONG)), names=UNBROKEN),
}


def everything() -> Iterator[tuple[str, str]]:
    for what, case in CASES.items():
        yield from ((f"{what}: {which}", page) for which, page in pages(case).items())
    for name in (LONG, UNBROKEN):
        yield from many(name).items()


def drawn(sets: int, *more: int) -> tuple[Target, Grid]:
    dimensions = [Dimension("adult", ("mum",)), Dimension("location", ("home",))]
    dimensions.append(Dimension("material_set", tuple(f"set-{n}" for n in range(sets))))
    for of, number in enumerate(more):
        dimensions.append(Dimension(f"extra-{of}", tuple(f"{of}.{n}" for n in range(number))))
    target = replace(b.a_target(taught=(), never=()), dimensions=tuple(dimensions))
    return target, grid(Names(b.a_case(targets=[target])), target, (), {})


@pytest.mark.parametrize(
    ("shape", "columns"),
    [
        ((3,), [3]),
        ((6,), [6]),
        # seven sets do not fit beside each other: three and four
        ((7,), [3, 4]),
        ((13,), [4, 4, 5]),
        # two sets of three values fit; of three sets one stands alone
        ((3, 3), [3, 6]),
        ((2, 3), [6]),
        ((2, 4), [4, 4]),
        # nine values do not fit under one set: four and five of each
        ((2, 9), [4, 5, 4, 5]),
        ((1, 3, 3), [4, 5]),
    ],
)
def test_a_wide_matrix_is_cut_into_parts_of_much_the_same_width(
    shape: tuple[int, ...], columns: list[int]
) -> None:
    _, found = drawn(*shape)
    assert [p.columns for p in found.parts] == columns
    assert max(columns) <= WIDEST


@pytest.mark.parametrize("shape", [(3,), (7,), (3, 3), (2, 9), (5, 2, 2)])
def test_the_parts_hold_every_column_once_and_in_order(shape: tuple[int, ...]) -> None:
    _, found = drawn(*shape)
    heads = [(one, value) for part in found.parts for one, under in part.heads for value in under]
    assert heads == [(one, value) for one in found.sets for value in found.under]
    spans = [n for part in found.parts for n in range(part.since, part.until)]
    assert spans == list(range(len(found.blocks[0].lines[0].cells)))


def test_a_page_draws_every_part() -> None:
    for which in ("review", "week"):
        page = pages(varied(GROUP, SPOKEN))[which]
        assert faults(page) == []
        tables = read(page).with_class("matrix")
        # three sets, each with nine values in two parts
        assert [len(t.all("col")) - 1 for t in tables] == [4, 5] * 3
        assert [t.all("caption")[0].words.partition(": ")[0] for t in tables] == [
            f"Matrix of Zips up a jacket, part {n} of 6" for n in range(1, 7)
        ]
        for table in tables:
            for row in (row for body in table.all("tbody") for row in body.all("tr")):
                spans = [int(c.attributes.get("colspan", 1)) for c in row.all("th", "td")]
                assert sum(spans) == len(table.all("col"))


def test_nothing_lies_beyond_the_edge_of_the_paper_or_of_a_phone() -> None:
    need_browser()
    with browser() as chromium:
        paper = chromium.new_page(viewport={"width": A4, "height": 1000})  # type: ignore[attr-defined]
        paper.emulate_media(media="print")
        phone = chromium.new_page(viewport={"width": PHONE, "height": 640})  # type: ignore[attr-defined]
        for what, page in everything():
            paper.set_content(page)
            assert paper.evaluate(BEYOND) == [], what
            # 'not possible' takes 16 mm at 7.5 points; 1 mm is 96 / 25.4 pixels
            assert paper.evaluate(NARROWEST) > 22 * 96 / 25.4, what
            phone.set_content(page)
            assert not overflows(phone), what
        # and the look would have seen it
        paper.set_content(f"<body style='margin: 0'><table><tr><td>{UNBROKEN * 3}</td></tr></table>")
        assert paper.evaluate(BEYOND) != []


def test_what_is_asked_for_of_a_skill_is_broken_where_a_phone_is_too_narrow_for_it() -> None:
    need_browser()
    case = b.a_case(targets=[b.a_target(generalised_when={"adult": 9, "location": 1})])
    found = review(case, "wren", b.a_log(), date(2026, 11, 1), date(2026, 11, 28))
    bars = skill_bars(Names(case), found.targets)
    assert any("(no more than 3 possible)" in asked.words for asked in bars[0].asked)
    drawn = _environment().from_string(
        '<style>{% include "style.css" %}</style>{% from "picture.html" import skill_bars %}{{ skill_bars(bars) }}'
    )
    with browser() as chromium:
        phone = chromium.new_page(viewport={"width": PHONE, "height": 640})  # type: ignore[attr-defined]
        phone.set_content(drawn.render(bars=bars))
        assert not overflows(phone)
        # what has room for it stays on one line
        assert phone.locator(".asked").last.evaluate("e => e.getClientRects().length") == 1


def test_the_minutes_of_a_timetable_stay_on_the_paper() -> None:
    """A place that is always open says so in four words, in the narrow column at the edge."""
    need_browser()
    case = b.a_case()
    used = hours_used(case, b.WEEK, {}, b.the_sittings())
    page = timetable_page(case, b.WEEK, b.the_sittings(), used)
    assert "always open" in page
    with browser() as chromium:
        paper = chromium.new_page(viewport={"width": A4_ACROSS, "height": 700})  # type: ignore[attr-defined]
        paper.emulate_media(media="print")
        paper.set_content(page)
        assert not overflows(paper)


def test_a_phone_shows_the_days_first_and_paper_shows_all_that_is_folded() -> None:
    need_browser()
    case = b.a_case()
    page = week_page(case, b.a_plan(case))
    folded = [
        "Matrix of",
        "These aims were taken",
        "minutes",
        "the latest probe of its combination",
        "exact, 95 %",
    ]
    with browser() as chromium:
        phone = chromium.new_page(viewport={"width": 360, "height": 740})  # type: ignore[attr-defined]
        phone.set_content(page)
        seen = phone.evaluate(
            """(words) => words.map(word => [...document.querySelectorAll(".fold > *")].some(
                e => e.innerText.includes(word) && e.checkVisibility({contentVisibilityAuto: true})))""",
            folded,
        )
        assert seen == [False] * len(folded)
        first = phone.evaluate("""[".day", "nav", ".fold"].map(
            where => document.querySelector(where).getBoundingClientRect().top)""")
        assert first == sorted(first)
        assert first[0] < 740
        # a link opens what it leads to
        phone.evaluate("location.hash = 'words'")
        phone.wait_for_function("document.querySelector('#words').closest('details').open")

        paper = chromium.new_page(viewport={"width": A4, "height": 1000})  # type: ignore[attr-defined]
        paper.emulate_media(media="print")
        paper.set_content(page)
        on_paper = """() => [...document.querySelectorAll(".fold > :not(summary)")].every(
            e => e.checkVisibility() && e.getBoundingClientRect().height > 0)"""
        assert paper.evaluate(on_paper)
        assert not paper.locator(".fold-hint").is_visible()
        # and the look would have seen what is folded
        paper.emulate_media(media="screen")
        assert not paper.evaluate(on_paper)
