"""The local page in a real browser: three people from an empty folder to a kept week with results in it."""

from __future__ import annotations

import re
import shutil
from datetime import date, datetime

import pytest

from genplan.coverage.curve import Point
from genplan.report.page import week_page
from tests.fixtures import builders as b
from tests.fixtures.browser import (
    DESK,
    PHONE,
    TABLET,
    Screen,
    browser,
    enter,
    faults,
    need_browser,
    overflows,
)
from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import running
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES
from tests.fixtures.starter_case import in_trade_words, write_starter

pytestmark = pytest.mark.usefixtures("warm_searches")

need_browser()

SHEET = """\
date,target,kind,adult,location,material_set,correct,trials
2026-11-28,asks-for-help,probe,mum,home,two-cups,4,5
"""


@pytest.fixture(scope="module")
def chromium():
    with browser() as found:
        yield found


def test_a_family_on_a_phone(chromium, tmp_path, nightly):
    """A first case, an hour changed, a week kept, a result written down with a thumb, the matrix looked at. By night
    every page of the plan is looked at, too, and one adult's part made."""
    with running(tmp_path / "case") as local:
        screen = Screen(chromium, local, PHONE, by_file=True)
        page = screen.page
        screen.checked("an empty folder")
        page.get_by_role("button", name="Make an example").tap()
        page.get_by_role("heading", name="Adults").wait_for()
        screen.checked("the case")
        work_less(tmp_path / "case")
        page.get_by_role("link", name="Mum").tap()
        page.get_by_role("heading", name="Adult: Mum").wait_for()
        page.get_by_label("Saturday").fill("10:00-12:30")
        screen.checked("a form")
        page.get_by_role("button", name="Save").tap()
        page.get_by_text("Saved in case.yaml.").wait_for()
        assert '"10:00-12:30"' in (tmp_path / "case" / "case.yaml").read_text("utf-8")
        page.get_by_label("Saturday").fill("10:00-99:00")
        page.get_by_role("button", name="Save").tap()
        page.get_by_role("alert").wait_for()
        assert page.get_by_label("Saturday").input_value() == "10:00-99:00"
        screen.checked("a form that was refused")
        screen.go("/plan/2026-W49")
        page.get_by_role("button", name=re.compile("^Plan (this week|the week of )")).tap()
        pages = ("The page of the week", "Sheets to print and fill in", "Page of Mum")
        for name in pages if nightly else pages[:1]:
            screen.follow(page.get_by_role("link", name=name), "/files/")
            page.get_by_role("heading", level=1, name=re.compile("[Ww]eek 49")).wait_for()
            screen.checked(name)
            page.go_back()
            page.wait_for_url("**/plan/2026-W49")
        page.get_by_role("button", name="Use this plan").tap()
        page.get_by_role("heading", name="Files of the week").wait_for()
        screen.checked("the week")
        if nightly:
            make_a_part(screen)
        local.site.now = datetime(
            2026, 12, 6, 20
        )  # the week is over: what is still ahead cannot be written down
        screen.go("/week/2026-W49")
        page.get_by_role("link", name=re.compile("^Write down .*, ")).first.tap()
        page.get_by_role("button", name="Add it").wait_for()
        page.wait_for_load_state()  # a page can be touched before its style sheet has come
        four = page.locator("label", has=page.locator("input[name=correct][value='4']"))
        box = four.bounding_box()
        assert min(box["width"], box["height"]) >= 44  # a thumb; WCAG 2.2 asks for 24
        four.tap()
        screen.checked("a row")
        page.get_by_role("button", name="Add it").tap()
        page.get_by_text("Written down: ").wait_for()
        screen.checked("a day")
        rows = (tmp_path / "case" / "results.csv").read_text("utf-8").splitlines()
        assert len(rows) == 2
        assert ",5,4," in rows[1]
        screen.go("/matrix")
        screen.checked("the matrix")
        screen.go("/week/2026-W49")
        assert page.get_by_text("Written down: 4 of 5 right").is_visible()


