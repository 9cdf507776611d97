"""A child of whom everything waits is owed something all the same, by the planner's count and the auditor's."""

from __future__ import annotations

from pathlib import Path

from genplan import workflow
from tests.fixtures.small_case import SUNDAY, WEEK, silent

TEXT = """\
format: 1
timezone: Europe/Dublin
policy: {like: none, new_wait_after_lapse: yes}
learners:
  lark: {name: Lark, alias: L., free: {mon: "10:00-11:00"}}
  wren: {name: Wren, alias: W., free: {mon: "14:00-15:00"}}
adults: {mum: {name: Mum, free: {mon: "09:00-17:00"}}}
locations: {home: {name: Home}}
material_sets: {boots: {name: Boots}, hats: {name: Hats}}
targets:
  on: {learner: lark, correct_when: It is on, taught: [{adult: mum, location: home, material_set: boots}]}
  off: {learner: wren, correct_when: It is off}
"""
ROWS = """\
date,target,kind,adult,location,material_set,trials,correct
2026-11-20,on,probe,mum,home,boots,5,1
"""


def test_beside_another_child_one_whose_skill_has_lapsed_is_planned(tmp_path: Path) -> None:
    """Lark's skill is not met where it was taught, nobody plans teaching, and new combinations wait."""
    (tmp_path / "case.yaml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "results.csv").write_text(ROWS, encoding="utf-8")
    plan = workflow.plan(tmp_path, WEEK, SUNDAY, None, silent).plan
    assert {s.learner for s in plan.sittings} == {"wren"}
    assert set(plan.alone) == {"lark", "wren"}
