"""The timetable as a workbook: a sheet by adult, by place and by child, with minutes used, available and left."""

from __future__ import annotations

from collections.abc import Sequence

from genplan.case import Case, Week
from genplan.language import N_, _, said
from genplan.language.sentences import capital
from genplan.plan import Sitting
from genplan.planning.hours_used import HoursUsed
from genplan.report.names_and_words import week_words
from genplan.report.timetable import Row, View, timetable_views
from genplan.report.week_table import TableDay
from genplan.tables.printed import Cell, PrintedSheet, printed_workbook

_BY = {"adult": N_("by adult"), "place": N_("by place"), "child": N_("by child")}


def timetable_workbook(
    case: Case, week: Week, sittings: Sequence[Sitting], used: Sequence[HoursUsed]
) -> bytes:
    """An .xlsx file. Learners are called by their aliases. Raises UsageError without the extra library."""
    days, views = timetable_views(case, week, sittings, used)
    sheets = [_sheet(week, days, view) for view in views]
    return printed_workbook(sheets, _("take timetable.csv, which 'genplan plan' writes."))


def _sheet(week: Week, days: Sequence[TableDay], view: View) -> PrintedSheet:
    words = week_words(week)
    by = said(_BY[view.by])
    return PrintedSheet(
        name=capital(by),
        title=_(
            "Week {number} {by}: {first} to {last}",
            number=words["number"],
            by=by,
            first=words["first"],
            last=words["last"],
        ),
        headings=(
            view.head,
            *(f"{day.weekday} {day.words}" for day in days),
            _("Minutes used"),
            _("Minutes available"),
            _("Minutes left"),
            _("Share"),
        ),
        rows=tuple(map(_cells, view.rows)),
    )


def _cells(row: Row) -> tuple[Cell, ...]:
    days = ("\n".join(f"{line.hours} {line.words}" for line in lines) for lines in row.cells)
    return (row.name, *days, row.of.used, row.available, row.left, row.share)
