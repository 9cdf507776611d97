"""Reading busy calendars in a process of their own, behind the fence for files of others.

The child works through the files and answers each with a line. If it dies, the file it was at is the reason: that one
is refused, and a new child goes on with the rest.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from genplan import fence
from genplan.case import Absence, Week
from genplan.case.people import AbsenceKind
from genplan.casefile.busy_reading import BusyReading
from genplan.casefile.calendar_limits import CalendarRefused
from genplan.fence import run_fenced
from genplan.findings import Finding, Severity
from genplan.language import N_, _, said

HINT = N_("export a shorter span of time, without old repeating events")


@dataclass(frozen=True)
class Answer:
    """What one file said: its busy times, and findings; or why it was refused."""

    absences: tuple[Absence, ...] = ()
    findings: tuple[Finding, ...] = ()
    refused: CalendarRefused | None = None


Asked = tuple[str, BusyReading]
"""A file, by its name in the folder, and how it is to be read."""


def read_apart(
    folder: Path, asked: Sequence[Asked], zone: ZoneInfo, week: Week, until: Week
) -> dict[Asked, Answer]:
    """The answer of each file for the weeks from `week` to `until`."""
    answers: dict[Asked, Answer] = {}
    left = list(dict.fromkeys(asked))
    while left:
        lines, refused = _run(folder, left, zone, week, until)
        for one, line in zip(left, lines, strict=False):
            answers[one] = _answer(json.loads(line))
        left = left[len(lines) :]
        if left:
            answers[left[0]] = Answer(refused=refused)
            left = left[1:]
    return answers


def _run(
    folder: Path, asked: Sequence[Asked], zone: ZoneInfo, week: Week, until: Week
) -> tuple[list[str], CalendarRefused]:
    """The whole lines that a child wrote, and what is to be told of the file after them, if there is one."""
    ended = run_fenced(
        "genplan.casefile.busy_child",
        *(zone.key, str(week), str(until), str(folder)),
        given=json.dumps([(name, asdict(reading)) for name, reading in asked]).encode(),
        seconds=fence.WALL_SECONDS * len(asked),
    )
    return list(_whole_lines(ended.written)), _why(ended)


def _why(ended: fence.Ended) -> CalendarRefused:
    expected = _("a calendar that can be read in seconds")
    if ended.code is None or ended.is_out_of_work:
        most = fence.WALL_SECONDS if ended.code is None else fence.CPU_SECONDS
        found = _("repetitions or events that take more than {most} seconds to work out", most=most)
    elif ended.was_killed:
        found = _("nothing, since the process that read it was killed by something other than this program")
        hint = _(
            "try again; systems kill processes where memory is short: close what is not needed, or export a shorter "
            "span of time"
        )
        return CalendarRefused(found, expected, hint)
    else:
        found = _("a calendar that breaks the reader")
    return CalendarRefused(found, expected, said(HINT))


def _whole_lines(written: bytes) -> Iterator[str]:
    for line in written.decode("utf-8", "replace").splitlines(keepends=True):
        if line.endswith("\n"):
            yield line


def _answer(document: dict[str, Any]) -> Answer:
    if document["refused"]:
        return Answer(refused=CalendarRefused(*document["refused"]))
    absences = tuple(
        Absence(datetime.fromisoformat(start), datetime.fromisoformat(end), AbsenceKind.BUSY, place=place)
        for start, end, place in document["busy"]
    )
    findings = tuple(
        replace(Finding(*parts), severity=Severity(severity)) for *parts, severity in document["findings"]
    )
    return Answer(absences, findings)
