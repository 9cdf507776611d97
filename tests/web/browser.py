"""Debian's Chromium for the tests, and what a checker of pages finds on a page."""

from __future__ import annotations

import json
import os
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

CHROMIUM = Path("/usr/bin/chromium")
AXE = Path(__file__).parents[1] / "readers" / "node_modules" / "axe-core" / "axe.min.js"
NO_AXE = "pages were not checked by axe-core: run 'npm ci' in tests/readers to have it"
QUIET = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking"
    " --disable-component-update --disable-sync"
)
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def need_browser() -> None:
    """Skips the tests of a module with a clear word where there is nothing to run them in."""
    pytest.importorskip("playwright", reason="playwright is not installed: pip install '.[test]'")
    if not CHROMIUM.exists():
        missing = f"there is no {CHROMIUM}: apt-get install chromium"
        if os.environ.get("CI"):
            pytest.fail(missing, pytrace=False)
        pytest.skip(missing, allow_module_level=True)


@contextmanager
def browser() -> Iterator[object]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=str(CHROMIUM), args=QUIET.split())
        try:
            yield found
        finally:
            found.close()


def enter(page: object, local: object, scripts: bool = True) -> None:
    """Opens the page as the program does: with a file that holds a form, which a script sends, or a thumb."""
    page.goto(local.entrance(), wait_until="commit")
    if not scripts:
        page.get_by_role("button", name="Open the page").click()
    page.wait_for_url(f"{local.address}/**")


def faults(page: object) -> list[str]:
    """What axe-core finds on the page, each with the place. The page's own policy blocks added scripts, so the
    text is evaluated. Where it is not installed nothing is found, and the run ends with a warning that says so."""
    if not AXE.exists():
        if os.environ.get("CI"):
            pytest.fail(NO_AXE, pytrace=False)
        warnings.warn(NO_AXE, stacklevel=2)
        return []
    page.evaluate(AXE.read_text("utf-8"))
    options = json.dumps({"runOnly": {"type": "tag", "values": WCAG}})
    found = page.evaluate(f"axe.run(document, {options})")
    return [
        f"{page.url}: {v['id']}: {n['target']}: {n['failureSummary']}"
        for v in found["violations"]
        for n in v["nodes"]
    ]


def overflows(page: object) -> bool:
    """Whether the page has to be scrolled sideways."""
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
