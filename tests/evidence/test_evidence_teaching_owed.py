"""Teaching that cannot come because nobody may teach, and teaching that was run and does not count, are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.findings import Severity
from genplan.plan import NoteKind
from tests.fixtures.small_case import SUNDAY, silent, small_case

HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
FAILED = "2026-11-20,,puts-on,probe,gran,yard,hats,5,1,,,,\n"


def told(
    folder: Path, *rows: str, policy: str = "plan_teaching: yes", adult: str = "", target: str = ""
) -> list[str]:
    """What check says of the small case with these rows, gran with `adult`, and the target with `target`."""
    case = small_case(folder)
    text = (case / "case.yaml").read_text("utf-8")
    text = text.replace(", days: mon-fri", f", {policy}, days: mon-fri")
    text = text.replace('"15:00-17:00"}}', f'"15:00-17:00"}}{adult}}}').replace(
        "cover: all", f"cover: all{target}"
    )
    (case / "case.yaml").write_text(text, "utf-8")
    (case / "results.csv").write_text(HEAD + "".join(rows), "utf-8")
    found = workflow.check(case, SUNDAY)
    assert all(f.severity is Severity.WARNING for f in found)
    assert set(workflow.open_case(case, SUNDAY).findings) == set(found)
    return [f.sentence() for f in found]


NOT_PLANNED = (
    "case.yaml:3: policy: 1 combination that was not met waits for teaching, and no week of this case holds teaching."
    " Write 'policy: caseload', 'policy: family' or, in a policy of your own, 'plan_teaching: yes'; or teach it beside"
    " the plan and write it down."
)


def test_where_no_week_holds_the_teaching_that_is_owed_it_is_said_what_would_let_it(tmp_path: Path) -> None:
    assert told(tmp_path / "off", FAILED, policy="rest_minutes: 30") == [NOT_PLANNED]
    assert told(tmp_path / "taught", policy="rest_minutes: 30") == []
    decided = told(tmp_path / "no", FAILED, policy="plan_teaching: no")
    assert decided == []
    for name, count in (("off", 1), ("taught", 0), ("no", 0)):
        plan = workflow.plan(tmp_path / name, None, SUNDAY, None, silent).plan
        of = [note.of for note in plan.notes if note.kind is NoteKind.TEACHING_NOT_PLANNED]
        assert of == [1] * count, name


NOBODY = (
    "case.yaml:17: targets.puts-on: gran, yard, hats, not met and to be taught, and nobody may teach it there. Add"
    " 'puts-on' to the 'teaches' of an adult who works with lark and goes there."
)


def test_what_failed_and_nobody_may_teach_is_told_at_its_target(tmp_path: Path) -> None:
    nobody = ", teaches: []"
    # mum may teach it, and sits beside
    assert told(tmp_path / "beside", FAILED, adult=nobody) == []
    assert told(tmp_path / "she", FAILED) == []
    at_home = f"{nobody}, locations: [yard]"
    assert told(tmp_path / "mum", FAILED, adult=at_home) == []
    text = ", never: [{adult: mum, location: yard}]"
    assert told(tmp_path / "nobody", FAILED, adult=nobody, target=text) == [NOBODY]


@pytest.mark.parametrize(
    ("policy", "rows"),
    [
        ("plan_teaching: no", [FAILED]),
        ("plan_teaching: yes", []),
        ("plan_teaching: yes", [FAILED, "2026-11-21,,puts-on,teaching,gran,yard,hats,,,,,,\n"]),
        ("plan_teaching: yes", [FAILED, FAILED.replace("5,1", "5,5").replace("11-20", "11-21")]),
        # the fewest are taught elsewhere
        ("plan_teaching: yes, teach: fewest", [FAILED]),
    ],
)
def test_where_nothing_is_owed_there_it_is_not(tmp_path: Path, policy: str, rows: list[str]) -> None:
    never = ", never: [{adult: mum, location: yard}]"
    assert told(tmp_path / "case", *rows, policy=policy, adult=", teaches: []", target=never) == []


@pytest.mark.parametrize("more", [", hold_out: [{location: yard}]", ", teach: fewest"])
def test_what_is_taught_elsewhere_needs_one_who_may_teach_anything(tmp_path: Path, more: str) -> None:
    nobody = ", teaches: []"
    assert told(tmp_path / "some", FAILED, adult=nobody, target=more) == []
    case = small_case(tmp_path / "none")
    text = (case / "case.yaml").read_text("utf-8").replace("{name: Mum", "{name: Mum, teaches: []")
    text = text.replace("{name: Gran", "{name: Gran, teaches: []").replace("cover: all", f"cover: all{more}")
    (case / "case.yaml").write_text(text.replace(", days:", ", plan_teaching: yes, days:"), "utf-8")
    (case / "results.csv").write_text(HEAD + FAILED, "utf-8")
    assert [f.sentence() for f in workflow.check(case, SUNDAY)] == [NOBODY]


def test_several_are_one_warning(tmp_path: Path) -> None:
    other = FAILED.replace("hats", "boots")
    never = ", never: [{adult: mum, location: yard}]"
    (said,) = told(tmp_path / "case", FAILED, other, adult=", teaches: []", target=never)
    assert "gran, yard, boots (and 1 more), not met" in said


def test_teaching_without_trials_does_not_count_where_a_mark_is_asked_for_and_that_is_told(
    tmp_path: Path,
) -> None:
    before = "2026-11-19,,puts-on,teaching,gran,yard,hats,,,,,,\n"
    bare = "2026-11-21,,puts-on,teaching,gran,yard,hats,,,,,,\n"
    marked = ", taught_when: 4/5"
    assert told(tmp_path / "any", before, FAILED, bare) == []
    assert told(tmp_path / "marked", before, FAILED, bare, target=marked) == [
        "results.csv:4: trials: teaching without trials, which does not count: 'taught_when' of puts-on asks for 4/5."
        " Write down how many trials there were and how many of them were correct without help."
    ]
    # since then one counted, or it was met: nothing waits for that row
    good = "2026-11-22,,puts-on,teaching,gran,yard,hats,5,5,,,,\n"
    assert told(tmp_path / "paid", before, FAILED, bare, good, target=marked) == []
    # one below the mark says by itself why it does not count
    poor = "2026-11-22,,puts-on,teaching,gran,yard,hats,5,3,,,,\n"
    assert told(tmp_path / "poor", before, FAILED, poor, target=marked) == []


def test_teaching_in_what_is_held_out_is_told_and_counted(tmp_path: Path) -> None:
    taught = "2026-11-21,,puts-on,teaching,gran,yard,hats,5,5,,,,\n"
    assert told(tmp_path / "case", FAILED, taught, target=", hold_out: [{location: yard}]") == [
        "results.csv:3: kind: teaching in a combination that 'hold_out' of the target keeps for probes. It is counted"
        " all the same."
    ]
