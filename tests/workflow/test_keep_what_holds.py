"""A plan is of the case as it was when it was made: what cannot be held any more is not told to anybody."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.casefile.starter import write_starter
from genplan.errors import UsageError
from genplan.workflow import ChangeRequest
from tests.fixtures.small_case import small_case

NOW = datetime(2026, 11, 29, 12)
WEEK = Week.parse("2026-W49")


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A starter case with the plan of a week beside it, in which mum has a sitting."""
    case, out = tmp_path_factory.mktemp("holds") / "case", tmp_path_factory.mktemp("holds") / "out"
    write_starter(case)
    found = workflow.plan(case, WEEK, NOW, out, lambda _: None)
    assert any(s.adult == "mum" for s in found.plan.sittings)
    return case, out


def test_a_plan_with_somebody_who_is_away_by_now_is_not_kept(planned: tuple[Path, Path]) -> None:
    case, out = planned
    gone = ChangeRequest("away", "mum", datetime(2026, 11, 30), datetime(2026, 12, 7), note="a cold")
    workflow.change(case, gone, NOW)
    with pytest.raises(
        UsageError, match=r" with Mum, [^:]*: Mum is not free then\..*Plan the week again"
    ) as refused:
        workflow.keep(case, None, out, NOW, lambda _: None)
    assert "2026-W49" not in str(refused.value)
    assert not list(case.glob("weeks/*/told.json"))
    (case / "changes.yaml").unlink()
    assert workflow.keep(case, None, out, NOW, lambda _: None).first


def test_a_thing_that_was_taken_from_a_skill_is_told_by_its_name(planned: tuple[Path, Path]) -> None:
    case, out = planned
    before = (case / "case.yaml").read_text("utf-8")
    after = before.replace("material_sets: [two-cups, lunch-box]", "material_sets: [two-cups]")
    after = after.replace("locations: 2, material_sets: 2}", "locations: 2, material_sets: 1}")
    (case / "case.yaml").write_text(after, "utf-8")
    with pytest.raises(UsageError) as refused:
        workflow.keep(case, None, out, NOW, lambda _: None)
    (case / "case.yaml").write_text(before, "utf-8")
    told = str(refused.value)
    assert "the case does not have 'Lunch box with a beaker' for 'Waits for a turn' any more." in told
    assert "since the case was changed after it was planned" in told
    assert not [word for word in ("2026-W49", "lunch-box", "waits-for-turn", "material_set") if word in told]


def test_a_plan_of_a_large_caseload_is_read_as_it_was_written(planned: tuple[Path, Path]) -> None:
    """That of sixty children was 22 MB."""
    case, out = planned
    file = out / "plan.json"
    data = file.read_bytes()
    file.write_bytes(data.replace(b"{", b"{" + b" " * 25_000_000, 1))
    kept = workflow.keep(case, None, out, NOW, lambda _: None)
    assert kept.folder.is_dir()
    file.write_bytes(data)


def test_what_a_child_is_kept_from_by_now_is_not_kept(tmp_path: Path) -> None:
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    workflow.plan(case, WEEK, NOW, out, lambda _: None)
    text = (case / "case.yaml").read_text("utf-8")
    allergic = text.replace("born:", "allergens: [egg], born:")
    (case / "case.yaml").write_text(allergic.replace("Three hats}", "Three hats, allergens: [egg]}"), "utf-8")
    with pytest.raises(UsageError, match=r"'Three hats' holds egg, which L\. must not meet"):
        workflow.keep(case, None, out, NOW, lambda _: None)
    assert not list(case.glob("weeks/*/told.json"))
    (case / "case.yaml").write_text(text, "utf-8")
    assert workflow.keep(case, None, out, NOW, lambda _: None).first


def test_a_thing_that_is_elsewhere_by_now_is_not_kept(tmp_path: Path) -> None:
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    workflow.plan(case, WEEK, NOW, out, lambda _: None)
    lost = ChangeRequest("missing", "hats", datetime(2026, 11, 30), datetime(2026, 12, 7))
    workflow.change(case, lost, NOW)
    with pytest.raises(UsageError, match="Three hats"):
        workflow.keep(case, None, out, NOW, lambda _: None)
