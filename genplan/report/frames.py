"""The tables again for programs: frames whose index says what a row is, and whose moments are moments."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pandas as pd

from genplan.case import Case
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.tally import Tally
from genplan.forecast import Forecast
from genplan.plan import LeftOut, Plan
from genplan.plan.term import Term
from genplan.planning.spanning import Spanning
from genplan.report.exemplar_table import exemplar_table
from genplan.report.forecast_table import forecast_table
from genplan.report.tables import Table, coverage_table, extra_dimensions, matrix_table, plan_table
from genplan.report.term_table import term_table
from genplan.text.left_out import what_text
from genplan.text.limits import limit_sentence
from genplan.text.objectives import objective_words

Frame = pd.DataFrame

TARGET = ["learner", "target"]
OBJECTIVE_COLUMNS = ("name", "words", "sense", "value", "bound", "status", "shortfall")
LEFT_OUT_COLUMNS = (*TARGET, "kind", "what", "rule", "reason", "tuples")


def as_frame(table: Table) -> pd.DataFrame:
    """All cells as they are; whole numbers stay whole where some are missing."""
    frame = pd.DataFrame(list(map(list, table.rows)), columns=list(table.columns), dtype=object)
    return frame.astype({name: "Int64" for name in table.columns if name in table.whole})


def probes_frame(case: Case, plan: Plan) -> pd.DataFrame:
    """plan.csv by sitting and target; `start` and `end` are aware moments in the case's zone."""
    table = as_frame(plan_table(case, plan))
    for column in ("start", "end"):
        table[column] = pd.to_datetime(table[column], utc=True).dt.tz_convert(case.timezone.key)
    return table.set_index(["sitting", "target"])


def coverage_frame(case: Case, plan: Plan) -> pd.DataFrame:
    """coverage.csv by learner and target."""
    return as_frame(coverage_table(case, plan)).set_index(TARGET)


def matrix_frame(case: Case, plan: Plan) -> pd.DataFrame:
    """matrix.csv by learner, target and the value of each dimension."""
    table = as_frame(matrix_table(case, plan.matrix, plan.planned()))
    return table.set_index([*TARGET, *BASE_DIMENSIONS, *extra_dimensions(case)])


def objectives_frame(plan: Plan) -> pd.DataFrame:
    """The objectives by name, in the order in which they count."""
    rows = [
        [
            o.name,
            objective_words(o, by_term=plan.turns is not None, weeks_before=plan.before.weeks),
            o.sense,
            o.value,
            o.bound,
            o.status,
            o.shortfall,
        ]
        for o in plan.objectives
    ]
    return pd.DataFrame(rows, columns=list(OBJECTIVE_COLUMNS)).set_index("name")


def left_out_frame(case: Case, left_out: Sequence[LeftOut]) -> pd.DataFrame:
    """What was owed and is not planned, by learner and target."""
    rows = [
        [x.learner, x.target, x.kind, what_text(case, x), x.rule, limit_sentence(case, x.limit), x.tuples]
        for x in left_out
    ]
    return pd.DataFrame(rows, columns=list(LEFT_OUT_COLUMNS)).set_index(TARGET)


def tally_frame(tallies: Iterable[Tally]) -> pd.DataFrame:
    """Numbers of tuples by learner and target; `shown` is tested or taught, `tested` is what pages call tried, and
    `met_untaught` was met without teaching."""
    rows = [
        [
            *(t.target.learner, t.target.id),
            *(len(some) for some in (t.possible, t.shown, t.tested, t.met, t.met_untaught)),
        ]
        for t in tallies
    ]
    columns = [*TARGET, "possible", "shown", "tested", "met", "met_untaught"]
    return pd.DataFrame(rows, columns=columns).set_index(TARGET)


def term_frame(case: Case, term: Term) -> pd.DataFrame:
    """The dates of a term by learner, target and what is wanted."""
    table = as_frame(term_table(case, term)).set_index([*TARGET, "wanted"])
    table.attrs |= {"kept": term.kept, "bound": term.bound}
    return table


def forecast_frame(case: Case, forecast: Forecast) -> pd.DataFrame:
    """The forecast by learner, target and what is to be reached."""
    return as_frame(forecast_table(case, forecast)).set_index([*TARGET, "what"])


def exemplars_frame(case: Case, found: Sequence[Spanning]) -> pd.DataFrame:
    """What to teach and what to probe, by learner, target and which of the two."""
    return as_frame(exemplar_table(case, found)).set_index([*TARGET, "what"])
