"""The keys of teaching: who may teach what, what a target takes from its policy, and what becomes of them in a copy."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Case, PassMark
from genplan.case.targets import Teach
from genplan.casefile import load
from tests.fixtures.casefile_cases import SMALL, loaded

NOW = datetime(2026, 11, 29, 12)

FROM_POLICY = {
    "teach": ("fewest", Teach.FEWEST, "each", Teach.EACH),
    "teaching_minutes": ("12", 12, "8", 8),
    "teachings_before_retest": ("2", 2, "1", 1),
    "retest_after_days": ("3", 3, "0", 0),
    "teaching_per_week": ("2", 2, "0", 0),
    "taught_when": ("4/5", PassMark(4, 5), "any", None),
    "criterion_days": ("3", 3, "1", 1),
}
"""Key -> what the policy writes and means, and what a target writes over it and means."""


def case_of(folder: Path, text: str) -> Case:
    found = loaded(folder, text).case
    assert found is not None
    return found


@pytest.mark.parametrize("key", FROM_POLICY)
def test_a_target_takes_it_from_the_policy_and_may_say_otherwise(tmp_path: Path, key: str) -> None:
    written, meant, own, own_meant = FROM_POLICY[key]
    by_policy = SMALL.replace("format: 1", f"format: 1\npolicy: {{{key}: {written}}}")
    told = by_policy.replace("    trials: 5\n", f"    criterion: 9/10\n    {key}: {own}\n")
    assert getattr(case_of(tmp_path / "policy", by_policy).targets["zips"], key) == meant
    assert getattr(case_of(tmp_path / "own", told).targets["zips"], key) == own_meant
    where_nobody_says = 10 if key == "teaching_minutes" else own_meant
    assert getattr(case_of(tmp_path / "neither", SMALL).targets["zips"], key) == where_nobody_says


@pytest.mark.parametrize(
    ("lines", "zips", "asks"),
    [
        ("", True, True),
        ("briefed_on: [zips]", True, False),
        ("briefed_on: [zips]\n    teaches: [asks]", False, True),
        ("briefed_on: [zips]\n    teaches: all", True, True),
        ("teaches: []", False, False),
        ("teaches: zips", True, False),
    ],
)
def test_who_may_teach_what(tmp_path: Path, lines: str, zips: bool, asks: bool) -> None:
    text = SMALL.replace("    locations: [home]\n", f"    locations: [home]\n    {lines}\n")
    case = case_of(tmp_path / "case", text + "  asks: {learner: wren, correct_when: Asks}\n")
    assert [case.adults["mum"].may_teach(t) for t in ("zips", "asks")] == [zips, asks]
    assert case.adults["mum"].is_briefed_on("asks") == ("briefed_on" not in lines)


def test_limits_and_what_is_held_out(tmp_path: Path) -> None:
    text = SMALL.replace("allergens: [egg]", "limits: {teachings_per_day: 2, retests_per_day: 1}")
    text = text.replace(
        "trials: 5", "hold_out: [{wording: Zip it up}]\n    how_taught: 'Step by step:   last first'"
    )
    case = case_of(tmp_path / "case", text)
    limits, zips = case.learners["wren"].limits, case.targets["zips"]
    assert (limits.teachings_per_day, limits.retests_per_day) == (2, 1)
    assert zips.how_taught == "Step by step: last first"
    held_out = [c for c in zips.combinations() if zips.is_held_out(c)]
    assert {zips.value(c, "wording") for c in held_out} == {"Zip it up"}
    assert 2 * len(held_out) == len(zips.combinations())


def test_the_named_policies_plan_teaching_and_leave_how_much_of_a_new_skill_to_people(tmp_path: Path) -> None:
    for name in ("family", "school-transfer", "caseload"):
        policy = case_of(tmp_path / name, SMALL.replace("format: 1", f"format: 1\npolicy: {name}")).policy
        assert policy.plan_teaching
        assert policy.teaching_per_week == 0
        assert not policy.probe_after_teaching
    assert not case_of(tmp_path / "none", SMALL).policy.plan_teaching


def test_how_it_is_taught_must_not_give_a_name_away(tmp_path: Path) -> None:
    text = SMALL.replace("trials: 5", "how_taught: Help Wren with the last tooth")
    (warning,) = loaded(tmp_path / "case", text.replace("name: Wren", "name: Wren\n    alias: W.")).findings
    assert warning.key == "targets.zips.how_taught"
    assert warning.hint == "write it without the name, such as 'Help (name) with the last tooth'"


POLICY = "policy: {plan_teaching: yes, teach: fewest, taught_when: any, new_wait_after_lapse: yes}"
OF_TARGET = """\
    how_taught: Zahnrad by Zahnrad
    hold_out: [{location: park, wording: Zip it up}, {location: park, wording: Do up your coat}]
    teach: each
    taught_when: any
    teachings_before_retest: 3
"""


def test_a_copy_without_names_teaches_the_same(tmp_path: Path) -> None:
    text = SMALL.replace("format: 1", f"format: 1\n{POLICY}").replace("    trials: 5\n", OF_TARGET)
    text = text.replace("    locations: [home]\n", "    locations: [home]\n    teaches: [zips]\n")
    text = text.replace("    never:", "    criterion: 9/10\n    never:")
    ours = case_of(
        tmp_path / "case", text.replace("{adult: mum, location: park}", "{adult: mum, wording: Zip it up}")
    )
    workflow.share_copy(tmp_path / "case", tmp_path / "copy", NOW, lambda _: None)
    files = [p.read_text("utf-8") for p in (tmp_path / "copy").rglob("*") if p.is_file()]
    assert not any("Zahnrad" in text for text in files)
    theirs = load(tmp_path / "copy").case
    assert theirs is not None
    assert theirs.policy == ours.policy
    (mine,), (other,) = ours.targets.values(), theirs.targets.values()
    for key in ("teach", "taught_when", "teachings_before_retest", "criterion", "teaching_minutes"):
        assert getattr(other, key) == getattr(mine, key)
    assert other.how_taught not in ("", mine.how_taught)
    assert len(other.hold_out) == 2
    assert (
        sum(map(other.is_held_out, other.combinations()))
        == sum(map(mine.is_held_out, mine.combinations()))
        == 2
    )
    assert [a.teaches for a in theirs.adults.values()] == [frozenset({other.id})]


@pytest.mark.parametrize(
    ("keys", "warned"),
    [
        ("teaches: [zips]", False),
        ("briefed_on: []", False),
        ("teaches: [], briefed_on: []", False),
        ("teaches: all, briefed_on: []", False),
        ("teaches: [zips], briefed_on: []", True),
    ],
)
def test_an_adult_who_teaches_beyond_the_briefing_is_told(tmp_path: Path, keys: str, warned: bool) -> None:
    text = SMALL.replace("locations:\n  home:", f"  aunt: {{{keys}}}\nlocations:\n  home:")
    said = [f.sentence() for f in loaded(tmp_path, text).findings]
    told = "zips, on which aunt is not briefed and so teaches it only beside another. Add it to 'briefed_on'"
    assert any(told in s for s in said) is warned


@pytest.mark.parametrize(("days", "warned"), [(0, False), (56, False), (57, True), (300, True)])
def test_a_retest_that_is_far_off_is_told(tmp_path: Path, days: int, warned: bool) -> None:
    text = SMALL.replace("    trials: 5\n", f"    trials: 5\n    retest_after_days: {days}\n")
    said = [f.sentence() for f in loaded(tmp_path, text).findings]
    assert (
        any(f"{days} days: what was not met and is taught again waits so long" in s for s in said) is warned
    )
