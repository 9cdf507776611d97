"""Which week the page offers to plan."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from tests.fixtures.local_server import running
from tests.fixtures.starter_case import write_starter


@pytest.mark.parametrize(("day", "week"), [(1, 49), (3, 49), (4, 50), (6, 50)])
def test_the_running_week_as_long_as_enough_of_it_is_left(tmp_path: Path, day: int, week: int) -> None:
    """Tuesday 1 to Thursday 3 December; from Friday on the next. Nobody was told of a week."""
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        local.site.now = datetime(2026, 12, day, 9)
        assert f"Plan week {week}" in local.get("/plan").text


def test_a_full_stop_of_the_case_is_the_only_one(tmp_path: Path) -> None:
    write_starter(tmp_path / "case")
    file = tmp_path / "case" / "case.yaml"
    text = file.read_text("utf-8")
    with running(tmp_path / "case") as local:
        for ending in ("", "."):
            file.write_text(
                text.replace("without being reminded", f"without being reminded{ending}"), "utf-8"
            )
            page = local.get("/record/row?target=asks-for-help").text
            assert "without being reminded.</bdi>" in page
            assert "without being reminded.</bdi>." not in page
