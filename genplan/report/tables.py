"""plan.csv, matrix.csv and coverage.csv as data frames and as bytes.

Ids everywhere, moments in ISO 8601 with offset, an empty cell where there is nothing. The columns of the
extra dimensions are those of all targets of the case, sorted by name, so that they do not depend on what was
planned.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from fractions import Fraction
from typing import Any

import pandas as pd

from genplan.case import Case, Combination
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.formula_cells import escape_formula
from genplan.plan import Plan, Sitting, TargetCoverage, ids_of
from genplan.text.matrix_rows import row_text

BESIDE_COLUMNS = ("beside", "beside_as")
COVERAGE_COLUMNS = tuple(f.name for f in fields(TargetCoverage))


def extra_dimensions(case: Case) -> tuple[str, ...]:
    """The names of all dimensions beyond adult, location and material set that some target varies, sorted."""
    return tuple(sorted({d.name for t in case.targets.values() for d in t.extra_dimensions}))


def plan_table(case: Case, plan: Plan) -> pd.DataFrame:
    """One row a probe or teaching, in the order of the plan. Two columns for a second adult come last, in a case whose
    policy asks for one or a plan that has one."""
    extra = extra_dimensions(case)
    policy = case.policy
    beside = bool(
        policy.observed_share or policy.accompany_new_adults or any(s.beside for s in plan.sittings)
    )
    head = ["week", "sitting", "learner", "target", "kind", *BASE_DIMENSIONS, *extra]
    rows = [
        [
            str(plan.week),
            s.id,
            s.learner,
            p.target,
            p.kind.value,
            *values_cells(case, p.target, p.combination, extra),
            s.start.isoformat(),
            s.end.isoformat(),
            p.trials,
            *((s.beside, s.beside_as.value) if beside else ()),
        ]
        for s in plan.sittings
        for p in s.probes
    ]
    tail = ["start", "end", "trials", *(BESIDE_COLUMNS if beside else ())]
    return frame([*head, *tail], rows, ["trials"])


def matrix_table(
    case: Case, rows: Iterable[MatrixRow], planned: Mapping[tuple[str, Combination], tuple[Sitting, ...]]
) -> pd.DataFrame:
    """One row a combination; `planned` holds the ids of the sittings that hold it this week, in order of time, or is
    empty."""
    extra = extra_dimensions(case)
    head = ["learner", "target", *BASE_DIMENSIONS, *extra]
    cells = []
    for row in rows:
        seats = planned.get((row.target, row.combination), ())
        known = row.standing
        cells.append(
            [
                row.learner,
                row.target,
                *values_cells(case, row.target, row.combination, extra),
                row.status,
                known.last_date.isoformat() if known.last_date else "",
                known.correct,
                known.trials,
                ids_of(seats),
                row_text(case, row),
            ]
        )
    tail = ["status", "last_date", "correct", "trials", "planned", "why"]
    return frame([*head, *tail], cells, ["correct", "trials"])


def coverage_table(case: Case, plan: Plan) -> pd.DataFrame:
    """One row a target, in the order of the plan; the numbers are of tuples, the last two of probes."""
    rows = [[getattr(c, column) for column in COVERAGE_COLUMNS] for c in plan.coverage]
    return frame(COVERAGE_COLUMNS, rows, COVERAGE_COLUMNS[2:])


def csv_bytes(table: pd.DataFrame) -> bytes:
    """UTF-8 without a mark, lines end in LF. A text that a spreadsheet would run as a formula gets an
    apostrophe before it, in the file only, as in results.csv; numbers are never touched."""
    # mapping makes fractions of whole numbers where some are missing
    safe = table.map(_safe).astype(dict(table.dtypes))
    safe.columns = pd.Index([_safe(c) for c in table.columns])
    text: str = safe.to_csv(index=False, lineterminator="\n")
    return text.encode("utf-8", "replace")


def _safe(cell: Any) -> Any:
    # the writer puts no quotes round a lone CR, and readers take it for the end of the row
    return escape_formula(cell).replace("\r", " ") if isinstance(cell, str) else cell


def yes_or_no(is_set: bool, is_met: bool) -> str:
    """Empty where nothing is asked for."""
    return ("yes" if is_met else "no") if is_set else ""


def share_cell(share: Fraction | None) -> str:
    """With three places; empty where there is none."""
    return "" if share is None else f"{float(share):.3f}"


def values_cells(case: Case, target: str, combination: Combination, extra: Sequence[str]) -> list[str]:
    """The values of a combination, then a cell for each extra dimension, empty where the target has none."""
    given = dict(zip(case.targets[target].dimension_names, combination, strict=True))
    return [given.get(name, "") for name in (*BASE_DIMENSIONS, *extra)]


def frame(columns: Sequence[str], rows: Iterable[Sequence[Any]], whole: Sequence[str] = ()) -> pd.DataFrame:
    """All cells as they are; the numbers in the columns `whole` stay whole where some are missing."""
    table = pd.DataFrame([list(r) for r in rows], columns=list(columns), dtype=object)
    return table.astype(dict.fromkeys(whole, "Int64"))
