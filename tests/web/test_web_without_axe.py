"""Without axe-core only its own checks are left out of the browser tests, with a word that says how to get it."""

from __future__ import annotations

import pytest

from tests.fixtures import browser


@pytest.fixture
def no_axe(monkeypatch, tmp_path):
    monkeypatch.setattr(browser, "AXE", tmp_path / "none")
    monkeypatch.delenv("CI", raising=False)


def test_the_browser_tests_run(no_axe, monkeypatch, tmp_path):
    pytest.importorskip("playwright")
    chromium = tmp_path / "chromium"
    chromium.touch()
    monkeypatch.setattr(browser, "CHROMIUM", chromium)
    browser.need_browser()
    chromium.unlink()
    with pytest.raises(pytest.skip.Exception, match="apt-get install chromium"):
        browser.need_browser()


def test_it_is_said_that_nothing_was_checked(no_axe, monkeypatch):
    with pytest.warns(UserWarning, match="run 'npm ci' in tests/readers"):
        assert browser.faults(None) == []
    monkeypatch.setenv("CI", "1")
    with pytest.raises(pytest.fail.Exception, match="npm ci"):
        browser.faults(None)
