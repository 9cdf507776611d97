"""A calendar that is full next week takes the later chance of a wish away: the real reader and the real planner."""

from __future__ import annotations

from datetime import time
from pathlib import Path

import pytest

from genplan import workflow
from tests.fixtures.busy_calendars import calendar
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


def test_a_sitting_keeps_the_way_from_a_busy_event_at_another_place(tmp_path: Path) -> None:
    """Mum is at home until 16:45 each day of the week. The yard is half an hour from there, so she is there from 17:15
    on; at home from 16:45 on."""
    case = small_case(tmp_path / "case", "travel_minutes: {otherwise: 30}\n")
    text = (
        (case / "case.yaml").read_text().replace("mum: {name: Mum,", "mum: {name: Mum, busy: busy/mum.ics,")
    )
    # Gran is not there on these days
    (case / "case.yaml").write_text(text.replace('mon: "15:00-17:00", wed-fri', "sun"))
    (case / "busy").mkdir()
    daily = "DTSTART:20261130T153000\nDTEND:20261130T164500\nRRULE:FREQ=DAILY\nLOCATION:Home"
    (case / "busy" / "mum.ics").write_bytes(calendar(daily))
    sittings = workflow.plan(case, WEEK, SUNDAY, None, silent).plan.sittings
    first = {
        place: min(s.start.time() for s in sittings if s.location == place) for place in ("home", "yard")
    }
    assert first == {"home": time(16, 45), "yard": time(17, 15)}
