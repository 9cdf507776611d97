"""What people were told of the weeks before, as far as fairness looks back: read with the facts of a week."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import CaseError
from genplan.keeping.revision import revise
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek
from genplan.plan import Sitting
from genplan.workflow.facts_to_plan_by import facts_of
from tests.fixtures.planning_cases import NOW, WEEK, told_sitting
from tests.fixtures.small_case import SUNDAY, TEXT, small_case


def of_an_earlier_week(case_folder: Path, weeks: int) -> tuple[Sitting, KeptWeek]:
    """One sitting, so many weeks before, as people were told of it; kept in the folder."""
    case = workflow.open_case(case_folder, SUNDAY).case
    now = NOW - timedelta(weeks=weeks)
    sitting = told_sitting(case, 0, 16, ("puts-on", ("mum", "home", "hats")))
    earlier = replace(
        sitting, start=sitting.start - timedelta(weeks=weeks), end=sitting.end - timedelta(weeks=weeks)
    )
    week = type(WEEK).of(earlier.start.date())
    kept = KeptWeek(week, now, revise((), (earlier,), now, settled=True))
    folder = case_folder / "weeks" / str(week)
    folder.mkdir(parents=True)
    (folder / "told.json").write_bytes(kept_bytes(kept, case))
    return earlier, kept


def fair_over(folder: Path, weeks: int) -> Path:
    small_case(folder)
    text = TEXT.replace(
        "probes_per_target_per_week: 5", f"probes_per_target_per_week: 5, fair_over_weeks: {weeks}"
    )
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(("weeks", "read"), [(1, False), (2, False), (3, True)])
def test_so_many_weeks_are_read(tmp_path: Path, weeks: int, read: bool) -> None:
    folder = fair_over(tmp_path / "case", weeks)
    sitting, _ = of_an_earlier_week(folder, 2)
    lately = facts_of(workflow.open_case(folder, SUNDAY), WEEK).lately
    assert [one.sitting for one in lately] == ([sitting] if read else [])


def test_a_week_that_this_run_planned_comes_before_what_was_kept(tmp_path: Path) -> None:
    folder = fair_over(tmp_path / "case", 2)
    _, kept = of_an_earlier_week(folder, 1)
    opened = workflow.open_case(folder, SUNDAY)
    assert facts_of(opened, WEEK, {kept.week: replace(kept, told=())}).lately == ()


def test_a_kept_week_that_cannot_be_read_is_said(tmp_path: Path) -> None:
    folder = fair_over(tmp_path / "case", 2)
    of_an_earlier_week(folder, 1)
    (folder / "weeks" / "2026-W48" / "told.json").write_text("{", "utf-8")
    with pytest.raises(CaseError, match=r"weeks/2026-W48/told.json:1: text that breaks off"):
        facts_of(workflow.open_case(folder, SUNDAY), WEEK)
