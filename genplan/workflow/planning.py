"""A week, or several, planned from a case folder and written as files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from genplan.case import Absence, Case, Week
from genplan.errors import AuditError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.days_ill import ill_notes, kept_free
from genplan.workflow.facts_to_plan_by import NONE_PLANNED, FactsToPlanBy, PlannedWeeks, facts_of
from genplan.workflow.notes_of_plan import (
    about_its_end,
    about_term,
    about_told,
    closed_notes,
    home_notes,
    left_unwritten,
    mastery_notes,
    teaching_notes,
    unplanned_notes,
    unwritten_notes,
)
from genplan.workflow.opened_case import Opened, Progress, open_case, wanted_week
from genplan.workflow.solving import answers_so_far, solvers
from genplan.workflow.watching import Show, Watch
from genplan.workflow.writing import load_what_writes, write_plan, write_plans

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from genplan.evidence.log import Log
    from genplan.keeping.deeper import Deeper
    from genplan.keeping.differences import Difference
    from genplan.keeping.told import KeptWeek, Told
    from genplan.plan import Note, Plan, RunReport
    from genplan.plan.term import Term
    from genplan.planning.budget import Budget
    from genplan.planning.planner import Planned
    from genplan.planning.progress import Say


@dataclass(frozen=True)
class PlanOutcome:
    """`findings` are warnings of the case and of the week, `about_week` those that a plan says in full.
    `told` is what calendars tell with this plan. `kept` is what people were told of the week before, None if
    nothing; `differences` are what the plan would change in it. `log` is what was run. `deeper` is what a search that
    may disturb more people brought, where one was asked for. `busy` are the busy times it was planned round, `term` is
    the term that it follows."""

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
    term: Term | None = None


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
    watch = Watch(progress, show, _load_what_follows if out is not None else None)
    with interruptible():
        with solvers(watch) as executor:
            outcome = plan_opened(opened, wanted, executor, watch, budget)
        if out is not None:
            watch(PhaseProgress(Phase.WRITING))
            write_plan(out, outcome)
    return outcome


def _load_what_follows() -> None:
    """What checks and writes the plan is loaded while it is searched for: a quarter of a second of one that waits."""
    with suppress(Exception):  # told where it is needed
        import genplan.audit  # noqa: F401

        load_what_writes()


def plan_opened(
    opened: Opened,
    week: Week,
    executor: Executor,
    progress: Say,
    budget: Budget,
    planned: PlannedWeeks = NONE_PLANNED,
    facts: FactsToPlanBy | None = None,
    fewest_told: bool | None = None,
) -> PlanOutcome:
    """The plan of a week of an opened case, found within the budget and checked by the auditor. The log holds what the
    weeks in `planned` would show already; `facts` are the week's, where they were read before. `fewest_told`: as few
    people as possible are told something new; None: once the week has begun. Raises as `plan` does."""
    from genplan.audit import audit
    from genplan.evidence.teaching_owed import rows_that_pay_nothing
    from genplan.keeping.dates_told import with_told
    from genplan.keeping.differences import differences
    from genplan.keeping.revision import revise
    from genplan.planning.planner import plan_week
    from genplan.planning.progress import Phase, PhaseProgress
    from genplan.workflow.term_ahead import term_to_follow

    opened = kept_free(opened)
    facts, now, before_it = facts or facts_of(opened, week, planned), opened.now, answers_so_far(executor)
    case, log, busy, kept_week = facts.case, facts.log, facts.busy, facts.kept_week
    term = facts.term or term_to_follow(opened, facts, week, executor, progress, budget)
    found = plan_week(
        opened.case,
        log,
        week,
        now,
        busy,
        facts.kept,
        executor,
        progress,
        budget,
        fewest_told=fewest_told,
        term=term,
        lately=facts.lately,
        began=[s for s in kept_week.sittings if s.start < now] if kept_week else (),
    )
    progress(PhaseProgress(Phase.CHECKING))
    began = monotonic()
    complaints = audit(case, log, found.plan, busy, facts.kept, facts.lately)
    checking = monotonic() - began
    if complaints:
        raise AuditError(complaints)
    before = kept_week.told if kept_week else ()
    lapsed, met = mastery_notes(opened)
    before_it_too = (*about_told(facts.told_before), *unwritten_notes(opened, week))
    lacking = unplanned_notes(opened, log, found.plan)
    notes = (
        *ill_notes(opened, week),
        *found.plan.notes,
        *lacking,
        *teaching_notes(opened, found.plan),
        *about_term(term),
        *met,
        *closed_notes(case, week),
        *home_notes(case, found.plan),
        *before_it_too,
    )
    week_plan = replace(
        found.plan,
        notes=(*lapsed, *about_its_end(found.plan), *notes),
        missed=tuple(with_told(case, found.plan.missed, kept_week.sittings if kept_week else ())),
        repeatable=found.plan.repeatable and (term is None or term.repeatable),
    )
    wishes = case.wishes
    told = revise(before, week_plan.sittings, now, settled=False, case_id=case.case_id, wishes=wishes)
    changed = differences(before, week_plan.sittings, now, wishes, case) if kept_week else ()
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
        term=term,
    )


def budget_of(opened: Opened) -> Budget:
    """How long a run may take from now on, by the policy: all that it plans, however many weeks, draws from it."""
    from genplan.planning.budget import Budget

    return Budget.of(opened.case.policy.solver.seconds)


def _with_notes(plan: Plan, more: Iterable[Note]) -> Plan:
    return replace(plan, notes=(*plan.notes, *more))


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
    from genplan.keeping.told import KeptWeek
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
                progress(_("planning {wanted}", wanted=wanted))
                share = budget.of_one_of(count - number)
                planned = {o.plan.week: KeptWeek(o.plan.week, opened.now, o.told) for o in outcomes}
                outcome = plan_opened(opened, wanted, executor, watch, share, planned)
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
    return any(left_unwritten(s, log, plan.sittings) for s in plan.sittings if s.begun)


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
