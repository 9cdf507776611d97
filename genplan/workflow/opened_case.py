"""What every verb begins with: a case folder read without errors, and the moment that counts as now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from genplan.case import Absence, Case, Week
from genplan.errors import CaseError, UsageError
from genplan.findings import Finding, Severity
from genplan.language import _

if TYPE_CHECKING:
    from genplan.casefile import Loaded
    from genplan.evidence.log import Log


Progress = Callable[[str], None]


T = TypeVar("T")


@dataclass(frozen=True)
class Opened:
    """A case folder that was read without errors; `findings` are warnings, `now` is aware and local."""

    folder: Path
    loaded: Loaded
    case: Case
    log: Log
    now: datetime
    findings: tuple[Finding, ...]

    @property
    def wall(self) -> datetime:
        """Now as a clock on the wall there shows it: naive, local."""
        return self.now.replace(tzinfo=None)


def open_case(
    folder: Path,
    now: datetime | None = None,
    *,
    with_results: bool = True,
    instead: Mapping[str, bytes] | None = None,
) -> Opened:
    """Reads a case folder and its results. Raises CaseError with everything that is wrong with them. Who asks nothing
    of the results opens without them, and is not held up by a row that cannot be read. `instead` are files as they
    would be, to see what that would change."""
    from genplan.casefile import load
    from genplan.casefile.public_holidays import YEARS_AHEAD, with_holidays
    from genplan.casefile.unlikely_dates import about_dates
    from genplan.evidence.log import Log
    from genplan.evidence.nothing_to_repeat import nothing_to_repeat
    from genplan.evidence.results import read_results
    from genplan.evidence.teaching_owed import about_teaching

    loaded = load(folder, instead)
    if loaded.case is None:
        raise CaseError(errors_of(loaded.findings))
    moment = local(loaded.case, now)
    log, about_results = read_results(folder, loaded.case, moment) if with_results else (Log(), ())
    if errors := errors_of(about_results):
        raise CaseError(errors)
    case = with_holidays(loaded.case, range(moment.year - 1, moment.year + YEARS_AHEAD + 1))
    about_case = (*loaded.findings, *about_dates(loaded, loaded.case, moment.date()))
    if with_results:
        about_case = (*about_case, *nothing_to_repeat(loaded, loaded.case, log))
        about_case = (*about_case, *about_teaching(loaded, loaded.case, log))
    findings = (*about_case, *about_results)
    return Opened(folder, loaded, case, log, moment, findings)


def local(case: Case, now: datetime | None) -> datetime:
    """The moment that counts as now, aware and in the case's zone; without one, the clock."""
    if now is None:
        return datetime.now(case.timezone).replace(microsecond=0)
    return now.replace(tzinfo=case.timezone) if now.tzinfo is None else now.astimezone(case.timezone)


def wall_clock(now: datetime | None) -> datetime:
    """The moment that counts as now, naive: where a case is changed that may not be readable, so that has no zone."""
    return (now or datetime.now()).replace(microsecond=0, tzinfo=None)


def errors_of(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(f for f in findings if f.severity is Severity.ERROR)


def busy_of(
    loaded: Loaded, case: Case, week: Week, until: Week | None = None
) -> tuple[Mapping[str, tuple[Absence, ...]], tuple[Finding, ...]]:
    """Busy times of the week, or from it to the end of `until`; calendars are only read where some adult has one."""
    if not any(a.busy for a in case.adults.values()):
        return {}, ()
    from genplan.casefile.busy_times import busy_times

    found = busy_times(loaded, case, week, until)
    return found.absences, found.findings


def known_busy(
    loaded: Loaded, case: Case, week: Week, until: Week | None = None
) -> tuple[Mapping[str, tuple[Absence, ...]], tuple[Finding, ...]]:
    """`busy_of` where something is planned on them. Raises CaseError for a calendar that cannot be read."""
    busy, findings = busy_of(loaded, case, week, until)
    if errors := errors_of(findings):
        raise CaseError(errors)
    return busy, findings


def refuse_past(week: Week, now: datetime) -> None:
    if week.sunday < now.date():
        raise UsageError(
            _(
                "The week {week} is over: it ended on {sunday}, and it is {today} "
                "now. Name a week that is still ahead, such as {next_week}.",
                week=week,
                sunday=week.sunday.isoformat(),
                today=now.date().isoformat(),
                next_week=Week.of(now.date()).next(),
            )
        )


def wanted_week(week: Week | None, now: datetime) -> Week:
    """The week that was asked for, or the one after now. Raises UsageError for one that is over."""
    wanted = week or Week.of(now.date()).next()
    refuse_past(wanted, now)
    return wanted


def kept_ahead(folder: Path, now: datetime) -> list[Week]:
    """The kept weeks that are not over."""
    from genplan.keeping.shelf import kept_weeks

    return [w for w in kept_weeks(folder) if w.sunday >= now.date()]
