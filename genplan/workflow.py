"""The verbs as functions: each reads what it needs, calls one room after the other, and gives back plain values.

The command line and every other front calls these; none of them prints.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Absence, Case, Combination, Week
from genplan.errors import AuditError, CaseError, UsageError
from genplan.findings import Finding, Severity

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from genplan.casefile import Loaded
    from genplan.coverage.matrix import MatrixRow
    from genplan.evidence.log import Log
    from genplan.keeping.differences import Difference
    from genplan.keeping.told import KeptWeek, Told
    from genplan.plan import Plan, RunReport, Sitting
    from genplan.planning.planner import Planned

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Opened:
    """A case folder that was read without errors; `findings` are warnings, `now` is aware and local."""

    folder: Path
    loaded: Loaded
    case: Case
    log: Log
    now: datetime
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class PlanOutcome:
    """`told` is what calendars tell with this plan. `kept` is what people were told of the week before, None if
    nothing; `differences` are what the plan would change in it."""

    case: Case
    plan: Plan
    run: RunReport
    findings: tuple[Finding, ...]
    told: tuple[Told, ...]
    kept: KeptWeek | None = None
    differences: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class MatrixView:
    """`planned` says which combinations sit in the kept plan of the present week."""

    case: Case
    rows: tuple[MatrixRow, ...]
    planned: Mapping[tuple[str, Combination], Sitting]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class RecordRequest:
    """What was typed of one result; what is None is filled in: the target's trials, today, nothing else."""

    target: str
    adult: str
    location: str
    material_set: str
    extra: Mapping[str, str] = field(default_factory=dict)
    kind: str = "probe"
    date: date | None = None
    time: time | None = None
    trials: int | None = None
    correct: int | None = None
    prompted: int | None = None
    observer: str | None = None
    observer_correct: int | None = None
    note: str | None = None


@dataclass(frozen=True)
class RecordOutcome:
    sentence: str
    findings: tuple[Finding, ...]


def check(folder: Path) -> tuple[Finding, ...]:
    """Every problem of a case folder, its results and its busy calendars this week among them."""
    from genplan.casefile import load
    from genplan.evidence.results import read_results

    loaded = load(folder)
    if loaded.case is None:
        return loaded.findings
    now = _local(loaded.case, None)
    _, about_results = read_results(folder, loaded.case, now)
    about_busy = _busy(loaded, loaded.case, Week.of(now.date()))[1]
    return (*loaded.findings, *about_results, *about_busy, *_about_kept(folder, loaded.case, now))


def _about_kept(folder: Path, case: Case, now: datetime) -> tuple[Finding, ...]:
    """What is wrong with the kept weeks that are not over."""
    from genplan.evidence.log import Log
    from genplan.keeping.past import to_plan_from
    from genplan.keeping.store import kept_weeks, read_kept

    found: list[Finding] = []
    for week in kept_weeks(folder):
        if week.sunday >= now.date():
            try:
                if kept := read_kept(folder, week, case):
                    to_plan_from(kept, case, Log(), now)
            except CaseError as error:
                found += error.findings
    return tuple(found)


def new(folder: Path) -> list[Path]:
    """Writes the starter case; raises FileError where something is there already."""
    from genplan.casefile.starter import write_starter

    return write_starter(folder)


def open_case(folder: Path, now: datetime | None = None) -> Opened:
    """Reads a case folder and its results. Raises CaseError with everything that is wrong with them."""
    from genplan.casefile import load
    from genplan.casefile.public_holidays import YEARS_AHEAD, with_holidays
    from genplan.evidence.results import read_results

    loaded = load(folder)
    if loaded.case is None:
        raise CaseError(_errors(loaded.findings))
    moment = _local(loaded.case, now)
    log, about_results = read_results(folder, loaded.case, moment)
    if errors := _errors(about_results):
        raise CaseError(errors)
    case = with_holidays(loaded.case, range(moment.year - 1, moment.year + YEARS_AHEAD + 1))
    return Opened(folder, loaded, case, log, moment, (*loaded.findings, *about_results))


