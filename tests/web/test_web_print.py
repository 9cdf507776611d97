"""The plan's screen on paper: a day's name is whole, headings are not too large, no button is spoken of."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fixtures.browser import DESK, Screen, browser, need_browser
from tests.fixtures.local_server import running
from tests.fixtures.starter_case import write_starter
from tests.fixtures.web_search import WEEK, plan

pytestmark = pytest.mark.usefixtures("warm_searches")

need_browser()

SIZE = "e => parseFloat(getComputedStyle(e).fontSize)"
A_LINE = "e => e.getBoundingClientRect().height < 2 * parseFloat(getComputedStyle(e).lineHeight)"


@pytest.mark.nightly  # by day the matrix is looked at on paper: `test_it_prints_in_grey_without_its_controls`
def test_the_plan_s_screen_on_paper(tmp_path: Path) -> None:
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local, browser() as chromium:
        plan(local)
        screen = Screen(chromium, local, DESK)
        page = screen.page
        screen.go(WEEK)
        page.emulate_media(media="print")
        text = page.locator("body").evaluate(SIZE)
        for heading in (".sitting h3", ".day > .date"):
            assert page.locator(heading).first.evaluate(SIZE) <= 1.05 * text, heading
        days = page.locator(".day > .date span:first-child")
        assert all(days.nth(n).evaluate(A_LINE) for n in range(days.count()))
        assert not page.get_by_text("From then on it is the week that everybody goes by.").is_visible()
        assert not page.get_by_text("Several weeks at once").is_visible()