def make_a_part(screen):
    page = screen.page
    screen.follow(page.get_by_role("link", name="Give one adult that adult's part alone"), "/share")
    page.get_by_label("Adult", exact=True).select_option("mum")
    screen.checked("asking for a part")
    page.get_by_role("button", name="Make this part").tap()
    page.get_by_role("link", name="Save all in one file").wait_for()
    screen.checked("a part to hand on")
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save all in one file").tap()
    assert saved.value.suggested_filename == "part-of-mum.zip"


@pytest.mark.nightly
def test_a_therapist_at_a_desk_by_keyboard(chromium, tmp_path):
    """A new target with a wish and a wording, typed and sent by keyboard; planned, kept, reviewed."""
    with running(tmp_path / "case") as local:
        screen = Screen(chromium, local, DESK)
        page = screen.page
        page.get_by_role("button", name="Make an example").press("Enter")
        page.get_by_role("heading", name="Adults").wait_for()
        in_trade_words(tmp_path / "case")
        page.reload()
        page.wait_for_load_state()
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.get_by_role("link", name="Add a target").press("Enter")
        page.get_by_label("Learner", exact=True).select_option("robin")
        page.get_by_label("Name", exact=True).first.fill("Greets back: hello")
        page.get_by_label("Counts as correct").fill("Says hello within 5 s")
        page.get_by_role("group", name="Taught with").get_by_label("Adult").select_option("mum")
        page.get_by_role("group", name="Taught with").get_by_label("Location").select_option("home")
        page.get_by_role("group", name="Taught with").get_by_label("Material set").select_option("two-cups")
        page.get_by_text("More, which can be left alone").press("Enter")
        vary = page.get_by_role("group", name="Also vary")
        vary.get_by_label("Name").fill("wording")
        vary.get_by_label("Values, one a line").fill("Hello\nGood morning")
        first = page.get_by_role("group", name="Wanted before the rest")
        first.get_by_label("Location").select_option("playground")
        first.get_by_label("By").fill("2026-12-18")
        page.get_by_role("button", name="Save").press("Enter")
        page.get_by_text("Saved in case.yaml.").wait_for()
        screen.checked("a new target")
        written = (tmp_path / "case" / "case.yaml").read_text("utf-8")
        assert "    also_vary: {wording: [Hello, Good morning]}\n" in written
        assert "    first: [{location: playground, by: 2026-12-18}]\n" in written
        # and the remark of the id that the case got
        starter = (EXAMPLES.parent / "genplan/casefile/starter_case.yaml").read_text("utf-8")
        assert written.count("#") == starter.count("#") + 1
        screen.go("/plan/2026-W49")
        screen.plan_and_keep()
        screen.go("/record?day=2026-11-28")
        page.get_by_label("Target").select_option("greets-back-hello")
        page.get_by_role("button", name="Go on").press("Enter")
        for label, value in {
            "Adult": "dad",
            "Location": "home",
            "Material set": "two-cups",
            "Wording": "Hello",
        }.items():
            page.get_by_label(label, exact=True).select_option(value)
        page.get_by_role("radio", name="Not run").check()
        page.get_by_label("Note").fill("Tired; <b>asleep</b>")
        page.get_by_role("button", name="Add it").press("Enter")
        page.get_by_text("Written down: ").wait_for()
        sheet = tmp_path / "filled.csv"
        sheet.write_text(SHEET, "utf-8")
        page.get_by_label("CSV or spreadsheet file").set_input_files(sheet)
        page.get_by_role("button", name="Take the sheet").press("Enter")
        page.get_by_text("1 row added to results.csv.").wait_for()
        screen.checked("a sheet that was taken")
        screen.go("/review")
        screen.checked("asking for a review")
        page.get_by_role("button", name="Show the review").press("Enter")
        page.get_by_role("heading", name="Where it breaks").wait_for()
        screen.checked("a review")


