"""The guided start in a real browser: a family in at most forty clicks and fields; by keyboard alone, in the dark."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan.casefile import load
from tests.fixtures.browser import DESK, PHONE, Screen, browser, need_browser
from tests.fixtures.local_server import running

need_browser()

MOST = 40
"""Clicks, strokes over a week, and fields filled in or chosen, from the empty folder to the first week."""
FIRST_HOUR = 6
HELPERS = (
    ("Mum", (0, 4), (16, 18)),
    ("Dad", (2, 4), (16.5, 18)),
    ("Nan", (1, 1), (15, 17)),
    ("Mrs Lee", (5, 5), (15, 16)),
)
"""With first and last day, and hours."""


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    with browser() as found:
        yield found


class Counted(Screen):
    """Counts what a person does."""

    def __init__(self, *args: object) -> None:
        super().__init__(*args)
        self.done = 0

    def click(self, role: str, name: str) -> None:
        self.done += 1
        self.page.get_by_role(role, name=name, exact=True).click()
        self.page.wait_for_load_state()

    def fill(self, label: str, text: str, row: int = 0) -> None:
        self.done += 1
        self.page.get_by_label(label, exact=True).nth(row).fill(text)

    def choose(self, label: str, words: str, row: int = 0) -> None:
        self.done += 1
        self.page.get_by_label(label, exact=True).nth(row).select_option(label=words)

    def tick(self, label: str, row: int = 0) -> None:
        self.done += 1
        self.page.get_by_label(label).nth(row).check()

    def paint(self, row: int, days: tuple[int, int], hours: tuple[float, float]) -> None:
        """One stroke from the first day and hour to the last."""
        self.done += 1
        week = self.page.get_by_role("grid").nth(row)
        week.scroll_into_view_if_needed()
        ends = ((days[0], hours[0]), (days[1], hours[1] - 0.5))
        rows = [week.get_by_role("row").nth(1 + day).get_by_role("gridcell") for day, _ in ends]
        cells = [row.nth(int((hour - FIRST_HOUR) * 2)) for row, (_, hour) in zip(rows, ends, strict=True)]
        boxes = [cell.bounding_box() for cell in cells]
        mouse = self.page.mouse
        mouse.move(boxes[0]["x"] + 3, boxes[0]["y"] + 8)
        mouse.down()
        mouse.move(boxes[1]["x"] + 3, boxes[1]["y"] + 8, steps=3)
        mouse.up()


def test_a_family_needs_at_most_forty_clicks_and_fields(chromium: object, tmp_path: Path) -> None:
    """One child, four adults, three places, three skills, two sets of things; where each skill was learned is said."""
    with running(tmp_path / "our-case") as local:
        screen = Counted(chromium, local, DESK)
        page = screen.page
        screen.click("link", "Begin")
        page.get_by_label("Time zone").evaluate("field => field.value = 'Europe/Dublin'")  # of this machine
        screen.click("button", "Next")
        screen.fill("The child's name", "Wren")
        screen.fill("Born", "April 2020")
        screen.paint(0, (0, 5), (15, 18))
        screen.click("button", "Next")
        for row, (name, days, hours) in enumerate(HELPERS):
            screen.fill("Name", name, row)
            screen.paint(row, days, hours)
        page.get_by_text("Kept").wait_for()
        screen.click("button", "Next")
        for row, name in enumerate(("Home", "Nan's house", "The park")):
            screen.fill("Name", name, row)
        screen.click("button", "Next")
        screen.fill("Minutes from one place to another", "10")
        screen.click("button", "Next")
        for row, name in enumerate(("Two cups", "Lunch box")):
            screen.fill("Name", name, row)
            screen.tick("nothing small, no magnet", row)
        screen.checked("things")
        screen.click("button", "Next")
        for row, name in enumerate(("Asks for help", "Waits for a turn", "Greets back")):
            screen.fill("The skill in a few words", name, row)
            screen.fill("What counts as correct?", "Within 10 seconds, without help", row)
        skill = page.locator("section").nth(1)
        screen.done += 2
        skill.get_by_label("With whom?", exact=True).first.select_option(label="Dad")
        skill.get_by_label("With what?", exact=True).first.select_option(label="Lunch box")
        screen.checked("skills")
        screen.click("button", "Next")
        screen.click("button", "Plan the first week")
        assert screen.done <= MOST
        page.get_by_role("heading", name=re.compile("The plan: [1-9]")).wait_for()
    case = load(tmp_path / "our-case").case
    assert case is not None
    assert set(case.adults) == {"mum", "dad", "nan", "mrs-lee"}
    assert case.targets["waits-for-a-turn"].taught == (
        {"adult": "dad", "location": "home", "material_set": "lunch-box"},
    )
    assert case.adults["dad"].free.days[3][0].start == 16 * 60 + 30


def test_hours_are_painted_by_keyboard_on_a_small_screen_in_the_dark(
    chromium: object, tmp_path: Path
) -> None:
    """What was typed is there after the browser was closed in the middle."""
    with running(tmp_path / "our-case") as local:
        screen = Screen(chromium, local, PHONE, "dark")
        page, keys = screen.page, screen.page.keyboard
        screen.go("/start/helpers")
        page.get_by_label("Name").first.focus()
        keys.type("Nan")
        keys.press("Tab")
        keys.press("Tab")  # past the field of the hours
        assert page.evaluate("document.activeElement.getAttribute('role')") == "grid"
        for key in ("ArrowDown", "Space", "Shift+ArrowRight"):
            keys.press(key)
        hours = page.get_by_label("When can Nan help?")
        assert hours.first.input_value() == "tue 15:00-16:00"
        for _ in range(3):
            keys.press("Tab")  # Monday, Wednesday, Thursday
        keys.press("Enter")
        assert hours.first.input_value() == "tue 15:00-16:00, thu 15:00-16:00"
        page.get_by_text("Tuesday 15:00–16:00; Thursday 15:00–16:00").wait_for()
        page.get_by_text("Kept").wait_for()
        screen.checked("a painted week")
        page.close()
        screen.page = screen.context.new_page()
        screen.go("/start/helpers")
        assert screen.page.get_by_label("Name").first.input_value() == "Nan"
        assert screen.page.get_by_label("When can Nan help?").first.input_value().startswith("tue 15:00")
