"""The timetable of a week that people were told of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.errors import CaseError
from genplan.language import for_files
from genplan.workflow.opened_case import Opened, busy_of, errors_of

if TYPE_CHECKING:
    from genplan.plan import Sitting


@for_files()
def timetable_of(opened: Opened, week: Week, sittings: Sequence[Sitting]) -> dict[str, bytes]:
    """The page and its tables, by file name, as a plan writes them. Raises CaseError for calendars of busy times that
    cannot be read."""
    from genplan.case.dated_facts import in_week
    from genplan.planning.hours_used import hours_used
    from genplan.report.timetable import timetable_files

    case = in_week(opened.case, week)
    busy, findings = busy_of(opened.loaded, case, week)
    if errors := errors_of(findings):
        raise CaseError(errors)
    return timetable_files(case, week, sittings, hours_used(case, week, busy, sittings))
