"""Plan while you wait, in a real browser: a draft of the week, better ones, and the button that takes one."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.fixtures.browser import DESK, PHONE, Screen, browser, need_browser
from tests.fixtures.local_server import running
from tests.fixtures.places import EXAMPLES

need_browser()


@pytest.mark.nightly
@pytest.mark.parametrize("size", [PHONE, DESK])
def test_a_coordinator_takes_the_week_that_is_there(size: tuple[int, int], tmp_path: Path) -> None:
    folder = tmp_path / "case"
    shutil.copytree(EXAMPLES / "caseload", folder)
    with running(folder) as local, browser() as chromium:
        screen = Screen(chromium, local, size)
        page = screen.page
        screen.go("/plan/2026-W49")
        page.get_by_role("button", name=re.compile("^Plan (this week|the week of )")).click()
        taking = page.get_by_role("button", name="Take the best week now")
        taking.wait_for()
        screen.checked("a draft")
        page.locator("#so-far article.sitting").nth(12).wait_for()  # drawn anew as better weeks come
        assert page.get_by_text("It is no plan yet, and nobody is told of it.").is_visible()
        assert page.get_by_role("button", name="Keep this plan").count() == 0
        assert not (folder / "weeks").exists()
        taking.click()
        page.get_by_role("button", name="Keep this plan").wait_for()
        screen.checked("the week that was taken")
        assert page.get_by_text("stopped by hand before its end").is_visible()
        assert page.locator("#so-far").count() == 0
        written = json.loads((local.site.search.task.out / "plan.json").read_bytes())
        assert not written["repeatable"]
        assert len({s["learner"] for s in written["sittings"]}) == 12
        page.get_by_role("button", name="Keep this plan").click()
        page.get_by_role("heading", name="Files of the week").wait_for()
        assert (folder / "weeks" / "2026-W49" / "told.json").exists()
