"""Counting by taps in a real browser: nothing is lost, nor added to unseen, and too many are said."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.fixtures.browser import PHONE, Screen, browser, need_browser
from tests.fixtures.local_server import running
from tests.fixtures.small_case import small_case
from tests.web.test_form_of_a_row import FORM, rows

need_browser()

NONE_YET = "Tap once for each trial."
UNCOVERED = """() => [...document.querySelectorAll("[role=alert] .tick, [role=alert] button")].every(one => {
  const box = one.getBoundingClientRect()
  return one.contains(document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2))
})"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_case(tmp_path / "case")


@pytest.fixture
def screen(folder: Path) -> Iterator[Any]:
    with running(folder) as local, browser() as chromium:
        yield Screen(chromium, local, PHONE)


def tap(screen: Any, times: int) -> None:
    for _ in range(times):
        screen.page.get_by_role("button", name="Correct", exact=True).tap()


def tally(screen: Any) -> str:
    return str(screen.page.locator("#tally").inner_text())


def test_what_was_counted_in_a_form_that_was_left_is_there_and_said_to_be_of_before(screen: Any) -> None:
    before = screen.page.get_by_text("This was counted or typed here before")
    screen.go(FORM)
    tap(screen, 3)
    assert not before.is_visible()
    screen.go("/")
    screen.go(FORM.replace("hats", "boots"))  # another check has nothing of it
    assert tally(screen) == NONE_YET
    assert not before.is_visible()
    screen.go(FORM)
    assert tally(screen) == "3 of 5: 3 correct, 0 with help, 0 not"
    assert before.is_visible()
    screen.page.get_by_role("button", name="Begin anew").tap()
    assert tally(screen) == NONE_YET
    assert not before.is_visible()
    screen.page.reload()
    assert tally(screen) == NONE_YET
    tap(screen, 1)
    assert tally(screen) == "1 of 5: 1 correct, 0 with help, 0 not"


def test_what_was_sent_and_not_taken_is_there_whatever_was_looked_at_since(screen: Any, folder: Path) -> None:
    screen.go(FORM)
    tap(screen, 5)
    screen.page.get_by_label("Note").fill("after the bath")
    screen.context.set_offline(True)
    screen.page.get_by_role("button", name="Add it").tap()
    screen.page.get_by_text("Not sent yet").wait_for()
    screen.context.set_offline(False)
    screen.go("/")
    screen.go(FORM)
    assert tally(screen) == "5 of 5: 5 correct, 0 with help, 0 not"
    assert screen.page.get_by_text("not taken over yet").is_visible()
    screen.page.get_by_role("button", name="Add it").tap()
    screen.page.get_by_text("Written down: ").wait_for()
    (row,) = rows(folder)
    assert row.endswith("after the bath,+++++,,") or "+++++" in row
    assert screen.page.evaluate("Object.keys(sessionStorage)") == []


def test_what_was_counted_on_a_form_that_was_refused_outlives_a_reload(screen: Any, folder: Path) -> None:
    screen.go(FORM)
    screen.page.get_by_role("button", name="Add it", exact=True).tap()
    screen.page.get_by_role("alert").first.wait_for()
    before = screen.page.get_by_text("This was counted or typed here before")
    screen.page.wait_for_load_state()
    assert not before.is_visible()
    tap(screen, 4)
    screen.page.reload()
    assert tally(screen) == "4 of 5: 4 correct, 0 with help, 0 not"
    screen.go(FORM)
    assert tally(screen) == "4 of 5: 4 correct, 0 with help, 0 not"
    assert before.is_visible()
    assert rows(folder) == []


def test_nothing_is_said_to_be_of_before_where_nothing_was_counted(screen: Any) -> None:
    screen.go(FORM)
    screen.page.get_by_role("button", name="Add it", exact=True).tap()
    screen.page.get_by_role("alert").first.wait_for()
    screen.page.wait_for_load_state()
    screen.go(FORM)
    assert tally(screen) == NONE_YET
    assert not screen.page.get_by_text("This was counted or typed here before").is_visible()


def test_more_taps_than_trials_are_said_and_asked_about_with_nothing_over_the_question(
    screen: Any, folder: Path
) -> None:
    screen.go(FORM)
    tap(screen, 5)
    assert "More than was planned" not in tally(screen)
    tap(screen, 2)
    assert tally(screen).startswith("7 of 5: 7 correct, 0 with help, 0 not. More than was planned")
    screen.page.get_by_role("button", name="Add it").tap()
    screen.page.get_by_text("Was one counted twice?").wait_for()
    screen.page.wait_for_load_state()
    assert rows(folder) == []
    assert screen.page.evaluate(UNCOVERED)
    screen.page.get_by_role("button", name="Undo").tap()
    screen.page.get_by_role("button", name="Undo").tap()
    screen.page.get_by_role("button", name="Add it", exact=True).tap()
    screen.page.get_by_text("Written down: ").wait_for()
    assert "5 of 5" in screen.page.get_by_role("status").inner_text()


def test_the_buttons_follow_the_trials_that_are_typed_and_more_than_planned_are_asked_about_once(
    screen: Any, folder: Path
) -> None:
    screen.go(FORM)
    shown = screen.page.locator(".thumbs label")
    trials, legend = screen.page.get_by_label("Trials", exact=True), screen.page.locator("legend").first
    met = screen.page.get_by_text("A prompted response does not count as correct.")
    assert shown.count() == 6
    assert met.is_visible()
    trials.fill("9")
    assert shown.all_inner_texts() == [str(n) for n in range(10)]
    assert legend.inner_text().endswith("of 9")
    assert not met.is_visible()
    shown.nth(8).tap()
    trials.fill("6")
    assert shown.count() == 7
    assert screen.page.locator("[name=correct]:checked").count() == 0
    trials.fill("many")
    assert shown.count() == 6
    assert met.is_visible()
    trials.fill("9")
    shown.nth(7).tap()
    screen.page.reload()  # what was typed is kept, and the button with it
    assert screen.page.locator("[name=correct]:checked").input_value() == "7"
    screen.page.get_by_role("button", name="Add it", exact=True).tap()
    screen.page.get_by_text("Was one counted twice?").wait_for()
    assert rows(folder) == []
    screen.page.locator("[role=alert] input[type=checkbox]").check()
    screen.page.get_by_role("button", name="Add it").first.tap()
    screen.page.get_by_text("Written down: ").wait_for()
    (row,) = rows(folder)
    assert ",9,7," in row
