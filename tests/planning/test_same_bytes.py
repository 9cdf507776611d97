"""The same input gives the same bytes: on another run, with another hash seed, with lines in another order."""

from __future__ import annotations

from pathlib import Path

import yaml

from tests.fixtures.planned_files import files_of
from tests.fixtures.random_cases import FAMILY, random_case, random_log, write_case


def test_hash_seeds_and_the_order_of_lines_decide_nothing(tmp_path: Path) -> None:
    case = random_case(3, **{**FAMILY, "targets": 2, "sets": 2, "learners": 2})
    folder = write_case(case, tmp_path / "case", random_log(case, 3))
    first = files_of(folder, tmp_path / "a", "0")
    assert {"plan.csv", "plan.json", "week.html", "sheets.html", "calendars/all.ics"} <= first.keys()
    for file in sorted(folder.glob("*.yaml")):
        turned = {
            key: dict(reversed(value.items())) if isinstance(value, dict) else value
            for key, value in reversed(yaml.safe_load(file.read_text("utf-8")).items())
        }
        file.write_text(yaml.safe_dump(turned, sort_keys=False, allow_unicode=True), "utf-8")
    assert files_of(folder, tmp_path / "b", "1") == first
