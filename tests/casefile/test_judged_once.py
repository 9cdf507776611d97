"""A case that is asked for again and did not change is not judged again; whatever it was made of may change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from genplan.casefile import load, loading
from genplan.language import Speech, speaking

CASE = """format: 1
timezone: Europe/Dublin
policy: ours.yaml
learners: {wren: {name: Wren, alias: W., free: {sat: "09:30-12:00"}}}
adults: {mum: {name: Mum, role: aide, busy: busy/mum.ics, free: {sat: "09:30-12:00"}}}
locations: {home: {name: Home}}
material_sets: {coats: {name: Coats}}
targets: {zips: {learner: wren, correct_when: Closes the zip alone}}
"""
CALENDAR = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:x\nEND:VCALENDAR\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "case.yaml").write_text(CASE, "utf-8")
    (tmp_path / "ours.yaml").write_text("like: family\n", "utf-8")
    (tmp_path / "busy").mkdir()
    (tmp_path / "busy" / "mum.ics").write_text(CALENDAR, "utf-8")
    return tmp_path


def test_the_same_case_is_judged_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = load(folder)
    assert first.case is not None, first.findings
    monkeypatch.setattr(loading, "_judged", lambda *_: pytest.fail("judged again"))
    assert load(folder) is first


CHANGES: dict[str, Callable[[Path], object]] = {
    "a name": lambda f: (f / "case.yaml").write_text(CASE.replace("name: Home", "name: House"), "utf-8"),
    "a line": lambda f: (f / "case.yaml").write_text(f"# remark\n{CASE}", "utf-8"),
    "its policy": lambda f: (f / "ours.yaml").write_text("like: caseload\n", "utf-8"),
    "a calendar that is gone": lambda f: (f / "busy" / "mum.ics").unlink(),
    "a file more": lambda f: (f / "more.yaml").write_text("locations: {park: {name: Park}}\n", "utf-8"),
    "a file that is not read": lambda f: (f / "more.yml").write_text("x", "utf-8"),
}


@pytest.mark.parametrize("changed", list(CHANGES))
def test_whatever_changed_it_is_judged_again(folder: Path, changed: str) -> None:
    first = load(folder)
    CHANGES[changed](folder)
    again = load(folder)
    loading._last = None
    fresh = load(folder)
    assert again == fresh
    assert again != first


def test_what_is_found_is_said_in_the_language_of_whoever_asks(folder: Path) -> None:
    (folder / "case.yaml").write_text(CASE.replace("correct_when: Closes the zip alone", "pass_mark: 4/5"))
    english = load(folder).findings
    with speaking(Speech("de")):
        german = load(folder).findings
    assert english
    assert german
    assert german != english