@pytest.mark.nightly
def test_a_coordinator_on_a_tablet_in_the_dark(chromium, tmp_path):
    """A second learner put into a first case, two tabs, a busy search looked at from both, a change compared."""
    with running(tmp_path / "case") as local:
        screen = Screen(chromium, local, TABLET, "dark")
        page = screen.page
        page.get_by_role("button", name="Make an example").click()
        other = screen.context.new_page()
        other.goto(f"{local.address}/case/adults/dad")
        screen.go("/case/adults/dad")
        page.get_by_label("Who it is").fill("papa")
        page.get_by_role("button", name="Save").click()
        page.get_by_text("Saved in case.yaml.").wait_for()
        screen.go("/case")
        page.get_by_role("link", name="Add a child").click()
        page.get_by_label("Name", exact=True).fill("Sol")
        for day in ("Tuesday", "Thursday"):
            page.get_by_label(day).fill("16:00-18:00")
        screen.checked("a new learner")
        page.get_by_role("button", name="Save").click()
        page.get_by_text("Saved in case.yaml.").wait_for()
        other.get_by_label("Who it is").fill("father")
        other.get_by_role("button", name="Save").click()
        other.get_by_role("alert").wait_for()
        assert "father" not in (tmp_path / "case" / "case.yaml").read_text("utf-8")
        assert other.get_by_label("Who it is").input_value() == "father"
        other.get_by_role("button", name="Save").click()
        other.get_by_text("Saved in case.yaml.").wait_for()
        screen.go("/plan/2026-W49")
        screen.plan_and_keep()
        screen.checked("the week in the dark")
        screen.go("/case/adults/aunt")
        page.get_by_label("Tuesday").fill("")
        screen.saved()
        screen.go("/plan/2026-W49")
        screen.plan_and_keep()
        page.get_by_text(
            re.compile(r"Week 49 is in use now; \d+ (person has|people have) to be told")
        ).wait_for()
        screen.go("/check")
        screen.checked("a check in the dark")
        screen.go("/forecast")
        page.get_by_label("Weeks to look at").fill("3")
        page.get_by_role("button", name="Look ahead").click()
        page.get_by_role("heading", name="What this takes for granted").wait_for()
        screen.checked("a forecast in the dark")
        head = page.locator("table.spans thead th").last.bounding_box()
        cell = page.locator("table.spans tbody td").nth(2).bounding_box()
        assert (
            abs(head["x"] + head["width"] - cell["x"] - cell["width"]) < 2
        )  # dates stand below their heading
        assert "sol" in (tmp_path / "case" / "case.yaml").read_text("utf-8")


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        pytest.param(PHONE, "light", id="phone"),
        pytest.param(DESK, "dark", id="dark-desk", marks=pytest.mark.nightly),
    ],
)
def test_every_screen_of_an_example(chromium, tmp_path, size, scheme, nightly):
    folder = tmp_path / "case"
    shutil.copytree(EXAMPLES / "family", folder)
    screens = ["/case/general", "/case/targets/asks-for-a-thing", "/", "/check", "/review", "/change"]
    screens += ["/history/coat-on?with-adult=pop", "/record", "/plan", "/forecast", "/why"]
    if nightly:  # by day these are screens of the family on a phone, or like one that is looked at
        screens += ["/case/learners/ines", "/term", "/chance", "/help?word=retest", "/publish", "/nowhere"]
        screens += ["/case", "/matrix", "/share", "/week/2026-W49", "/history/coat-on"]
        screens += ["/case/adults/pop", "/case/adults/new", "/case/locations/library"]
        screens += ["/case/material_sets/train-box", "/record/row?target=greets-back&with-adult=mum"]
    if scheme == "dark":  # the shades are the same on every form
        screens = [s for s in screens if not s.startswith("/case/")] + ["/case/targets/coat-on"]
    with running(folder) as local:
        screen = Screen(chromium, local, size, scheme)
        for path in screens:
            screen.go(path)
            screen.checked(path)


