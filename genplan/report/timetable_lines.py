"""The minutes of a week as lines for the terminal: used, available and left, of each adult, place and child."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Case, Week
from genplan.language import _
from genplan.plan import Sitting
from genplan.planning.hours_used import HoursUsed
from genplan.report.names_and_words import amount_words, day_words, long_date
from genplan.report.textgrid import laid_out
from genplan.report.timetable import Row, timetable_views


def timetable_lines(
    case: Case, week: Week, sittings: Sequence[Sitting], used: Sequence[HoursUsed]
) -> Iterator[str]:
    yield _(
        "Week {week}: {first} to {last}", week=week, first=day_words(week.monday), last=long_date(week.sunday)
    )
    yield f"{amount_words(sittings)}."
    for view in timetable_views(case, week, sittings, used)[1]:
        yield ""
        head = [view.head, _("minutes used"), _("available"), _("of these left"), _("used")]
        yield from laid_out([head, *(_cells(r) for r in view.rows)])
    yield ""
    yield _(
        "Left of the minutes available is what can still be used: no sitting takes it, and no limit on sittings or"
        " minutes keeps it from being used."
    )


def _cells(row: Row) -> list[str]:
    left = "" if row.left is None else str(row.left)
    return [row.name, str(row.of.used), str(row.available), left, row.percent]
