"""The front door for programs: read a case, plan a week, check it, explain it, look ahead, choose what to teach; all
answers are tables.

Each table is a pandas frame whose index says what a row is. Nothing here prints or writes a file. A moment without a
zone is in the case's own. What cannot be read or planned raises a `GenplanError`, whose text is for people.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.case.week import MOST_WEEKS
from genplan.errors import UsageError
from genplan.language import _
from genplan.workflow import PlanOutcome, open_case, plan_opened, refuse_past
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.opened_case import Opened
from genplan.workflow.planning import budget_of

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from genplan.plan import Plan
    from genplan.report.frames import Frame


def read_case(folder: str | os.PathLike[str], now: datetime | str | None = None) -> Opened:
    """A case folder with its results as values: `.case`, `.log`, and warnings in `.findings`.

    `now` is the moment that counts as now, a datetime or a text such as ``2026-11-29T12:00``; the clock if left out.
    Raises CaseError with everything that is wrong in the folder, UsageError for what is no moment."""
    try:
        moment = datetime.fromisoformat(now) if isinstance(now, str) else now
    except ValueError:
        moment = None
    if now is not None and not isinstance(moment, datetime):
        raise UsageError(_("{now} is not a moment such as '2026-11-29T12:00' or a datetime.", now=repr(now)))
    return open_case(Path(folder), moment)


@dataclass(frozen=True)
class PlannedWeek:
    """A week that was planned and audited, as values in `.outcome.plan` and as tables."""

    outcome: PlanOutcome

    @property
    def plan(self) -> Plan:
        return self.outcome.plan

    @property
    def probes(self) -> Frame:
        """A row a probe or teaching, by `sitting` and `target`. Columns as in plan.csv; `start` and `end`, those of the
        sitting, are aware moments in the case's zone, half-open."""
        from genplan.report.frames import probes_frame

        return probes_frame(self.outcome.case, self.plan)

    @property
    def coverage(self) -> Frame:
        """A row a target, by `learner` and `target`. Columns as in coverage.csv: numbers of tuples, and at the end of
        probes."""
        from genplan.report.frames import coverage_frame

        return coverage_frame(self.outcome.case, self.plan)

    @property
    def matrix(self) -> Frame:
        """A row a combination, by learner, target and the value of each dimension. Columns as in matrix.csv."""
        from genplan.report.frames import matrix_frame

        return matrix_frame(self.outcome.case, self.plan)

    @property
    def objectives(self) -> Frame:
        """A row an objective, by `name`, in the order in which they count: its `value`, the proven `bound`, the
        `status` of the claim, and `shortfall`, the share by which a better plan can beat the value at most."""
        from genplan.report.frames import objectives_frame

        return objectives_frame(self.plan)

    @property
    def left_out(self) -> Frame:
        """A row for each thing that was owed and is not planned, by `learner` and `target`, with one true reason;
        `tuples` is how many open tuples it stands for."""
        from genplan.report.frames import left_out_frame

        return left_out_frame(self.outcome.case, self.plan.left_out)


def plan_week(case: Opened, week: str | Week | None = None, executor: Executor | None = None) -> PlannedWeek:
    """Plans a week such as ``2026-W49``, or the one after now; the auditor has checked what is returned.

    `executor` is any `concurrent.futures.Executor`. Without one, processes are started and ended again: in a script,
    call it below ``if __name__ == "__main__":``. Raises UsageError for a week that is over, CaseError for calendars or
    kept weeks that cannot be read, SolverError, and AuditError if the plan breaks a rule."""
    from genplan.planning.solver_pool import process_pool

    wanted = _week(case, week)
    refuse_past(wanted, case.now)
    if executor is not None:
        return PlannedWeek(plan_opened(case, wanted, executor, _silent, budget_of(case)))
    with process_pool() as pool:
        return PlannedWeek(plan_opened(case, wanted, pool, _silent, budget_of(case)))


