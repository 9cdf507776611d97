"""A skill of which nothing is possible only since its thing stays where it is: the warning says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.findings import Severity

CASE = """\
format: 1
timezone: Europe/Dublin
policy: family
learners:
  anna: {name: Anna, born: 2019-06, free: {mon-fri: "15:00-18:00"}, allergens: [egg]}
adults:
  mum: {name: Mum, free: {mon-fri: "15:00-18:00"}, locations: [home]}
  aide: {name: Aide, free: {mon-fri: "15:00-18:00"}, locations: [therapy]}
locations:
  home: {name: Home}
  therapy: {name: Therapy room}
material_sets:
  farm: {name: Farm set, SET}
targets:
  sorts:
    {learner: anna, name: Sorts, correct_when: Each in its stall, material_sets: [farm], mastered_on: 2026-09-01,
     TARGET}
"""


def hints(folder: Path, thing: str, target: str) -> list[str]:
    text = CASE.replace("SET}", f"{thing}}}", 1).replace("TARGET", target)
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    findings = load(folder).findings
    assert [f for f in findings if f.severity is Severity.ERROR] == []
    return [f.hint for f in findings if f.found.startswith("no combination of an adult")]


STAYS = "'Farm set' stays in 'Therapy room', where "
OUT = ": take 'kept_at' out if it can be carried"


@pytest.mark.parametrize(
    ("thing", "target", "hint"),
    [
        ("kept_at: [therapy]", "adults: [mum]", f"{STAYS}no adult of this skill goes{OUT}"),
        ("kept_at: [therapy]", "locations: [home]", f"{STAYS}this skill is not tried{OUT}"),
        ("kept_at: [therapy]", "never: [{adult: aide}]", f"{STAYS}nothing of this skill is possible{OUT}"),
        ("kept_at: [therapy], allergens: [egg]", "adults: [mum]", "compare who works with whom"),
        ("allergens: [egg]", "adults: [mum]", "compare who works with whom"),
        ("kept_at: [therapy]", "adults: [mum], never: [{location: home}]", "compare who works with whom"),
    ],
)
def test_what_stays_where_it_is_is_named(tmp_path: Path, thing: str, target: str, hint: str) -> None:
    (said,) = hints(tmp_path, thing, target)
    assert said.startswith(hint)
    assert ("kept_at" in said) is hint.endswith(OUT)


def test_once_it_may_be_carried_nothing_is_said(tmp_path: Path) -> None:
    assert hints(tmp_path, "kept_at: [therapy, home]", "adults: [mum]") == []
