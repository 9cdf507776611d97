"""A sitting that was held after all: only its own rows are taken back, whatever else of that day was not run."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import UsageError
from genplan.keeping.store import read_kept
from genplan.workflow import RecordRequest
from genplan.workflow.planned_kinds import kept_plan
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

NIGHT = datetime(2026, 12, 4, 22)


@pytest.fixture(scope="module")
def kept_case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = small_case(tmp_path_factory.mktemp("kept") / "case")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


def twice_a_day(case: Path, kind: str) -> tuple[str, str, date, tuple[str, ...]]:
    """The kept week with one thing alone, planned twice on a day: both ids, the day, and the values."""
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept is not None
    first = min(kept.sittings, key=lambda s: s.start)
    file = kept_plan(workflow.open_case(case, SUNDAY), WEEK)
    header, *lines = file.read_text("utf-8").splitlines()
    line = next(x for x in lines if first.id in x).replace(",new,", f",{kind},")
    later = line.replace(first.id, f"{first.id[:-3]}d90").replace(f"T{first.start:%H}:", "T19:")
    later = later.replace(f"T{first.end:%H}:", "T19:")
    assert later != line
    file.write_text("\n".join((header, line, later)) + "\n", "utf-8")
    return first.id, f"{first.id[:-3]}d90", first.start.date(), first.probes[0].combination


def not_run(case: Path, day: date, values: tuple[str, ...]) -> None:
    """Written by hand, without a time."""
    adult, location, material_set = values
    entry = RecordRequest("puts-on", adult, location, material_set, kind="not run", date=day, note="Gran ill")
    workflow.record(case, entry, NIGHT)


def taken_back(case: Path) -> list[int]:
    return [r.line for r in workflow.open_case(case, NIGHT).log.taken_back]


def test_a_row_without_a_time_is_of_one_lesson_alone(case: Path) -> None:
    early, late, day, values = twice_a_day(case, "teaching")
    not_run(case, day, values)
    workflow.fell_through(case, late, "ill", NIGHT)
    workflow.held_after_all(case, late, NIGHT)
    assert taken_back(case) == [3]
    with pytest.raises(UsageError, match="It is not written down"):
        workflow.held_after_all(case, late, NIGHT)
    workflow.held_after_all(case, early, NIGHT)
    assert sorted(taken_back(case)) == [2, 3]


def test_a_row_without_a_time_is_of_one_probe_alone(case: Path) -> None:
    early, late, day, values = twice_a_day(case, "new")
    not_run(case, day, values)
    with pytest.raises(UsageError, match="It is not written down"):
        workflow.held_after_all(case, late, NIGHT)
    assert taken_back(case) == []
    workflow.held_after_all(case, early, NIGHT)
    assert taken_back(case) == [2]


def test_what_was_run_without_a_time_is_not_taken_back(case: Path) -> None:
    early, _late, day, values = twice_a_day(case, "teaching")
    file = kept_plan(workflow.open_case(case, SUNDAY), WEEK)
    file.write_text("\n".join(file.read_text("utf-8").splitlines()[:2]) + "\n", "utf-8")
    not_run(case, day, values)
    adult, location, material_set = values
    workflow.record(
        case, RecordRequest("puts-on", adult, location, material_set, kind="teaching", date=day), NIGHT
    )
    with pytest.raises(UsageError, match="It is not written down"):
        workflow.held_after_all(case, early, NIGHT)
    assert taken_back(case) == []
