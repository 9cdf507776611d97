"""What is told where a name, or the beginning of an id, stands in the place of an id of the case."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.evidence.log import Log
from genplan.evidence.results import read_results
from tests.fixtures.casefile_cases import write
from tests.fixtures.random_cases import NOW

CASE = """\
format: 1
timezone: Europe/Dublin
learners:
  ada: {free: {daily: "15:00-17:00"}}
  ben: {free: {daily: "15:00-17:00"}}
adults:
  greta-holm: {name: Greta Holm, learners: all, free: {daily: "15:00-17:00"}}
  bruno: {name: Bruno Sael, learners: all, free: {daily: "15:00-17:00"}}
groups: {staff: [greta-holm, bruno]}
locations: {home: {}}
material_sets: {cups: {}}
skills: {pours: {name: Pours a drink, correct_when: No spill}, waits: {name: Waits, correct_when: No step}}
targets:
  pours-ada: {learner: ada, like: pours}
  pours-ben: {learner: ben, like: pours}
  waits-ben: {learner: ben, like: waits}
"""


def hints(folder: Path, changes: str = "", case: str = CASE) -> list[str]:
    files = {"case": case} | ({"changes": f"changes:\n  - {changes}\n"} if changes else {})
    return [f.hint for f in load(write(folder, **files)).findings if f.severity.value == "error"]


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ("{away: Greta Hulm, from: 2026-12-01}", "did you mean 'greta-holm'?"),
        ("{away: Bruno Sael, from: 2026-12-01}", "did you mean 'bruno'?"),
        ("{apart: [pours, Waits]}", "write the ids of both, such as [pours-ben, waits-ben] for ben"),
        (
            "{apart: [Pours a drink, 2026-W49-tue-bruno-ben]}",
            "for which child? There is 'pours-ada' for ada, 'pours-ben' for ben",
        ),
    ],
)
def test_the_hint_of_a_change_is_an_id_of_the_case(tmp_path: Path, change: str, hint: str) -> None:
    assert hint in hints(tmp_path, change)


def test_a_group_is_near_where_one_may_stand_and_told_of_where_none_may(tmp_path: Path) -> None:
    def with_(key: str) -> str:
        return CASE.replace("ben, like: waits}", f"ben, like: waits, {key}}}")

    assert hints(tmp_path, case=with_("adults: [staf]")) == ["did you mean 'staff'?"]
    said = "write one for each of it: adult: greta-holm; adult: bruno"
    assert hints(tmp_path, case=with_("never: [{adult: staff}]")) == [said]


@pytest.mark.parametrize("written", ["Pours a drink", "pours"])
def test_a_result_of_a_skill_that_two_children_have_asks_for_which(tmp_path: Path, written: str) -> None:
    case = load(write(tmp_path, case=CASE)).case
    assert case
    heads = "date,target,kind,adult,location,material_set,trials,correct"
    row = f"2026-11-20,{written},probe,bruno,home,cups,5,4"
    (tmp_path / "results.csv").write_text(f"{heads}\n{row}\n", "utf-8")
    log, findings = read_results(tmp_path, case, NOW)
    assert (log, [f.hint for f in findings]) == (
        Log.of(()),
        ["for which child? There is 'pours-ada' for ada, 'pours-ben' for ben"],
    )


@pytest.mark.parametrize(
    "at", ["skills: {pours: {", "defaults: {targets: {", "defaults: {adults: {limits: {"]
)
def test_a_key_that_is_unknown_is_told_where_it_stands_and_not_of_each_thing(tmp_path: Path, at: str) -> None:
    added = f"{CASE}{at}trails: 3{'}' * at.count('{')}\n"
    case = CASE.replace(at, f"{at}trails: 3, ") if at in CASE else added
    found = [f.found for f in load(write(tmp_path, case=case)).findings if f.severity.value == "error"]
    assert found == ["the unknown key 'trails'"]
