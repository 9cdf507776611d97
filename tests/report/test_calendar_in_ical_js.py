"""ical.js, which several calendars of the web and the desktop are built on, reads the same as was planned.

It reads the VTIMEZONE of the file itself, so that a wrong one shows here and not only at somebody's home.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from genplan.report.calendars import calendar_files
from tests.fixtures.places import READERS
from tests.fixtures.tiny import at, sitting, tiny_case, tiny_plan

ZONES = (
    *("Europe/Dublin", "America/New_York", "America/Sao_Paulo", "Africa/Cairo", "Africa/Casablanca"),
    *("Australia/Lord_Howe", "Pacific/Chatham"),
)
MISSING = not (shutil.which("node") and (READERS / "node_modules" / "ical.js").is_dir())

pytestmark = pytest.mark.skipif(MISSING, reason="needs node, and 'npm ci' run in tests/readers")


def read(files: list[Path], walls: list[datetime]) -> list[dict[str, Any]]:
    done = subprocess.run(
        ["node", "read.mjs", *map(str, files)],
        cwd=READERS,
        input=json.dumps([w.isoformat() for w in walls]),
        capture_output=True,
        text=True,
        check=True,
    )
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def offset(wall: datetime, zone: str, fold: int = 0) -> float:
    minutes = wall.replace(tzinfo=ZoneInfo(zone), fold=fold).utcoffset()
    assert minutes is not None
    return minutes / timedelta(minutes=1)


def test_times_offsets_and_texts_are_read_as_they_were_planned(tmp_path: Path, nightly: bool) -> None:
    # every 7 h, by day 35, so that all hours of the day come, over the year before and the two after the week
    step = 7 if nightly else 35
    walls = [datetime(2026, 1, 1) + timedelta(hours=step * n) for n in range(3 * 365 * 24 // step)]
    files = []
    for number, zone in enumerate(ZONES):
        here = ZoneInfo(zone)
        plan = tiny_plan(sitting(start=at(1, "15:30", here)), zone=here)
        files.append(tmp_path / f"{number}.ics")
        files[-1].write_bytes(calendar_files(tiny_case(here), plan)["calendars/all.ics"])
    for zone, result in zip(ZONES, read(files, walls), strict=True):
        plain = [(w, o) for w, o in zip(walls, result["offsets"], strict=True) if is_plain(w, zone)]
        assert [w for w, o in plain if o != offset(w, zone)] == [], zone
        (event,) = result["events"]
        start = at(1, "15:30", ZoneInfo(zone)).astimezone(UTC)
        assert datetime.fromisoformat(event["start"]) == start
        assert datetime.fromisoformat(event["end"]) == start + timedelta(minutes=20)
        assert event["summary"] == "W. with Grandad: 1 probe"
        assert "- Counts as correct: Starts and closes the zip" in event["description"].splitlines()[6]


def is_plain(wall: datetime, zone: str) -> bool:
    """Neither skipped nor repeated by the clocks: there readers may differ."""
    return offset(wall, zone, 0) == offset(wall, zone, 1)
