"""The weeks around a change of clocks in seven zones, by readers that were not ours; reminders.

The offsets are the IANA time zone database's for 2026 (release 2026f, read with zoneinfo and bisected to the second);
both hemispheres, a half-hour change (Lord Howe) and one at midnight (Cairo) are among them.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events
import vobject

from genplan.case import Policy, Week
from genplan.keeping.revision import revise
from genplan.report.calendars import calendar_files
from tests.fixtures.places import READERS
from tests.fixtures.tiny import sitting, tiny_case, tiny_plan

NO_NODE = not (shutil.which("node") and (READERS / "node_modules" / "ical.js").is_dir())

CHANGES = (
    ("Europe/Dublin", date(2026, 3, 29), "+00:00", "+01:00"),
    ("Europe/Dublin", date(2026, 10, 25), "+01:00", "+00:00"),
    ("America/New_York", date(2026, 3, 8), "-05:00", "-04:00"),
    ("America/New_York", date(2026, 11, 1), "-04:00", "-05:00"),
    ("Australia/Sydney", date(2026, 4, 5), "+11:00", "+10:00"),
    ("Australia/Sydney", date(2026, 10, 4), "+10:00", "+11:00"),
    ("Australia/Lord_Howe", date(2026, 4, 5), "+11:00", "+10:30"),
    ("Australia/Lord_Howe", date(2026, 10, 4), "+10:30", "+11:00"),
    ("Pacific/Chatham", date(2026, 4, 5), "+13:45", "+12:45"),
    ("Pacific/Chatham", date(2026, 9, 27), "+12:45", "+13:45"),
    ("Europe/Paris", date(2026, 3, 29), "+01:00", "+02:00"),
    ("Africa/Cairo", date(2026, 4, 24), "+02:00", "+03:00"),
)
"""Zone, the day of the change, the offset at noon of the day before and of the day itself."""


def noons(change: tuple[str, date, str, str]) -> list[datetime]:
    """The UTC instants of noon of the day before and of the day of the change."""
    _, day, before, after = change
    pairs = ((day - timedelta(days=1), before), (day, after))
    return [datetime.fromisoformat(f"{d}T12:00:00{offset}").astimezone(UTC) for d, offset in pairs]


def calendar(change: tuple[str, date, str, str]) -> bytes:
    """A calendar with a sitting at noon of both days."""
    zone, day = ZoneInfo(change[0]), change[1]
    starts = [datetime(d.year, d.month, d.day, 12, tzinfo=zone) for d in (day - timedelta(days=1), day)]
    plan = tiny_plan(*(sitting(f"s{i}", start=s) for i, s in enumerate(starts)), zone=zone, week=Week.of(day))
    return calendar_files(tiny_case(zone), plan)["calendars/all.ics"]


@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_a_reader_of_recurrences_and_vobject_find_the_instants(change: tuple[str, date, str, str]) -> None:
    data = calendar(change)
    day = change[1]
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(data)).between(
        day - timedelta(days=3), day + timedelta(days=3)
    )
    assert sorted(e["DTSTART"].dt.astimezone(UTC) for e in found) == noons(change)
    read = vobject.readOne(data.decode()).contents["vevent"]
    assert sorted(e.dtstart.value.astimezone(UTC) for e in read) == noons(change)


@pytest.mark.skipif(NO_NODE, reason="needs node, and 'npm ci' run in tests/readers")
def test_ical_js_finds_the_instants(tmp_path: Path) -> None:
    files = []
    for number, change in enumerate(CHANGES):
        files.append(tmp_path / f"{number}.ics")
        files[-1].write_bytes(calendar(change))
    done = subprocess.run(
        ["node", "read.mjs", *map(str, files)],
        cwd=READERS,
        input="[]",
        capture_output=True,
        text=True,
        check=True,
    )
    for change, result in zip(CHANGES, json.loads(done.stdout), strict=True):
        assert sorted(datetime.fromisoformat(e["start"]) for e in result["events"]) == noons(change), change


def test_reminders_are_written_if_the_policy_asks_and_for_people_alone() -> None:
    """RFC 5545, 3.6.6: a VALARM with ACTION DISPLAY has TRIGGER and DESCRIPTION."""
    without = calendar_files(tiny_case(), tiny_plan())
    assert not [name for name, data in without.items() if b"VALARM" in data]
    case = replace(tiny_case(), policy=Policy(alarm_minutes=90))
    files = calendar_files(case, tiny_plan())
    (event,) = vobject.readOne(files["calendars/adult-grandad.ics"].decode()).contents["vevent"]
    (alarm,) = event.contents["valarm"]
    assert alarm.action.value == "DISPLAY"
    assert alarm.trigger.value == -timedelta(minutes=90)
    assert alarm.description.value == event.summary.value
    assert b"VALARM" not in files["calendars/location-park.ics"]


def test_a_cancelled_event_has_no_reminder() -> None:
    """Nobody is to be called to a sitting that is not held; the other keeps its reminder."""
    case, plan = replace(tiny_case(), policy=Policy(alarm_minutes=90)), tiny_plan()
    kept = revise((), plan.sittings, plan.now, settled=True)
    gone, *held = kept
    told = revise(kept, [t.sitting for t in held], plan.now, settled=True)
    assert [t.cancelled for t in told].count(True) == 1
    files = calendar_files(case, plan, told)
    events = vobject.readOne(files["calendars/all.ics"].decode()).contents["vevent"]
    alarms = {e.status.value: "valarm" in e.contents for e in events}
    assert alarms == {"CANCELLED": False, "CONFIRMED": True}
    adult = files[f"calendars/adult-{gone.sitting.adult}.ics"]
    assert b"STATUS:CANCELLED" in adult
    assert b"VALARM" not in adult
