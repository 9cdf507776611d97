"""Dates that no calendar forbids and nobody means get a warning, at the line where they stand."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.casefile.unlikely_dates import about_dates
from tests.fixtures.casefile_cases import SMALL

TODAY = date(2026, 11, 29)


def told(folder: Path, text: str) -> list[tuple[int, str, str]]:
    folder.mkdir(exist_ok=True)
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    loaded = load(folder)
    assert loaded.case is not None, loaded.findings
    return [(f.line, f.key, f.found) for f in about_dates(loaded, loaded.case, TODAY)]


def line_of(text: str, part: str) -> int:
    return text.count("\n", 0, text.index(part)) + 1


def with_key(id_: str, line: str, text: str = SMALL) -> str:
    """The small case with one more key of a thing."""
    return text.replace(f"  {id_}:\n", f"  {id_}:\n    {line}\n", 1)


def test_the_small_case_has_no_such_date(tmp_path: Path) -> None:
    assert told(tmp_path, SMALL) == []


@pytest.mark.parametrize(
    ("thing", "line", "found"),
    [
        ("learners.wren", "born: 2030-01", "a birth in 2030-01, which is after today, 2026-11-29"),
        ("learners.wren", "born: 2026-11-30", "a birth in 2026-11-30, which is after today, 2026-11-29"),
        ("learners.wren", "born: 1900-01", "a birth in 1900-01, 126 years ago"),
        (
            "targets.zips",
            "mastered_on: 2026-11-30",
            "mastery on 2026-11-30, which is after today, 2026-11-29",
        ),
        ("targets.zips", "first: [{adult: mum, by: 2000-01-01}]", "a wish by 2000-01-01, which is over"),
        (
            "targets.zips",
            "first: [{adult: mum, by: 2099-01-01}]",
            "a wish by 2099-01-01, more than 10 years ahead",
        ),
        (
            "adults.mum",
            'away: ["2026-12-03..2096-01-03"]',
            "days off up to 2096-01-03, more than 10 years ahead",
        ),
    ],
)
def test_a_date_that_nobody_means(tmp_path: Path, thing: str, line: str, found: str) -> None:
    text = with_key(thing.partition(".")[2], line)
    ((told_line, key, words),) = told(tmp_path, text)
    assert (told_line, words) == (line_of(text, line), found)
    assert key.startswith(f"{thing}.{line.partition(':')[0]}")


@pytest.mark.parametrize(
    ("thing", "line"),
    [
        ("learners.wren", "born: 2026-11"),
        ("learners.wren", "born: 1906-11"),
        ("targets.zips", "mastered_on: 2026-11-29"),
        ("targets.zips", "first: [{adult: mum, by: 2026-11-29}]"),
        ("adults.mum", 'away: ["1999-12-03..2000-01-03"]'),
    ],
)
def test_a_near_miss(tmp_path: Path, thing: str, line: str) -> None:
    assert told(tmp_path, with_key(thing.partition(".")[2], line)) == []


def test_wishes_that_are_over_are_told_in_one(tmp_path: Path) -> None:
    wishes = "first: [{adult: mum, by: 2026-11-01}, {adult: mum, by: 2026-11-02}]"
    ((_, _, words),) = told(tmp_path, with_key("zips", wishes))
    assert words == "a wish by 2026-11-01, which is over (and 1 more)"


def test_mastery_before_birth(tmp_path: Path) -> None:
    text = with_key("zips", "mastered_on: 2020-01-01", with_key("wren", "born: 2021-04"))
    ((_, _, words),) = told(tmp_path, text)
    assert words == "mastery on 2020-01-01, before W. was born"


def test_a_birth_to_come_is_told_once(tmp_path: Path) -> None:
    """Mastery lies before it, of course; one sentence is enough."""
    text = with_key("zips", "mastered_on: 2026-01-01", with_key("wren", "born: 2030-01"))
    assert [key for _, key, _ in told(tmp_path, text)] == ["learners.wren.born"]
