"""A skill of which nothing is possible is not told as one that is through."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from genplan import workflow
from genplan.cli import main

CASE = """\
format: 1
timezone: Europe/Dublin
policy: family
learners:
  anna: {name: Anna, born: 2024-06, free: {mon-fri: "15:00-18:00"}, allergens: [egg]}
adults:
  mum: {name: Mum, free: {mon-fri: "15:00-18:00"}}
locations:
  home: {name: Home}
material_sets:
  beads: {name: Beads, THING}
targets:
  threads:
    learner: anna
    name: Threads beads
    correct_when: Three on the string
    material_sets: [beads]
    mastered_on: 2026-09-01
    generalised_when: {adults: 1, locations: 1, material_sets: 1}
"""
NOW = datetime(2026, 11, 28, 12, tzinfo=ZoneInfo("Europe/Dublin"))
AT = ["--now", "2026-11-28T12:00"]
WEEK = ["--week", "2026-W49", *AT]
SMALL, EGG = "small_parts: yes", "small_parts: no, allergens: [egg]"


@pytest.fixture(params=[SMALL, EGG])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "case.yaml").write_text(CASE.replace("THING", request.param), "utf-8")
    return tmp_path / "case"


def test_check_warns_at_the_line_of_the_skill(folder: Path) -> None:
    told = [f for f in workflow.check(folder, NOW) if f.key == "targets.threads"]
    (warning,) = [f for f in told if "possible" in f.found]
    assert warning.line == 13
    assert warning.hint


def test_a_skill_that_the_child_is_too_young_for_is_told_with_the_month(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text(CASE.replace("THING", SMALL), "utf-8")
    (warning,) = [f for f in workflow.check(tmp_path, NOW) if "nothing is possible yet" in f.found]
    # born in June 2024, on a day that is not known: 36 months are complete once June 2027 is over
    assert "2027-07" in warning.hint
    later = datetime(2027, 7, 1, 12, tzinfo=ZoneInfo("Europe/Dublin"))
    assert not [f for f in workflow.check(tmp_path, later) if "nothing is possible yet" in f.found]


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (["plan", *WEEK], ("all that was asked for has been seen", "everything has been tried", "0 of 0")),
        (["why", *WEEK], ()),
        (["forecast", *WEEK], ("already", "the case leaves only")),
        (["progress", *AT], ("0 of 0",)),
    ],
)
def test_nothing_is_told_as_if_it_were_through(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], wrong: tuple[str, ...]
) -> None:
    out = ["--out", str(tmp_path / "out")] if words[0] == "plan" else []
    assert main([words[0], str(folder), *words[1:], *out]) == 0
    printed = capsys.readouterr().out
    assert not [w for w in wrong if w in printed]
    assert "othing of " in printed
    assert "'Beads' " in printed
