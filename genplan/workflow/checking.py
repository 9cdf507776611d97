"""A new case folder, and what is wrong with one."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import CaseError
from genplan.findings import Finding, Severity
from genplan.language import _, ngettext
from genplan.workflow.checking_ages import about_ages
from genplan.workflow.checking_things import (
    about_names_of_things,
    about_things_kept_away,
    about_unanswered_things,
    about_unasked_allergens,
)
from genplan.workflow.opened_case import Opened, busy_of, errors_of, kept_ahead, local
from genplan.workflow.wishing import about_wishes

if TYPE_CHECKING:
    from genplan.coverage.briefing import BriefingWanted
    from genplan.evidence.log import Log


@dataclass(frozen=True)
class Checked:
    """What is wrong or odd, and `case`, where it can be read, with the rows that are there up to a day."""

    findings: tuple[Finding, ...]
    case: Case | None = None
    log: Log | None = None
    on: date | None = None

    @cached_property
    def unbriefed(self) -> tuple[BriefingWanted, ...]:
        """Who is not briefed on what, and what a briefing would open: as it may well be meant, it is no finding. None
        where something is wrong."""
        from genplan.coverage.briefing import all_briefings_wanted

        if self.case is None or self.log is None or self.on is None or errors_of(self.findings):
            return ()
        return all_briefings_wanted(self.case, self.log, self.on)


def check(folder: Path, now: datetime | None = None, week: Week | None = None) -> tuple[Finding, ...]:
    """Every problem of a case folder, its results and its busy calendars of a week among them: without one the week of
    now. `now` is None for the clock."""
    return checked(folder, now, week).findings


def checked(folder: Path, now: datetime | None = None, week: Week | None = None) -> Checked:
    """The same, with what else is to be said of the case as it was read for that."""
    from genplan.casefile import load
    from genplan.casefile.diagnostics import in_order
    from genplan.casefile.identity import about_twins
    from genplan.casefile.unlikely_dates import about_dates
    from genplan.coverage.unplanned import about_unplanned
    from genplan.evidence.nothing_to_repeat import nothing_to_repeat
    from genplan.evidence.results import read_results
    from genplan.evidence.teaching_owed import about_mastery, about_teaching

    loaded = load(folder)
    if loaded.case is None:
        return Checked(loaded.findings)
    moment = local(loaded.case, now)
    about_case = (*loaded.findings, *about_twins(loaded), *about_dates(loaded, loaded.case, moment.date()))
    log, about_results = read_results(folder, loaded.case, moment)
    about_case = (*about_case, *about_ages(loaded, loaded.case, moment.date()))
    about_case = (*about_case, *about_things_kept_away(loaded, loaded.case, moment.date()))
    about_case = (*about_case, *about_names_of_things(loaded, loaded.case, moment.date()))
    about_case = (*about_case, *about_unanswered_things(loaded, loaded.case, moment.date()))
    about_case = (*about_case, *about_unasked_allergens(loaded, loaded.case, moment.date()))
    about_case = (*about_case, *nothing_to_repeat(loaded, loaded.case, log))
    about_case = (*about_case, *about_teaching(loaded, loaded.case, log))
    about_case = (*about_case, *about_mastery(loaded, loaded.case, log, moment.date()))
    about_case = (*about_case, *about_unplanned(loaded, loaded.case, log, moment.date()))
    about_busy = busy_of(loaded, loaded.case, week or Week.of(moment.date()))[1]
    about_results = (*about_results, *nothing_written(folder, loaded.case, log, moment))
    about_weeks = about_kept(folder, loaded.case, moment)
    if not errors_of(about_weeks):
        opened = Opened(folder, loaded, loaded.case, log, moment, ())
        about_weeks = (*about_weeks, *about_wishes(opened))
    findings = (*in_order([*about_case]), *about_results, *about_busy, *about_weeks)
    return Checked(findings, loaded.case, log, moment.date())


def nothing_written(folder: Path, case: Case, log: Log, now: datetime) -> tuple[Finding, ...]:
    """A warning where people were told of sittings that are over, and results.csv holds no row at all: it may have been
    emptied, or taken away."""
    if log.results:
        return ()
    from genplan.evidence.results import FILE_NAME
    from genplan.keeping.store import kept_weeks, read_kept

    over = []
    for week in kept_weeks(folder):
        with suppress(CaseError):
            kept = read_kept(folder, week, case)
            over += [s for s in (kept.sittings if kept else ()) if s.end <= now]
    if not over:
        return ()
    found = ngettext(
        "no row, though {n} sitting that people were told of is over",
        "no row, though {n} sittings that people were told of are over",
        len(over),
    )
    hint = _(
        "write them down; if {file} was emptied or lost, put it back from your own copy: the program keeps earlier "
        "states of the case, and none of the results",
        file=FILE_NAME,
    )
    return (Finding(FILE_NAME, 0, "", found, "", hint, Severity.WARNING),)


def about_kept(folder: Path, case: Case, now: datetime) -> tuple[Finding, ...]:
    """What is wrong with the kept weeks that are not over."""
    if not (weeks := kept_ahead(folder, now)):
        return ()
    from genplan.evidence.log import Log
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import read_kept

    found: list[Finding] = []
    for week in weeks:
        try:
            if kept := read_kept(folder, week, case):
                to_plan_from(kept, case, Log(), now)
        except CaseError as error:
            found += error.findings
    return tuple(found)


def new(folder: Path) -> list[Path]:
    """Writes the starter case; raises FileError where something is there already."""
    from genplan.casefile.identity import drawn
    from genplan.casefile.starter import write_starter

    return write_starter(folder, drawn())