def test_the_checker_finds_what_is_wrong(chromium):
    page = chromium.new_context().new_page()
    page.set_content(
        "<html lang=en><title>x</title><main><h1>x</h1><input><p style='color:#aaa'>pale</p></main>"
    )
    found = "".join(faults(page))
    assert "color-contrast" in found
    assert "label" in found


@pytest.mark.parametrize(("size", "scheme"), by_day_the_first([(PHONE, "dark"), (DESK, "light")]))
def test_the_page_of_a_caseload(chromium, tmp_path, size, scheme):
    """On a screen the matrices can be unfolded; on paper there are those that are, and each learner has a page."""
    case, plan = b.a_big_plan(3)
    points = (
        Point(day=date(2026, 10, 1), possible=24, shown=1, tested=0, met=0),
        Point(day=date(2026, 11, 29), possible=24, shown=9, tested=8, met=3),
    )
    file = tmp_path / "week.html"
    file.write_text(week_page(case, plan, curves=dict.fromkeys(case.targets, points)), "utf-8")
    context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=scheme)
    page = context.new_page()
    page.goto(file.as_uri())
    page.locator(".target summary").first.click()
    page.locator(".left summary").first.click()
    page.locator("figcaption", has_text="of 24 pairs tried").first.wait_for()
    assert faults(page) == []
    assert not overflows(page)
    page.emulate_media(media="print")
    shown = [m.is_visible() for m in page.locator(".matrix").all()]
    assert shown == [True, False, False]
    breaks = page.evaluate(
        "[...document.querySelectorAll('.learner')].map(e => getComputedStyle(e).breakBefore)"
    )
    assert breaks == ["page"] * 3
    assert not page.get_by_role("navigation").is_visible()
    context.close()


@pytest.mark.nightly
def test_without_scripts_a_search_is_followed_all_the_same(chromium, tmp_path):
    with running(tmp_path / "case") as local:
        context = chromium.new_context(java_script_enabled=False)
        page = context.new_page()
        enter(page, local, scripts=False)
        page.get_by_role("button", name="Make an example").click()
        page.goto(f"{local.address}/plan/2026-W49")
        page.get_by_role("button", name=re.compile("^Plan (this week|the week of )")).click()
        page.get_by_role("button", name="Use this plan").wait_for(timeout=90_000)


def test_a_tick_chooses_its_line(chromium, tmp_path):
    """Without scripts such a form is asked about: see the tests of the forms."""
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        screen = Screen(chromium, local, PHONE)
        page = screen.page
        screen.go("/case/adults/mum")
        page.get_by_text("More, which can be left alone").click()
        goes_to = page.get_by_role("group", name="Goes to")
        every, these = goes_to.get_by_label("every location"), goes_to.get_by_label("only these")
        goes_to.get_by_label("Home").check()
        assert these.is_checked()
        every.check()
        assert not goes_to.get_by_label("Home").is_checked()
        these.check()
        assert goes_to.get_by_label("Home").is_checked()
        screen.saved()
        assert "    locations: [home]\n" in (tmp_path / "case" / "case.yaml").read_text("utf-8")
        screen.go("/change")
        page.get_by_label("A location is closed: which").select_option("playground")
        assert page.get_by_label("A location is closed", exact=True).is_checked()
        screen.checked("a change")


@pytest.mark.nightly
def test_it_prints_in_grey_without_its_controls(chromium, tmp_path):
    folder = tmp_path / "case"
    shutil.copytree(EXAMPLES / "family", folder)
    with running(folder) as local:
        screen = Screen(chromium, local, DESK)
        screen.go("/matrix")
        screen.page.emulate_media(media="print")
        assert not screen.page.get_by_role("navigation").first.is_visible()
        shades = screen.page.evaluate(
            "[...document.querySelectorAll('td, th, h1, h2, p')]"
            ".flatMap(e => [getComputedStyle(e).color, getComputedStyle(e).backgroundColor])"
        )
        for shade in set(shades):
            red, green, blue = re.findall(r"\d+", shade)[:3]
            assert red == green == blue, shade
