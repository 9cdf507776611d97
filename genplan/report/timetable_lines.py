"""The minutes of a week as lines for the terminal: used and free, of each adult, place and child."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Case, Week
from genplan.language import _
from genplan.plan import Sitting
from genplan.planning.hours_used import HoursUsed
from genplan.report.names_and_words import amount_words, day_words, long_date
from genplan.report.textgrid import laid_out
from genplan.report.timetable import timetable_views


def timetable_lines(
    case: Case, week: Week, sittings: Sequence[Sitting], used: Sequence[HoursUsed]
) -> Iterator[str]:
    yield _(
        "Week {week}: {first} to {last}", week=week, first=day_words(week.monday), last=long_date(week.sunday)
    )
    yield f"{amount_words(sittings)}."
    for view in timetable_views(case, week, sittings, used)[1]:
        yield ""
        head = [view.head, _("minutes used"), _("free"), ""]
        yield from laid_out([head, *([r.name, str(r.of.used), str(r.free), r.share] for r in view.rows)])