def matrix(folder: Path, now: datetime | None) -> MatrixView:
    """The coverage matrix of every mastered target as it stands."""
    from genplan.coverage.matrix import matrix as rows_of
    from genplan.coverage.tally import tally

    opened = open_case(folder, now)
    day = opened.now.date()
    rows = [
        r
        for t in opened.case.mastered
        for r in rows_of(opened.case, tally(opened.case, t, opened.log, day), day)
    ]
    return MatrixView(opened.case, tuple(rows), _kept_seats(opened), opened.findings)


def _kept_seats(opened: Opened) -> dict[tuple[str, Combination], Sitting]:
    from genplan.keeping.store import read_kept

    kept = read_kept(opened.folder, Week.of(opened.now.date()), opened.case)
    return {(p.target, p.combination): s for s in kept.sittings for p in s.probes} if kept else {}


def record(folder: Path, entry: RecordRequest, now: datetime | None) -> RecordOutcome:
    """Adds one result to results.csv, or raises and leaves the file as it was."""
    from genplan.evidence.record import append_result

    opened = open_case(folder, now)
    row = _row_of(entry, opened)
    result, warnings = append_result(folder, opened.case, row, opened.now.replace(tzinfo=None))
    counted = f"{result.correct} of {result.trials} correct" if result.trials else str(result.kind.value)
    sentence = f"Added to results.csv, line {result.line}: {result.target}, {', '.join(result.combination)}: {counted}."
    return RecordOutcome(sentence, warnings)


def plan(
    folder: Path, week: Week | None, now: datetime | None, out: Path | None, progress: Progress
) -> PlanOutcome:
    """Plans a week and, if `out` is given, writes everything there: all files or none. A week that was kept is
    planned from what people were told.

    Raises UsageError for a week that is over, CaseError for a case with errors, SolverError, AuditError, FileError."""
    from genplan.planning.jobs import process_pool

    opened = open_case(folder, now)
    wanted = week or Week.of(opened.now.date()).next()
    refuse_past(wanted, opened.now)
    with process_pool() as executor:
        outcome = plan_opened(opened, wanted, executor, progress)
    if out is not None:
        progress("writing")
        write_plan(out, outcome)
    return outcome


def plan_opened(
    opened: Opened, week: Week, executor: Executor, progress: Progress, planned: Collection[Week] = ()
) -> PlanOutcome:
    """The plan of a week of an opened case, checked by the auditor. The log holds what the weeks in `planned` would
    show already. Raises as `plan` does."""
    from genplan.audit import audit
    from genplan.case.dated import closures, in_week
    from genplan.keeping.ahead import as_if_met
    from genplan.keeping.differences import differences
    from genplan.keeping.past import to_plan_from
    from genplan.keeping.store import read_kept
    from genplan.keeping.telling import retell
    from genplan.planning.planner import plan_week

    case, now = in_week(opened.case, week), opened.now
    told_till_then = _told_before(opened, week, planned)
    log = as_if_met(opened.log, told_till_then)
    busy, about_busy = _busy(opened.loaded, case, week)
    if errors := _errors(about_busy):
        raise CaseError(errors)
    kept_week = read_kept(opened.folder, week, case)
    kept = to_plan_from(kept_week, case, log, now) if kept_week else ()
    found = plan_week(case, log, week, now, busy, kept, executor, progress)
    complaints = audit(case, log, found.plan, busy, kept)
    if complaints:
        raise AuditError(complaints)
    before = kept_week.told if kept_week else ()
    week_plan = replace(found.plan, notes=(*found.plan.notes, *closures(case, week), *_about(told_till_then)))
    told = retell(before, week_plan.sittings, now, settled=False)
    changed = differences(before, week_plan.sittings, now) if kept_week else ()
    findings = (*opened.findings, *about_busy)
    return PlanOutcome(case, week_plan, _run_report(found), findings, told, kept_week, changed)


def _told_before(opened: Opened, week: Week, planned: Collection[Week]) -> tuple[Sitting, ...]:
    """The sittings that people were told of from now on until the week begins, but for the weeks in `planned`."""
    from genplan.keeping.past import to_plan_from
    from genplan.keeping.store import kept_weeks, read_kept

    found: list[Sitting] = []
    for earlier in kept_weeks(opened.folder):
        if earlier < week and earlier.sunday >= opened.now.date() and earlier not in planned:
            kept = read_kept(opened.folder, earlier, opened.case)
            told = to_plan_from(kept, opened.case, opened.log, opened.now) if kept else ()
            found += [s for s in told if s.start >= opened.now]
    return tuple(found)