def check_plan(case: Opened, plan: Plan) -> tuple[str, ...]:
    """What is wrong with a plan, a sentence each; empty for a sound one. Each rule and figure is worked out once more
    by code that shares nothing with the planner. `dataclasses.replace` makes a changed plan to be checked."""
    from genplan.audit import audit

    facts = facts_of(case, plan.week)
    return audit(facts.case, facts.log, plan, facts.busy, facts.kept, facts.lately)


def explain_week(case: Opened, week: str | Week | None = None, learner: str | None = None) -> Frame:
    """`PlannedWeek.left_out` with stronger reasons, found by planning again with each thing asked for. The folder is
    read anew. Raises as `plan_week` does."""
    from genplan.report.frames import left_out_frame
    from genplan.workflow import why

    found = why(case.folder, _week(case, week), case.now, _silent, learner, at_length=True)
    return left_out_frame(found.case, found.why.left_out)


def look_ahead(case: Opened, weeks: int = 12, week: str | Week | None = None) -> Frame:
    """How long it will take: a row for each criterion, coverage and dated wish, by `learner`, `target` and `what`,
    looking so many weeks ahead, 1 to 26, from `week` on. The folder is read anew. Raises as `plan_week` does."""
    from genplan.report.frames import forecast_frame
    from genplan.workflow import forecast

    _refuse_weeks(weeks)
    found = forecast(case.folder, _week(case, week), case.now, weeks, _silent)
    return forecast_frame(found.case, found.forecast)


def plan_term(case: Opened, weeks: int = 12, week: str | Week | None = None) -> Frame:
    """So many weeks planned ahead, 1 to 26, from `week` on, for the dates in them: a row for each date by `learner`,
    `target` and `wanted`. `promise` says whether it is in time; `attrs` of the frame hold how many are `kept` and the
    proven `bound` on that. The folder is read anew. Raises as `plan_week` does."""
    from genplan.report.frames import term_frame
    from genplan.workflow import term

    _refuse_weeks(weeks)
    found = term(case.folder, _week(case, week), case.now, weeks, _silent)
    return term_frame(found.case, found.term)


def choose_exemplars(case: Opened, targets: Sequence[str] = (), span: str = "each-value") -> Frame:
    """The fewest combinations to teach, and the fewest to leave untaught and probe, so that either hold each value of
    these targets (of all that are not paused if none is named), or the ``pairs``, ``triples`` or ``all`` of `span`.

    A row a combination by `learner`, `target` and `what`: taught (already), teach, probe, cannot teach or cannot probe.
    Columns: the value of each dimension, and `why`. Raises UsageError for a target or a span that there is not."""
    from genplan.report.frames import exemplars_frame
    from genplan.workflow import exemplars_of

    found = exemplars_of(case, targets, span)
    return exemplars_frame(found.case, found.found)


def count_coverage(case: Opened) -> Frame:
    """How far each mastered target is, without planning: a row a target, by `learner` and `target`, with the numbers of
    tuples: `possible`, `shown` (tested or taught), `tested`, `met` and `met_untaught` (met without teaching)."""
    from genplan.coverage.tally import tally
    from genplan.report.frames import tally_frame

    return tally_frame(tally(case.case, t, case.log, case.now.date()) for t in case.case.mastered)


def _refuse_weeks(weeks: int) -> None:
    if weeks not in range(1, MOST_WEEKS + 1):
        raise UsageError(
            _("{weeks} is not a number of weeks from 1 to {most}.", weeks=repr(weeks), most=MOST_WEEKS)
        )


def _week(case: Opened, week: str | Week | None) -> Week:
    if week is None:
        return Week.of(case.now.date()).next()
    try:
        return week if isinstance(week, Week) else Week.parse(str(week))
    except ValueError as error:
        raise UsageError(
            _("{error}. Name one such as {week}.", error=error, week=Week.of(case.now.date()).next())
        ) from error


def _silent(_: object) -> None:
    """Nobody is told how far it is."""
