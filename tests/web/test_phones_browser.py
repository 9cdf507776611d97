"""A phone in a real browser: let in by the code's address, counting by taps, a lost connection and a reload."""

from __future__ import annotations

import re
from urllib.parse import urlencode

from tests.fixtures.browser import PHONE, browser, faults, need_browser, overflows
from tests.fixtures.phones import ROW, at_home
from tests.fixtures.starter_case import write_starter

need_browser()


def test_counting_survives_a_lost_connection(tmp_path):
    folder = tmp_path / "case"
    write_starter(folder)
    with at_home(folder) as home, browser() as chromium:
        context = chromium.new_context(viewport={"width": PHONE[0], "height": PHONE[1]}, has_touch=True)
        page = context.new_page()
        broken: list[str] = []
        page.on("pageerror", lambda error: broken.append(str(error)))
        page.goto(f"{home.phones.address}/#{home.word()}")
        page.wait_for_function("!location.hash")  # nobody reads the word in the address any more
        assert faults(page) == []
        page.get_by_label("What is this phone called?").fill("Gran's phone")
        page.get_by_role("button", name="Let it in").tap()
        page.get_by_role("heading", name="Next").wait_for()
        assert faults(page) == []
        way = re.match(r"http://[^/]+/[^/]+", page.url)[0]
        page.goto(f"{way}/record/row?{urlencode(ROW)}")
        tally, undo = page.locator("#tally"), page.get_by_role("button", name="Undo")
        for name in ("Correct", "Correct", "With help", "Not", "Undo", "Correct", "Correct"):
            button = page.get_by_role("button", name=name, exact=True)
            box = button.bounding_box()
            assert min(box["width"], box["height"]) >= 48
            assert box["y"] > PHONE[1] / 2  # a thumb of the hand that holds it
            button.tap()
        assert tally.inner_text() == "5 of 5: 4 correct, 1 with help, 0 not"
        page.get_by_label("Note").fill("after the bath")
        assert faults(page) == []
        assert not overflows(page)
        context.set_offline(True)
        page.get_by_role("button", name="Add it").tap()
        page.get_by_text("Not sent yet").wait_for()
        context.set_offline(False)
        page.reload()
        assert tally.inner_text() == "5 of 5: 4 correct, 1 with help, 0 not"
        assert page.get_by_label("Note").input_value() == "after the bath"
        assert undo.is_enabled()
        page.route("**/record/add", lambda route: (route.fetch(max_redirects=0), route.abort()))
        page.get_by_role("button", name="Add it").tap()  # it is taken, and the answer is lost
        page.get_by_text("Not sent yet").wait_for()
        page.unroute_all()
        page.reload()
        page.get_by_role("button", name="Add it").tap()
        page.get_by_text("a second tap adds nothing").wait_for()
        assert page.evaluate("Object.keys(localStorage)") == []
        (row,) = (folder / "results.csv").read_text("utf-8").splitlines()[1:]
        assert "++p++" in row
        assert "after the bath" in row
        assert broken == []