def _about(told: Sequence[Sitting]) -> tuple[str, ...]:
    if not told:
        return ()
    return ("The probes that people were told of for the days until this week are counted as met.",)


def write_plan(out: Path, outcome: PlanOutcome) -> None:
    """Every file that FORMATS names, written into the folder as a whole or not at all."""
    from genplan.report.adult_page import adult_pages
    from genplan.report.calendars import calendar_files
    from genplan.report.document import plan_json, run_json
    from genplan.report.folder import write_folder
    from genplan.report.page import week_page
    from genplan.report.sheets import sheets_page
    from genplan.report.tables import coverage_table, csv_bytes, matrix_table, plan_table

    case, week_plan = outcome.case, outcome.plan
    files = {
        "plan.csv": csv_bytes(plan_table(case, week_plan)),
        "matrix.csv": csv_bytes(matrix_table(case, week_plan.matrix, week_plan.planned())),
        "coverage.csv": csv_bytes(coverage_table(case, week_plan)),
        "plan.json": plan_json(case, week_plan),
        "run.json": run_json(outcome.run),
        "week.html": week_page(case, week_plan).encode("utf-8"),
        "sheets.html": sheets_page(case, week_plan).encode("utf-8"),
    }
    files |= adult_pages(case, week_plan)
    files |= calendar_files(case, week_plan, outcome.told)
    write_folder(out, files)


def _local(case: Case, now: datetime | None) -> datetime:
    """The moment that counts as now, aware and in the case's zone; without one, the clock."""
    if now is None:
        return datetime.now(case.timezone).replace(microsecond=0)
    return now.replace(tzinfo=case.timezone) if now.tzinfo is None else now.astimezone(case.timezone)


def _errors(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(f for f in findings if f.severity is Severity.ERROR)


def _busy(
    loaded: Loaded, case: Case, week: Week
) -> tuple[Mapping[str, tuple[Absence, ...]], tuple[Finding, ...]]:
    """Busy times of the week; calendars are only read where some adult has one."""
    if not any(a.busy for a in case.adults.values()):
        return {}, ()
    from genplan.casefile.busy import busy_times

    found = busy_times(loaded, case, week)
    return found.absences, found.findings


def refuse_past(week: Week, now: datetime) -> None:
    if week.sunday < now.date():
        raise UsageError(
            f"The week {week} is over: it ended on {week.sunday.isoformat()}, and it is {now.date().isoformat()} now. "
            f"Name a week that is still ahead, such as {Week.of(now.date()).next()}."
        )


def _row_of(entry: RecordRequest, opened: Opened) -> dict[str, str]:
    target = opened.case.targets.get(entry.target)
    trials = entry.trials
    if entry.kind in ("probe", "maintenance"):
        if entry.correct is None:
            raise UsageError(
                "How many trials were correct? Give --correct, or --kind not-run with a note if it was not run."
            )
        if trials is None and target is not None:
            trials = target.trials
    cells = {
        "date": (entry.date or opened.now.date()).isoformat(),
        "time": entry.time.strftime("%H:%M") if entry.time else "",
        "target": entry.target,
        "kind": entry.kind,
        "adult": entry.adult,
        "location": entry.location,
        "material_set": entry.material_set,
        "observer": entry.observer or "",
        "note": entry.note or "",
        **entry.extra,
    }
    numbers = {
        "trials": trials,
        "correct": entry.correct,
        "prompted": entry.prompted,
        "observer_correct": entry.observer_correct,
    }
    return cells | {name: "" if n is None else str(n) for name, n in numbers.items()}


def _run_report(found: Planned) -> RunReport:
    from importlib.metadata import version

    from genplan import __version__
    from genplan.plan import RunReport

    versions = {
        "genplan": __version__,
        **{n: version(n) for n in ("ortools", "pandas", "icalendar", "tzdata")},
    }
    return RunReport(found.seconds, found.sizes, versions)
