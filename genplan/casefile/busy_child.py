"""The child that reads busy calendars: `python -m genplan.casefile.busy_child ZONE WEEK UNTIL FOLDER`.

It reads a JSON list of file names, each with how the file is to be read, from standard input and writes a line of JSON
for each, in their order.
"""

from __future__ import annotations

import json
import sys
from dataclasses import astuple
from pathlib import Path
from zoneinfo import ZoneInfo

from genplan.case import Week
from genplan.casefile.apart import HINT
from genplan.casefile.busy import busy_in
from genplan.casefile.busy_reading import BusyReading, reading_from
from genplan.casefile.calendar_limits import CalendarRefused
from genplan.fence import as_the_program_speaks, limit_memory, limit_work
from genplan.findings import Finding
from genplan.language import _, said


def main(zone: str, week: str, until: str, folder: str) -> None:
    limit_memory()
    for name, reading in json.loads(sys.stdin.read()):
        limit_work()
        weeks = Week.parse(week), Week.parse(until)
        print(
            json.dumps(_read(Path(folder), name, reading_from(reading), ZoneInfo(zone), *weeks)), flush=True
        )


def _read(
    folder: Path, name: str, reading: BusyReading, zone: ZoneInfo, week: Week, until: Week
) -> dict[str, object]:
    findings: list[Finding] = []
    refused = None
    busy = []
    try:
        found = busy_in((folder / name).read_bytes(), name, zone, week, findings, until, reading)
        busy = [[a.start.isoformat(), a.end.isoformat(), a.place] for a in found]
    except CalendarRefused as problem:
        refused = [problem.found, problem.expected, problem.hint, problem.line]
    except (MemoryError, RecursionError):
        refused = [_("a calendar that takes too much memory"), _("a smaller calendar"), said(HINT), 0]
    return {"busy": busy, "findings": [astuple(f) for f in findings], "refused": refused}


if __name__ == "__main__":
    with as_the_program_speaks():
        main(*sys.argv[1:])
