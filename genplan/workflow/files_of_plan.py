"""Each file of a plan by its name. Who reads this module in loads all that draws."""

from __future__ import annotations

from typing import TYPE_CHECKING

from genplan.coverage.curve import Point, curve
from genplan.evidence.familiarity import who_has_probed
from genplan.planning.hours_used import hours_used
from genplan.report.adult_page import adult_pages
from genplan.report.calendars import calendar_files
from genplan.report.change_texts import change_texts
from genplan.report.document import plan_json, run_json
from genplan.report.fridge_page import fridge_pages
from genplan.report.messages import messages
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from genplan.report.tables import coverage_table, csv_bytes, matrix_table, plan_table
from genplan.report.timetable import timetable_files

if TYPE_CHECKING:
    from genplan.workflow.planning import PlanOutcome


def files_of_plan(outcome: PlanOutcome) -> dict[str, bytes]:
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
    today = outcome.plan.now.date()
    first = min((r.date for r in outcome.log.results if r.date <= today), default=None)
    if first is None:
        return {}
    targets = [outcome.case.targets[c.target] for c in outcome.plan.coverage]
    return {t.id: curve(outcome.case, t, outcome.log, first, today) for t in targets}
