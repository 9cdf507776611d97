"""Whole weeks: all objectives of a caseload with a history, wishes and maintenance, by the planner as it is and by
variants of it. A variant is another version, or the planner without one of its parts."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from genplan.plan import COVERAGE
from tests.benchmarks.rows import PAGE
from tests.fixtures.random_cases import CASELOAD, random_case, random_log, write_case

KEPT = PAGE / "whole_rows.json"
TARGETS = 6
VERSION, WITHOUT = "version", "without"
AS_IT_IS = "as it is"
"""The variant that others are held against."""

SENSES = {name.value: 1 for name in COVERAGE}
"""All else is better the less it is."""


@dataclass(frozen=True, kw_only=True)
class WholeRow:
    """One variant on one case. `kind` is what varies; `values` and `proven` are of the plan's objectives, by name.
    Ratios are only taken between rows of one `run`, the minute in which its command was started. Seconds, MB."""

    learners: int
    seed: int
    kind: str
    variant: str
    run: str
    wall: float
    cpu: float
    largest: float
    values: Mapping[str, float]
    proven: Sequence[str] = ()
    cores: int
    memory: float
    versions: str
    targets: int = TARGETS
    together: float | None = field(default=None)

    @property
    def case(self) -> tuple[int, int, int]:
        return self.learners, self.targets, self.seed

    @property
    def further_and_sittings(self) -> float:
        return self.values.get("further probes", 0) + self.values.get("sittings", 0)


def write_whole_case(learners: int, targets: int, seed: int, folder: Path) -> Path:
    """The written case: everything that a caseload has, and what was run before, but no maintenance, which older
    versions count by other rules. The work alone limits the search: what the clock cuts short says nothing."""
    case = random_case(seed, **{**CASELOAD, "learners": learners, "targets": targets})
    limits = replace(case.policy.solver, seconds=100_000)
    case = replace(
        case,
        policy=replace(case.policy, solver=limits),
        targets={i: replace(t, maintenance_days=()) for i, t in case.targets.items()},
    )
    return write_case(case, folder, random_log(case, seed))


def coverage_is_the_same(one: WholeRow, other: WholeRow) -> bool:
    return all(one.values.get(name, 0) == other.values.get(name, 0) for name in SENSES)


def first_that_differs(one: WholeRow, other: WholeRow) -> tuple[str, float] | None:
    """The first objective of the coverage in which the two differ, and by how much the one is better."""
    for name in SENSES:
        if difference := one.values.get(name, 0) - other.values.get(name, 0):
            return name, difference
    return None


def base_of(rows: Iterable[WholeRow], row: WholeRow) -> WholeRow | None:
    """The planner as it is, on the same case in the same run."""
    same = (r for r in rows if (r.case, r.kind, r.run) == (row.case, row.kind, row.run))
    return next((r for r in same if r.variant == AS_IT_IS), None)


def read(path: Path = KEPT) -> list[WholeRow]:
    return [WholeRow(**row) for row in json.loads(path.read_text("utf-8"))] if path.exists() else []


def merged(old: Iterable[WholeRow], new: Sequence[WholeRow]) -> list[WholeRow]:
    """What was measured anew takes the place of all rows of the same case and kind: the ratios are of one run."""
    anew = {(r.case, r.kind) for r in new}
    left = [r for r in old if (r.case, r.kind) not in anew]
    return sorted([*left, *new], key=lambda r: (r.kind, r.case))


def write(rows: Sequence[WholeRow], path: Path = KEPT) -> None:
    lines = ",\n".join(json.dumps(asdict(r)) for r in rows)
    path.write_text(f"[\n{lines}\n]\n", "utf-8")
