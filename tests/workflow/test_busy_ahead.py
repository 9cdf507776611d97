"""A calendar that is full next week takes the later chance of a wish away: the real reader and the real planner."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

BUSY = (
    "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//\nBEGIN:VEVENT\nUID:1\nDTSTAMP:20260101T000000Z\n"
    "DTSTART;VALUE=DATE:{}\nDTEND;VALUE=DATE:{}\nEND:VEVENT\nEND:VCALENDAR\n"
)


@pytest.mark.parametrize(
    ("first", "last", "dated"),
    [("20261207", "20261212", 1), ("20261207", "20261211", 0), ("20261214", "20261219", 0)],
)
def test_a_full_week_to_come_makes_this_one_the_last_chance(
    tmp_path: Path, first: str, last: str, dated: int
) -> None:
    """Gran with the hats in the yard is wished by Friday of next week."""
    case = small_case(tmp_path / "case")
    text = (case / "case.yaml").read_text()
    wish = "first: [{adult: gran, location: yard, material_set: hats, by: 2026-12-11}]"
    text = text.replace("cover: all}", f"cover: all, {wish}}}")
    text = text.replace("gran: {name: Gran,", "gran: {name: Gran, busy: busy/gran.ics,")
    (case / "case.yaml").write_text(text)
    (case / "busy").mkdir()
    (case / "busy" / "gran.ics").write_text(BUSY.format(first, last))
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    assert {o.name: o.value for o in plan.objectives}["dated"] == dated
