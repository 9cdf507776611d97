"""A week, or several, planned from a case folder and written as files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from genplan.case import Absence, Case, Week
from genplan.errors import AuditError, CaseError
from genplan.findings import Finding
from genplan.workflow.opened_case import Opened, Progress, busy_of, errors_of, open_case, wanted_week
from genplan.workflow.solving import answers_so_far, solvers
from genplan.workflow.watching import Show, Watch

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from genplan.coverage.curve import Point
    from genplan.evidence.log import Log
    from genplan.keeping.deeper import Deeper
    from genplan.keeping.differences import Difference
    from genplan.keeping.told import KeptWeek, Told
    from genplan.plan import Note, Plan, Probe, RunReport, Sitting
    from genplan.planning.budget import Budget
    from genplan.planning.planner import Planned
    from genplan.planning.progress import Say


FORTNIGHT = timedelta(days=14)


@dataclass(frozen=True)
class PlanOutcome:
    """`findings` are warnings of the case and of the week, `about_week` those that a plan says in full.
    `told` is what calendars tell with this plan. `kept` is what people were told of the week before, None if
    nothing; `differences` are what the plan would change in it. `log` is what was run. `deeper` is what a search that
    may disturb more people brought, where one was asked for. `busy` are the busy times it was planned round."""

    case: Case
    plan: Plan
    run: RunReport
    findings: tuple[Finding, ...]
    told: tuple[Told, ...]
    log: Log
    kept: KeptWeek | None = None
    differences: tuple[Difference, ...] = ()
    about_week: tuple[Finding, ...] = ()
    deeper: Deeper | None = None
    busy: Mapping[str, tuple[Absence, ...]] = field(default_factory=dict)


def plan(
    folder: Path,
    week: Week | None,
    now: datetime | None,
    out: Path | None,
    progress: Progress,
    show: Show | None = None,
) -> PlanOutcome:
    """Plans a week and, if `out` is given, writes everything there: all files or none. A week that was kept is
    planned from what people were told. If it is interrupted (`planning.interruption`), it is the best week so far.
    `show` is shown drafts of it meanwhile.

    Raises UsageError for a week that is over, CaseError for a case with errors, SolverError, AuditError, FileError."""
    from genplan.planning.interruption import interruptible
    from genplan.planning.progress import Phase, PhaseProgress

    opened = open_case(folder, now)
    budget = budget_of(opened)
    wanted = wanted_week(week, opened.now)
    watch = Watch(progress, show)
    with interruptible():
        with solvers(watch) as executor:
            outcome = plan_opened(opened, wanted, executor, watch, budget)
        if out is not None:
            watch(PhaseProgress(Phase.WRITING))
            write_plan(out, outcome)
    return outcome


def plan_opened(
    opened: Opened,
    week: Week,
    executor: Executor,
    progress: Say,
    budget: Budget,
    planned: Collection[Week] = (),
    facts: FactsToPlanBy | None = None,
    fewest_told: bool | None = None,
) -> PlanOutcome:
    """The plan of a week of an opened case, found within the budget and checked by the auditor. The log holds what the
    weeks in `planned` would show already; `facts` are the week's, where they were read before. `fewest_told`: as few
    people as possible are told something new; None: once the week has begun. Raises as `plan` does."""
    from genplan.audit import audit
    from genplan.evidence.teaching_owed import rows_that_pay_nothing
    from genplan.keeping.differences import differences
    from genplan.keeping.revision import revise
    from genplan.planning.planner import plan_week
    from genplan.planning.progress import Phase, PhaseProgress

    facts, now, before_it = facts or facts_of(opened, week, planned), opened.now, answers_so_far(executor)
    case, log, busy, kept_week = facts.case, facts.log, facts.busy, facts.kept_week
    found = plan_week(
        opened.case, log, week, now, busy, facts.kept, executor, progress, budget, fewest_told=fewest_told
    )
    progress(PhaseProgress(Phase.CHECKING))
    began = monotonic()
    complaints = audit(case, log, found.plan, busy, facts.kept)
    checking = monotonic() - began
    if complaints:
        raise AuditError(complaints)
    before = kept_week.told if kept_week else ()
    lapsed, met = mastery_notes(opened)
    before_it_too = (*_about(facts.told_before), *unwritten_notes(opened, week))
    notes = (*found.plan.notes, *met, *closed_notes(case, week), *before_it_too)
    week_plan = replace(found.plan, notes=(*lapsed, *_about_its_end(found.plan), *notes))
    told = revise(before, week_plan.sittings, now, settled=False, case_id=case.case_id)
    changed = differences(before, week_plan.sittings, now) if kept_week else ()
    findings = (*opened.findings, *facts.findings)
    run = _run_report(found, checking, answers_so_far(executor) - before_it)
    return PlanOutcome(
        case,
        week_plan,
        run,
        findings,
        told,
        opened.log,
        kept_week,
        changed,
        about_week=(*facts.findings, *rows_that_pay_nothing(opened.case, opened.log)),
        busy=busy,
    )


def budget_of(opened: Opened) -> Budget:
    """How long a run may take from now on, by the policy: all that it plans, however many weeks, draws from it."""
    from genplan.planning.budget import Budget

    return Budget.of(opened.case.policy.solver.seconds)


@dataclass(frozen=True)
class FactsToPlanBy:
    """What a week is planned from beside the case: `case` is as it is in the week, `log` holds what was told for the
    days before as if met, `kept` are the sittings that people were told of."""

    case: Case
    log: Log
    busy: Mapping[str, tuple[Absence, ...]]
    kept_week: KeptWeek | None
    kept: tuple[Sitting, ...]
    told_before: tuple[Sitting, ...]
    findings: tuple[Finding, ...]


def facts_of(opened: Opened, week: Week, planned: Collection[Week] = ()) -> FactsToPlanBy:
    """Reads what a week is planned from. Raises CaseError for calendars and kept weeks that cannot be read."""
    from genplan.case.dated_facts import in_week
    from genplan.keeping.optimistic_log import optimistic_log
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import read_kept
    from genplan.planning.wishes import last_week_asked

    case = in_week(opened.case, week)
    told_till_then = told_before(opened, week, planned)
    log = optimistic_log(opened.log, told_till_then)
    busy, about_busy = busy_of(opened.loaded, case, week, last_week_asked(opened.case, week))
    if errors := errors_of(about_busy):
        raise CaseError(errors)
    kept_week = read_kept(opened.folder, week, case)
    kept = to_plan_from(kept_week, case, log, opened.now) if kept_week else ()
    return FactsToPlanBy(case, log, busy, kept_week, kept, told_till_then, about_busy)


def told_before(opened: Opened, week: Week, planned: Collection[Week]) -> tuple[Sitting, ...]:
    """The sittings that people were told of from now on until the week begins, but for the weeks in `planned`."""
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import kept_weeks, read_kept

    found: list[Sitting] = []
    for earlier in kept_weeks(opened.folder):
        if earlier < week and earlier.sunday >= opened.now.date() and earlier not in planned:
            kept = read_kept(opened.folder, earlier, opened.case)
            told = to_plan_from(kept, opened.case, opened.log, opened.now) if kept else ()
            found += [s for s in told if s.start >= opened.now]
    return tuple(found)


def unwritten_notes(opened: Opened, week: Week) -> Iterator[Note]:
    """Notes on each week before this one, from a fortnight ago on, with sittings that people were told of, that are
    over, and of which, or of a part of which, no row speaks."""
    from genplan.keeping.store import kept_weeks, read_kept
    from genplan.plan import Note, NoteKind, Unwritten

    since = opened.now.date() - FORTNIGHT
    for earlier in kept_weeks(opened.folder):
        if (
            earlier < week
            and earlier.sunday >= since
            and (kept := read_kept(opened.folder, earlier, opened.case))
        ):
            whole, half = [], []
            for s in sorted(kept.sittings, key=lambda s: (s.start, s.id)):
                left = left_unwritten(s, opened.log) if s.end <= opened.now else ()
                about = Unwritten(learner=s.learner, adult=s.adult, on=s.start.date())
                if len(left) == len(s.probes):
                    whole.append(about)
                elif owed := tuple(dict.fromkeys(p.target for p in left if p.target in opened.case.targets)):
                    half.append(replace(about, targets=owed))
            for kind, found in ((NoteKind.UNWRITTEN_AS_NOT_RUN, whole), (NoteKind.HALF_WRITTEN, half)):
                if found:
                    yield Note(kind=kind, weeks=(earlier,), of=len(found), unwritten=tuple(found))


def left_unwritten(sitting: Sitting, log: Log) -> tuple[Probe, ...]:
    """The probes and teachings in it of which no row of its day speaks."""
    day = sitting.start.date()
    return tuple(
        p
        for p in sitting.probes
        if not log.speaks_of(p.target, p.combination, day, teaching=not p.kind.is_probe)
    )


def mastery_notes(opened: Opened) -> tuple[tuple[Note, ...], tuple[Note, ...]]:
    """Of a case that plans teaching: what lapsed where it was taught, which is told before all else, and what meets its
    criterion. Only what was run until now is looked at."""
    from genplan.evidence.effective_rows import log_until
    from genplan.evidence.mastery import criterion_met, lapses
    from genplan.evidence.standing import standings
    from genplan.plan import Note, NoteKind

    known = log_until(opened.log, opened.now.date())
    targets = opened.case.targets.values() if opened.case.policy.plan_teaching else ()
    lapsed = (lapse for t in targets for lapse in lapses(t, known, standings(t, known)))
    met = (found for t in targets if (found := criterion_met(t, known)))
    return (
        tuple(Note(kind=NoteKind.LAPSED_WHERE_TAUGHT, target=lapse.target, seen=lapse) for lapse in lapsed),
        tuple(Note(kind=NoteKind.CRITERION_MET, target=found.target, seen=found) for found in met),
    )


def _with_notes(plan: Plan, more: Iterable[Note]) -> Plan:
    return replace(plan, notes=(*plan.notes, *more))


def closed_notes(case: Case, week: Week) -> Iterator[Note]:
    """A note for each place and reason that closes it on whole days of the week, such as a public holiday."""
    from genplan.case.dated_facts import closed_days
    from genplan.plan import Note, NoteKind

    for place in case.locations.values():
        for why, days in closed_days(place, week).items():
            yield Note(kind=NoteKind.CLOSED, location=place.id, days=tuple(days), why=why)


def _about_its_end(plan: Plan) -> tuple[Note, ...]:
    """An interrupt that came when all was found already changed nothing."""
    from genplan.plan import Note, NoteKind
    from genplan.planning.interruption import interrupted

    return (Note(kind=NoteKind.INTERRUPTED),) if interrupted() and not plan.repeatable else ()


def _about(told: Sequence[Sitting]) -> tuple[Note, ...]:
    from genplan.plan import Note, NoteKind

    return (Note(kind=NoteKind.TOLD_AS_MET),) if told else ()


def plan_weeks(
    folder: Path,
    week: Week | None,
    count: int,
    now: datetime | None,
    out: Path | None,
    progress: Progress,
    show: Show | None = None,
) -> tuple[PlanOutcome, ...]:
    """Plans `count` weeks, each as if every probe of the week before were met and in its share of the run's time; with
    `out` each is written into a folder of its own there, named by the week: all weeks or none. If it is interrupted,
    these are the weeks until then, the last with the best that was found. Raises as `plan`."""
    from genplan.keeping.optimistic_log import optimistic_log
    from genplan.plan import Note, NoteKind
    from genplan.planning.interruption import interrupted, interruptible
    from genplan.planning.progress import Phase, PhaseProgress

    opened = open_case(folder, now)
    budget, was_run = budget_of(opened), opened.log
    wanted = wanted_week(week, opened.now)
    outcomes: list[PlanOutcome] = []
    watch = Watch(progress, show)
    with interruptible():
        with solvers(watch) as executor:
            for number in range(count):
                progress(f"planning {wanted}")
                share = budget.of_one_of(count - number)
                outcome = plan_opened(opened, wanted, executor, watch, share, [o.plan.week for o in outcomes])
                if outcomes:
                    weeks = tuple(o.plan.week for o in outcomes)
                    notes = [Note(kind=NoteKind.PLANNED_AS_MET, weeks=weeks)]
                    if _has_unwritten(outcomes[0].plan, was_run):
                        notes.append(Note(kind=NoteKind.UNWRITTEN_AS_MET, weeks=weeks[:1]))
                    outcome = replace(outcome, plan=_with_notes(outcome.plan, notes))
                outcomes.append(replace(outcome, log=was_run))
                opened = replace(opened, log=optimistic_log(opened.log, outcome.plan.sittings))
                wanted = wanted.next()
                if interrupted():
                    break
        if out is not None:
            watch(PhaseProgress(Phase.WRITING))
            write_plans(out, {str(o.plan.week): o for o in outcomes})
    return tuple(outcomes)


def _has_unwritten(plan: Plan, log: Log) -> bool:
    """Whether a probe or a teaching has begun of which no row speaks."""
    return any(left_unwritten(s, log) for s in plan.sittings if s.begun)


def write_plan(out: Path, outcome: PlanOutcome) -> None:
    """Every file that a plan leaves, written into the folder as a whole or not at all."""
    from genplan.folders import write_folder

    write_folder(out, _files_of(outcome))


def write_plans(out: Path, outcomes: Mapping[str, PlanOutcome]) -> None:
    """The same for several plans, each in the folder of its name below `out`: all of them or none."""
    from genplan.folders import write_folder

    write_folder(
        out,
        {f"{folder}/{name}": data for folder, o in outcomes.items() for name, data in _files_of(o).items()},
    )


def _files_of(outcome: PlanOutcome) -> dict[str, bytes]:
    from genplan.evidence.familiarity import who_has_probed
    from genplan.planning.hours_used import hours_used
    from genplan.report.adult_page import adult_pages
    from genplan.report.calendars import calendar_files
    from genplan.report.document import plan_json, run_json
    from genplan.report.fridge_page import fridge_pages
    from genplan.report.messages import messages
    from genplan.report.page import week_page
    from genplan.report.sheets import sheets_page
    from genplan.report.tables import coverage_table, csv_bytes, matrix_table, plan_table
    from genplan.report.timetable import timetable_files
    from genplan.report.week_changes import change_texts

    case, week_plan = outcome.case, outcome.plan
    files = {
        "plan.csv": csv_bytes(plan_table(case, week_plan)),
        "matrix.csv": csv_bytes(matrix_table(case, week_plan.matrix, week_plan.planned())),
        "coverage.csv": csv_bytes(coverage_table(case, week_plan)),
        "plan.json": plan_json(case, week_plan),
        "run.json": run_json(outcome.run),
        "week.html": week_page(case, week_plan, curves=_curves(outcome)).encode("utf-8"),
        "sheets.html": sheets_page(case, week_plan, probed=who_has_probed(outcome.log)).encode("utf-8"),
    }
    minutes = hours_used(case, week_plan.week, outcome.busy, week_plan.sittings)
    files |= timetable_files(case, week_plan.week, week_plan.sittings, minutes)
    files |= adult_pages(case, week_plan) | fridge_pages(case, week_plan) | messages(case, week_plan)
    files |= change_texts(case, week_plan.week, week_plan.now, outcome.differences)
    return files | calendar_files(case, week_plan, outcome.told)


def _curves(outcome: PlanOutcome) -> dict[str, tuple[Point, ...]]:
    """How the coverage of each target grew from the first row of all until now; of none without a row."""
    from genplan.coverage.curve import curve

    today = outcome.plan.now.date()
    first = min((r.date for r in outcome.log.results if r.date <= today), default=None)
    if first is None:
        return {}
    targets = [outcome.case.targets[c.target] for c in outcome.plan.coverage]
    return {t.id: curve(outcome.case, t, outcome.log, first, today) for t in targets}


def _run_report(found: Planned, checking: float, answers: Counter[str]) -> RunReport:
    from importlib.metadata import version

    from genplan import __version__
    from genplan.plan import RunReport

    versions = {
        "genplan": __version__,
        **{n: version(n) for n in ("ortools", "pandas", "icalendar", "tzdata")},
    }
    step = {"step": "checking", "seconds": round(checking, 3), "stages": {}}
    return RunReport(
        found.seconds | {"checking": checking},
        found.sizes,
        versions,
        (*found.steps, step),
        dict(sorted(answers.items())),
    )
