"""The starter case changed as its first remark asks: every thing in it renamed, taken out or changed, in an editor and
through the program, before a result and after it. results.csv never stands in the way without a word."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import edit
from genplan.casefile.tree import Leaf
from genplan.errors import CaseError
from genplan.findings import Finding, Severity

NOW = datetime(2026, 11, 26, 12)
THINGS = [
    ("learners", "robin"),
    *(("adults", id_) for id_ in ("mum", "dad", "aunt")),
    *(("locations", id_) for id_ in ("home", "aunts-house", "playground")),
    *(("material_sets", id_) for id_ in ("two-cups", "lunch-box", "sand-toys")),
    *(("targets", id_) for id_ in ("asks-for-help", "waits-for-turn")),
]
each_thing = pytest.mark.parametrize("thing", THINGS, ids=".".join)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    workflow.new(tmp_path / "my-case")
    return tmp_path / "my-case"


def record(case: Path, target: str, **extra: str) -> None:
    values = {"adult": "mum", "location": "home", "material_set": "two-cups"}
    workflow.record(case, workflow.RecordRequest(target, **values, extra=extra, correct=4), NOW)


def recorded(case: Path) -> Path:
    record(case, "asks-for-help")
    record(case, "waits-for-turn", company="alone")
    return case


def text_of(case: Path) -> str:
    return (case / "case.yaml").read_text(encoding="utf-8")


def rewrite(case: Path, text: str) -> None:
    (case / "case.yaml").write_text(text, encoding="utf-8")


def block(text: str, section: str, id_: str) -> str:
    """The lines of one thing, as somebody would mark them in an editor."""
    inside = text[text.index(f"\n{section}:\n") :]
    found = re.search(rf"^  {id_}:.*\n(?:    .*\n|\n(?=    ))*", inside, re.MULTILINE)
    assert found
    return found[0]


def errors(case: Path) -> list[str]:
    return [f.sentence() for f in workflow.check(case, NOW) if f.severity is Severity.ERROR]


def against_taking_out(case: Path, thing: tuple[str, str]) -> tuple[Finding, ...]:
    """Takes it out through the program; what stands against it, if it is refused."""
    try:
        workflow.put_thing(case, thing, None, edit.thing(case, thing).digest, NOW)
    except CaseError as problem:
        return problem.findings
    return ()


def test_the_second_skill_changed_in_an_editor(case: Path) -> None:
    """What the first user did: another skill in its place, without the dimension that results.csv has a column for."""
    text = text_of(case)
    fresh = block(text, "targets", "waits-for-turn").replace("waits-for-turn", "washes-hands")
    fresh = fresh.replace("    also_vary: {company: [alone, with another child]}\n", "")
    rewrite(case, text.replace(block(text, "targets", "waits-for-turn"), fresh))
    assert workflow.check(case, NOW) == ()
    record(case, "washes-hands")
    assert workflow.check(case, NOW) == ()


@each_thing
def test_taken_out_in_an_editor(case: Path, thing: tuple[str, str]) -> None:
    text = text_of(case)
    rewrite(case, text.replace(block(text, *thing), ""))
    assert [s for s in errors(case) if s.startswith("results.csv")] == []


@each_thing
def test_renamed_in_an_editor_everywhere(case: Path, thing: tuple[str, str]) -> None:
    rewrite(case, re.sub(rf"(?<![\w-]){thing[1]}(?![\w-])", f"{thing[1]}-2", text_of(case)))
    assert errors(case) == []


@each_thing
def test_taken_out_by_the_program_or_refused_with_a_sentence(case: Path, thing: tuple[str, str]) -> None:
    before = text_of(case)
    against = against_taking_out(case, thing)
    assert (text_of(case) == before) == bool(against)
    assert {f.file for f in against} <= {"case.yaml"}
    assert errors(case) == []


NEEDED_BY_ROWS = [
    ("learners", "robin"),
    ("adults", "mum"),
    ("locations", "home"),
    ("material_sets", "two-cups"),
    ("targets", "asks-for-help"),
    ("targets", "waits-for-turn"),
]


@each_thing
def test_taken_out_after_a_result(case: Path, thing: tuple[str, str]) -> None:
    recorded(case)
    before = text_of(case), (case / "results.csv").read_bytes()
    against = against_taking_out(case, thing)
    assert ((text_of(case), (case / "results.csv").read_bytes()) == before) == bool(against)
    assert against or thing not in NEEDED_BY_ROWS
    assert errors(case) == []


def test_a_skill_with_results_is_not_taken_out(case: Path) -> None:
    thing = ("targets", "waits-for-turn")
    with pytest.raises(CaseError, match="state: paused") as caught:
        workflow.put_thing(recorded(case), thing, None, edit.thing(case, thing).digest, NOW)
    assert [(f.file, f.line, f.key) for f in caught.value.findings] == [("results.csv", 3, "target")]


def test_an_error_that_was_there_before_holds_up_no_edit(case: Path) -> None:
    recorded(case)
    with (case / "results.csv").open("a", encoding="utf-8") as file:
        file.write("03/04/2026,,asks-for-help,probe,mum,home,two-cups,,5,5,,,,\n")
    assert len(errors(case)) == 1
    thing = edit.thing(case, ("adults", "aunt"))
    after = workflow.put_thing(
        case, thing.path, {**thing.node, "name": Leaf("Bea", False)}, thing.digest, NOW
    )  # type: ignore[dict-item]
    assert after.case is not None


def test_a_dimension_that_rows_have_values_of(case: Path) -> None:
    """Given up it leaves a warning, and rows count by what is left; taken up it would leave rows without a value."""
    recorded(case)
    there = edit.thing(case, ("targets", "waits-for-turn"))
    assert isinstance(there.node, dict)
    without = {k: v for k, v in there.node.items() if k != "also_vary"}
    workflow.put_thing(case, there.path, without, there.digest, NOW)
    (told,) = workflow.check(case, NOW)
    assert (told.key, told.severity) == ("company", Severity.WARNING)
    other = edit.thing(case, ("targets", "asks-for-help"))
    assert isinstance(other.node, dict)
    more = {**other.node, "also_vary": {"company": [Leaf("alone", True), Leaf("with others", True)]}}
    with pytest.raises(CaseError, match=r"results\.csv:2: company: found an empty cell"):
        workflow.put_thing(case, other.path, more, other.digest, NOW)


def test_a_row_that_cannot_be_read_holds_up_only_what_needs_it(case: Path, tmp_path: Path) -> None:
    recorded(case)
    week = workflow.keep(case, None, None, NOW, lambda _: None).week
    with (case / "results.csv").open("a", encoding="utf-8") as file:
        file.write("03/04/2026,,asks-for-help,probe,mum,home,two-cups,,5,5,,,,\n")
    with pytest.raises(CaseError, match="which may be 2026-03-04 or 2026-04-03"):
        workflow.matrix(case, NOW)
    workflow.change(case, workflow.ChangeRequest("away", "mum", datetime(2026, 12, 1)), NOW)
    workflow.share_part(case, "mum", tmp_path / "for-mum", NOW)
    assert (tmp_path / "for-mum" / str(week)).is_dir()
    assert "results.csv" not in workflow.share_copy(case, tmp_path / "copy", NOW, lambda _: None).files
