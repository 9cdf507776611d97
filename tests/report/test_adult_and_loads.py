"""The page of one adult, the drawing of loads, and what of the criterion stands on the page of a week."""

from __future__ import annotations

from dataclasses import replace

from genplan.case import AdultLimits
from genplan.report.adult_page import adult_page, adult_pages
from genplan.report.loads import loads
from genplan.report.names_and_words import Names, set_of
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import read


def test_an_adult_s_page_holds_the_own_sittings_and_nobody_else_s() -> None:
    case = b.a_case()
    plan = b.a_plan(case)
    for adult in case.adults:
        own = [s for s in plan.sittings if s.adult == adult]
        page = read(adult_page(case, plan, adult))
        assert len(page.with_class("sitting")) == len(own)
        for other in case.adults.values():
            if other.id != adult:
                assert other.name not in page.words, f"{other.name} stands on the page of {adult}"


def test_there_is_a_page_for_each_adult_and_one_without_a_sitting_says_so() -> None:
    case = b.a_case()
    pages = adult_pages(case, b.an_empty_plan())
    assert set(pages) == {f"pages/adult-{a}.html" for a in case.adults}
    assert all("Nothing is planned for you in this week." in page.decode() for page in pages.values())


def test_an_adult_s_page_calls_the_learner_by_the_alias() -> None:
    case = b.a_case()
    page = read(adult_page(case, b.a_plan(case), next(s.adult for s in b.a_plan(case).sittings))).words
    assert "W." in page
    assert "Wren Example" not in page


def test_an_adult_s_page_says_where_it_is_what_to_say_and_what_counts() -> None:
    case = b.a_case()
    park = replace(case.locations["park"], address="2 Mill Lane")
    there = replace(case, locations={**case.locations, "park": park})
    page = read(adult_page(there, b.a_plan(there), "grandad")).words
    for said in ("The park 2 Mill Lane", "Say “Zip it up”.", "Counts as correct: Starts and closes the zip"):
        assert said in page
    assert "Write down how it went" in page
    assert "Mill Lane" not in adult_page(there, b.a_plan(there), "mum")
    # on the page of everybody it would be read a hundred times
    assert "Counts as correct: Starts" not in week_page(case, b.a_plan(case))


def test_loads_are_minutes_that_pass_the_most_first() -> None:
    case = b.a_case()
    sittings = b.a_plan(case).sittings
    own: dict[str, float] = {}
    for s in sittings:
        own[s.adult] = own.get(s.adult, 0) + (s.end - s.start).total_seconds() / 60
    drawn = loads(Names(case), sittings)
    assert [bar.minutes for bar in drawn.bars] == sorted(own.values(), reverse=True)
    assert sum(bar.sittings for bar in drawn.bars) == len(sittings)
    # the longest bar, or the limit beyond it, ends where the drawing ends: 340 - 4
    assert max(max(drawn.left + bar.length, bar.limit_at) for bar in drawn.bars) == 336


def test_a_limit_is_drawn_where_it_lies() -> None:
    case = b.a_case()
    sittings = b.a_plan(case).sittings
    adult, minutes = sittings[0].adult, loads(Names(case), sittings).bars[0].minutes
    limited = replace(case.adults[adult], limits=AdultLimits(minutes_per_week=minutes * 2))
    drawn = loads(Names(replace(case, adults={**case.adults, adult: limited})), sittings)
    bar = next(bar for bar in drawn.bars if bar.limit)
    # 226 units stand for twice the most minutes, so the limit lies at 110 + 226
    assert bar.limit_at == 336
    assert max(bar.length for bar in drawn.bars) == 113


def test_the_loads_have_a_title_words_and_a_table() -> None:
    case = b.a_case()
    page = read(week_page(case, b.a_plan(case)))
    figure = page.with_class("loads")[0]
    assert [e.tag for e in figure.all("title", "desc", "table")] == ["title", "desc", "table"]
    assert figure.all("svg")[0].attributes["role"] == "img"
    assert not read(week_page(case, b.an_empty_plan())).with_class("loads")


def test_the_page_says_how_far_a_target_is_towards_generalised() -> None:
    asked = b.a_target(generalised_when={"adult": 2})
    case = b.a_case(targets=[asked])
    assert "Not generalised yet by what the case asks for." in read(week_page(case, b.a_plan(case))).words
    case = b.a_case(targets=[b.a_target(generalised_when={})])
    assert "generalised" not in read(week_page(case, b.a_plan(case))).words


def test_who_gives_the_most_is_named_only_where_others_give_less() -> None:
    names, (first, *_) = Names(b.a_case()), b.a_plan(b.a_case()).sittings
    one, other = list(names.case.adults)[:2]
    alike = [replace(first, adult=a, beside="") for a in (one, other)]
    each = round((first.end - first.start).total_seconds() / 60)
    assert loads(names, alike).words.endswith(f"Each gives {each}.")
    assert loads(names, [*alike, alike[1]]).words.endswith(
        f"The most is {2 * each}, by {names.adult(other)}."
    )


def test_nobody_is_asked_to_bring_a_set_of_nothing() -> None:
    """Neither on the sheet nor on the page of the adult; the probe still says with what it is run."""
    case = b.a_case()
    plan = b.a_plan(case)
    sitting = plan.sittings[0]
    used = {set_of(case, p) for p in sitting.probes}
    nothing = {i: replace(m, bring=i not in used) for i, m in case.material_sets.items()}
    bare = replace(case, material_sets=nothing)
    mine = replace(plan, sittings=(sitting,))
    name = case.material_sets[set_of(case, sitting.probes[0])].name
    assert f"Comes along with {b.a_learner().alias}: {name}" in read(sheets_page(case, mine)).words
    sheet, page = read(sheets_page(bare, mine)).words, read(adult_page(bare, mine, sitting.adult)).words
    assert "Bring this sheet, a pen" in sheet
    assert "Comes along" not in sheet
    assert name in sheet
    assert "Nothing to bring" in page
    assert "Beside another adult" not in page
