"""What is told of a whole case: in the order of its lines, and once of all children."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from genplan import workflow
from tests.fixtures.small_case import SUNDAY, TEXT, small_case


def test_warnings_of_a_case_come_in_the_order_of_its_lines(tmp_path: Path) -> None:
    """Whatever looks for them: of a copy that has the same id, and of more sets wanted than there are."""
    text = TEXT.replace("format: 1\n", "format: 1\ncase_id: aaaabbbbcccc\n")
    text = text.replace("cover: all}", "cover: all,\n            generalised_when: {material_sets: 5}}")
    for name in ("case", "copy"):
        (small_case(tmp_path / name) / "case.yaml").write_text(text, encoding="utf-8")
    found = workflow.check(tmp_path / "case", SUNDAY)
    lines = [f.line for f in found if f.file == "case.yaml"]
    assert lines == sorted(lines)
    assert {f.key.split(".")[0] for f in found} >= {"case_id", "targets"}


def test_ids_that_tell_names_are_told_once_for_all_children(tmp_path: Path) -> None:
    more = '  wren: {name: Wren Example, alias: W., free: {mon-fri: "15:00-18:00"}}\nadults:'
    folder = small_case(tmp_path / "case")
    (folder / "case.yaml").write_text(TEXT.replace("adults:", more), encoding="utf-8")
    case = workflow.open_case(folder, datetime(2026, 11, 29, 12)).case
    (both,) = workflow.names_in_files(case, case.learners)
    assert "The names of 2 files, such as review-lark.html" in both
    assert "hold the ids 'lark' and 'wren'" in both
    (one,) = workflow.names_in_files(case, ["lark"])
    assert "The name of the file review-lark.html, and the tables, hold the id 'lark'" in one
