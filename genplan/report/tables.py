"""plan.csv, matrix.csv and coverage.csv as tables and as bytes.

Ids everywhere, moments in ISO 8601 with offset, an empty cell where there is nothing. The columns of the
extra dimensions are those of all targets of the case, sorted by name, so that they do not depend on what was
planned.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from fractions import Fraction
from functools import lru_cache
from typing import Any, Self

from genplan.case import Case, Combination
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.formula_cells import escape_formula
from genplan.plan import Plan, Sitting, TargetCoverage, ids_of
from genplan.text.matrix_rows import row_text

BESIDE_COLUMNS = ("beside", "beside_as")
COVERAGE_COLUMNS = tuple(f.name for f in fields(TargetCoverage))


@dataclass(frozen=True)
class Table:
    """Plain cells under the names of their columns; in the columns `whole` are whole numbers, or nothing. As plain
    values, since who writes a file has no use for a data frame, and a library of frames takes longer to load than most
    files take to write."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]
    whole: frozenset[str] = frozenset()

    @classmethod
    def of(cls, columns: Iterable[str], rows: Iterable[Iterable[Any]], whole: Iterable[str] = ()) -> Self:
        return cls(tuple(columns), tuple(map(tuple, rows)), frozenset(whole))

    def column(self, name: str) -> tuple[Any, ...]:
        at = self.columns.index(name)
        return tuple(row[at] for row in self.rows)

    def without(self, names: Collection[str]) -> Self:
        left = [at for at, name in enumerate(self.columns) if name not in names]
        rows = ([row[at] for at in left] for row in self.rows)
        return self.of((self.columns[at] for at in left), rows, self.whole.difference(names))


def extra_dimensions(case: Case) -> tuple[str, ...]:
    """The names of all dimensions beyond adult, location and material set that some target varies, sorted."""
    return tuple(sorted({d.name for t in case.targets.values() for d in t.extra_dimensions}))


def plan_table(case: Case, plan: Plan) -> Table:
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
    return Table.of([*head, *tail], rows, ["trials"])


def matrix_table(
    case: Case, rows: Iterable[MatrixRow], planned: Mapping[tuple[str, Combination], tuple[Sitting, ...]]
) -> Table:
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
    return Table.of([*head, *tail], cells, ["correct", "trials"])


def coverage_table(case: Case, plan: Plan) -> Table:
    """One row a target, in the order of the plan; the numbers are of tuples, the last two of probes."""
    rows = [[getattr(c, column) for column in COVERAGE_COLUMNS] for c in plan.coverage]
    return Table.of(COVERAGE_COLUMNS, rows, COVERAGE_COLUMNS[2:])


def csv_bytes(table: Table) -> bytes:
    """UTF-8 without a mark, lines end in LF. A text that a spreadsheet would run as a formula gets an
    apostrophe before it, in the file only, as in results.csv; numbers are never touched."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(_safe, table.columns))
    writer.writerows(map(_safe, row) for row in table.rows)
    return text.getvalue().encode("utf-8", "replace")


def _safe(cell: Any) -> Any:
    return _safe_text(cell) if isinstance(cell, str) else cell


@lru_cache(maxsize=4000)  # a large table is mostly the same few ids
def _safe_text(text: str) -> str:
    # the writer puts no quotes round a lone CR, and readers take it for the end of the row
    return escape_formula(text).replace("\r", " ")


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
