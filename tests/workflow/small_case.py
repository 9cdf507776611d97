"""A small invented case that plans in a second, and the words to change it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from genplan.case import Week

WEEK = Week(2026, 49)
SUNDAY = datetime(2026, 11, 29, 12)
WEDNESDAY = datetime(2026, 12, 2, 12)

TEXT = """\
format: 1
timezone: Europe/Dublin
policy: {days: mon-fri, probes_per_target_per_week: 5}
learners:
  lark: {name: Lark Fernwhistle, alias: L., born: 2021-03, free: {mon-fri: "15:00-18:00"},
         limits: {sittings_per_day: 1, probes_per_sitting: 2}}
adults:
  mum: {name: Mum, free: {mon-fri: "16:00-18:00"}}
  gran: {name: Gran, free: {mon: "15:00-17:00", wed-fri: "15:00-17:00"}}
locations:
  home: {name: Home}
  yard: {name: The yard}
material_sets:
  boots: {name: Two boots}
  hats: {name: Three hats}
targets:
  puts-on: {learner: lark, name: Puts it on, correct_when: It is on within a minute, mastered_on: 2026-10-01,
            taught: [{adult: mum, location: home, material_set: boots}], cover: all}
"""


def small_case(folder: Path, more: str = "") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "case.yaml").write_text(TEXT + more, encoding="utf-8")
    return folder


def silent(_: str) -> None:
    """No progress."""
