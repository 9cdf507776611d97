"""Allergens that `defaults` say of all: a copy without names keeps the child from the same things, and no word of
them can be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from tests.fixtures.small_case import SUNDAY, silent, small_case


def not_possible(folder: Path) -> list[bool]:
    return [row.obstacle is not None for row in workflow.matrix(folder, SUNDAY).rows]


@pytest.mark.parametrize(
    ("child", "things"),
    [
        ("milk, kiwi", "egg, kiwi"),
        ("gluten", "wheat"),
        ("wheat", "gluten"),
        ("nuts", "peanut"),
        ("milk", "egg"),
        ("milk", "milk"),
    ],
)
def test_they_are_neither_lost_nor_readable(tmp_path: Path, child: str, things: str) -> None:
    case, copy = small_case(tmp_path / "case"), tmp_path / "copy"
    said = f"defaults:\n  learners: {{allergens: [{child}]}}\n  material_sets: {{allergens: [{things}]}}\nlearners:\n"
    if "kiwi" in child:
        said = f"other_allergens: [kiwi]\n{said}"
    text = (case / "case.yaml").read_text("utf-8").replace("learners:\n", said, 1)
    (case / "case.yaml").write_text(text, encoding="utf-8")
    workflow.share_copy(case, copy, SUNDAY, silent)
    assert not_possible(copy) == not_possible(case)
    written = "".join(p.read_text("utf-8") for p in (copy / "case.yaml", copy / "results.csv") if p.is_file())
    assert not [word for word in f"{child}, {things}".split(", ") if word in written]
