"""On a narrow screen a matrix is scrolled, and its caption is read without: in the browser."""

from __future__ import annotations

from dataclasses import replace

from genplan.case import MaterialSet
from genplan.report.page import week_page
from tests.fixtures.browser import PHONE, browser, need_browser
from tests.fixtures.planning_cases import plan_one, product_case

need_browser()

OUTSIDE = """() => [...document.querySelectorAll("table.matrix caption")].map(caption => {
  const words = document.createRange(), frame = caption.closest(".scroll")
  words.selectNodeContents(caption)
  return [frame.scrollWidth > frame.clientWidth,
          words.getBoundingClientRect().right - frame.getBoundingClientRect().right]
})"""


def test_the_caption_of_a_wide_matrix_is_not_cut_off() -> None:
    case = product_case((2, 2, 8), a_week=1, work=0.1)
    sets = {i: MaterialSet(id=i, name=f"Things of the sort {i}") for i in case.material_sets}
    case = replace(case, material_sets=sets)
    html = week_page(case, plan_one(case))
    with browser() as chromium:
        page = chromium.new_page(viewport={"width": PHONE[0], "height": PHONE[1]})  # type: ignore[attr-defined]
        page.set_content(html)
        found = page.evaluate(OUTSIDE)
    assert found
    for scrolls, beyond in found:
        assert scrolls
        assert beyond <= 1
