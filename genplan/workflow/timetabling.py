"""The timetable of a week that people were told of, or of a plan that was written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _, for_files, ngettext
from genplan.workflow.opened_case import known_busy, open_case
from genplan.workflow.saved_plans import plan_in

if TYPE_CHECKING:
    from genplan.plan import Sitting
    from genplan.planning.hours_used import HoursUsed
    from genplan.workflow.week_as_told import ToldWeek

XLSX = ".xlsx"


@dataclass(frozen=True)
class TimetableView:
    """`case` is as it is in the week; `used` are the minutes of everybody and every place. `remarks` are sentences on
    what was called off, or cannot be known."""

    case: Case
    week: Week
    sittings: tuple[Sitting, ...]
    used: tuple[HoursUsed, ...]
    findings: tuple[Finding, ...]
    remarks: tuple[str, ...] = ()


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
    view = _view(folder, now, week, source)
    if xlsx is not None:
        write_file(xlsx, timetable_workbook(view.case, view.week, view.sittings, view.used))
    return view


def _view(folder: Path, now: datetime | None, week: Week | None, source: Path | None) -> TimetableView:
    from genplan.case.dated_facts import in_week
    from genplan.keeping.store import kept_weeks
    from genplan.planning.hours_used import hours_used
    from genplan.workflow.week_as_told import first_told, open_to_tell, told_week_in_force

    if source is not None:
        opened = open_case(folder, now)
        plan = plan_in(source, opened.case, week)
        case = in_week(opened.case, plan.week)
        busy, _findings = known_busy(opened.loaded, case, plan.week)
        return TimetableView(
            case,
            plan.week,
            plan.sittings,
            hours_used(case, plan.week, busy, plan.sittings),
            opened.findings,
        )
    opened, unread = open_to_tell(folder, now)
    week = week or first_told(opened)
    if week not in kept_weeks(opened.folder):
        raise UsageError(
            _(
                "The week {week} was not kept, so nobody was told of it. 'genplan keep' keeps it; --from names a plan"
                " that is not kept.",
                week=week,
            )
        )
    told = told_week_in_force(opened, week, unread)
    sittings = told.plan.sittings
    off = ngettext(
        "{n} sitting that people were told of is called off, and is not in it.",
        "{n} sittings that people were told of are called off, and are not in it.",
        len(told.struck),
    )
    return TimetableView(
        told.case,
        week,
        sittings,
        hours_used(told.case, week, told.facts.busy, sittings),
        opened.findings,
        (*((off,) if told.struck else ()), *told.unread),
    )


@for_files()
def timetable_of(told: ToldWeek) -> dict[str, bytes]:
    """The page and its tables of what is to be in a told week, by file name, as a plan writes them."""
    from genplan.planning.hours_used import hours_used
    from genplan.report.timetable import timetable_files

    sittings = told.plan.sittings
    return timetable_files(
        told.case,
        told.week,
        sittings,
        hours_used(told.case, told.week, told.facts.busy, sittings),
        told.off,
    )
