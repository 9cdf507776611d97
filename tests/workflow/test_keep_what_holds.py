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
    with pytest.raises(UsageError, match=r"not inside the free hours of adult mum.*Plan the week again"):
        workflow.keep(case, None, out, NOW, lambda _: None)
    assert not list(case.glob("weeks/*/told.json"))
    (case / "changes.yaml").unlink()
    assert workflow.keep(case, None, out, NOW, lambda _: None).first
