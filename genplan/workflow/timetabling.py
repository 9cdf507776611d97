"""The timetable of a week that people were told of, or of a plan that was written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _, for_files
from genplan.workflow.opened_case import Opened, known_busy, open_case
from genplan.workflow.saved_plans import plan_in

if TYPE_CHECKING:
    from genplan.plan import Sitting
    from genplan.planning.hours_used import HoursUsed

XLSX = ".xlsx"


@dataclass(frozen=True)
class TimetableView:
    """`case` is as it is in the week; `used` are the minutes of everybody and every place."""

    case: Case
    week: Week
    sittings: tuple[Sitting, ...]
    used: tuple[HoursUsed, ...]
    findings: tuple[Finding, ...]


def timetable(
    folder: Path, week: Week | None, source: Path | None, now: datetime | None, xlsx: Path | None
) -> TimetableView:
    """The timetable of a kept week, by default the first that is not over, or of the plan in the folder `source`; with
    `xlsx` written there as a workbook. Raises UsageError for a week that was not kept, another name of a file, or
    without the library for it; CaseError, FileError."""
    from genplan.folders import write_file
    from genplan.report.timetable_workbook import timetable_workbook

    if xlsx is not None and xlsx.suffix.lower() != XLSX:
        raise UsageError(_("{file} is to be a workbook: give it a name that ends in .xlsx.", file=xlsx))
    view = _view(open_case(folder, now), week, source)
    if xlsx is not None:
        write_file(xlsx, timetable_workbook(view.case, view.week, view.sittings, view.used))
    return view


def _view(opened: Opened, week: Week | None, source: Path | None) -> TimetableView:
    from genplan.case.dated_facts import in_week

    if source is not None:
        plan = plan_in(source, opened.case, week)
        week, sittings = plan.week, plan.sittings
    else:
        week, sittings = _told(opened, week)
    case = in_week(opened.case, week)
    return TimetableView(case, week, sittings, _hours_used(opened, case, week, sittings), opened.findings)


def _told(opened: Opened, week: Week | None) -> tuple[Week, tuple[Sitting, ...]]:
    from genplan.keeping.store import read_kept
    from genplan.workflow.week_as_told import first_told

    week = week or first_told(opened)
    kept = read_kept(opened.folder, week, opened.case)
    if kept is None:
        raise UsageError(
            _(
                "The week {week} was not kept, so nobody was told of it. 'genplan keep' keeps it; --from names a plan"
                " that is not kept.",
                week=week,
            )
        )
    return week, kept.sittings


def _hours_used(opened: Opened, case: Case, week: Week, sittings: Sequence[Sitting]) -> tuple[HoursUsed, ...]:
    from genplan.planning.hours_used import hours_used

    busy, _findings = known_busy(opened.loaded, case, week)
    return hours_used(case, week, busy, sittings)


@for_files()
def timetable_of(opened: Opened, week: Week, sittings: Sequence[Sitting]) -> dict[str, bytes]:
    """The page and its tables, by file name, as a plan writes them. Raises CaseError for calendars of busy times that
    cannot be read."""
    from genplan.case.dated_facts import in_week
    from genplan.report.timetable import timetable_files

    case = in_week(opened.case, week)
    return timetable_files(case, week, sittings, _hours_used(opened, case, week, sittings))
