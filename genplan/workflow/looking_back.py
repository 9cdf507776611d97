"""The last weeks: what each adult was asked for and held, and what was not held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.case.week import MOST_WEEKS
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.opened_case import Opened, open_case

if TYPE_CHECKING:
    from genplan.evidence.sittings_written import SittingsCount
    from genplan.keeping.loads_lately import AdultsLoad
    from genplan.keeping.not_held import NotHeld


USUAL_WEEKS = 8


@dataclass(frozen=True)
class LatelyView:
    """`weeks` in order of time, that of `now` the last; `counts`: adult -> what is written down in them; `unwritten`:
    of how many sittings that have begun no row tells."""

    case: Case
    now: datetime
    weeks: tuple[Week, ...]
    loads: tuple[AdultsLoad, ...]
    not_held: tuple[NotHeld, ...]
    counts: Mapping[str, SittingsCount]
    unwritten: int
    findings: tuple[Finding, ...]


def loads(folder: Path, count: int | None, now: datetime | None, out: Path | None = None) -> LatelyView:
    """The last `count` weeks, or as many as are usual, this one among them, from what people were told and what is
    written down; with `out` the same as a page and tables, all files or none. Raises UsageError for too many weeks,
    CaseError for a kept week that cannot be read."""
    from genplan.folders import write_folder

    number = USUAL_WEEKS if count is None else count
    if not 1 <= number <= MOST_WEEKS:
        raise UsageError(_("So many weeks are not looked at: name 1 to {most}.", most=MOST_WEEKS))
    view = loads_of(open_case(folder, now), number)
    if out is not None:
        write_folder(out, lately_files(view))
    return view


def loads_of(opened: Opened, count: int) -> LatelyView:
    """`loads` of a case that was read already."""
    from genplan.evidence.log import Log
    from genplan.keeping.lately import Became, released_lately, sittings_lately, told_in
    from genplan.keeping.loads_lately import loads_lately
    from genplan.keeping.not_held import not_held
    from genplan.keeping.store import read_kept
    from genplan.planning.looking_back import weeks_looked_at

    weeks = weeks_looked_at(Week.of(opened.now.date()), count)
    kept = [k for w in weeks if (k := read_kept(opened.folder, w, opened.case))]
    first, last = weeks[0].monday, weeks[-1].sunday
    log = Log(tuple(r for r in opened.log.results if first <= r.date <= last))
    past = (
        *sittings_lately(opened.case, log, told_in(kept), weeks, opened.now),
        *released_lately(kept),
    )
    missed, counts = not_held(opened.case, log, past, weeks)
    table = loads_lately(opened.case, past, weeks)
    unwritten = sum(one.became is Became.UNWRITTEN for one in past)
    return LatelyView(opened.case, opened.now, weeks, table, missed, counts, unwritten, opened.findings)


def lately_files(view: LatelyView) -> dict[str, bytes]:
    """The page and its tables, by file name."""
    from genplan.report.lately import lately_page
    from genplan.report.lately_tables import lately_tables
    from genplan.report.tables import csv_bytes

    page = lately_page(view.case, view.weeks, view.loads, view.not_held, view.counts, view.unwritten)
    tables = lately_tables(view.weeks, view.loads, view.not_held)
    return {"loads.html": page.encode("utf-8")} | {name: csv_bytes(t) for name, t in tables.items()}
