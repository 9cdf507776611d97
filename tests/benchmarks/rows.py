"""The rows of the benchmark: measured, kept in a file, merged, and asked."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.fixtures.places import EXAMPLES

PAGE = EXAMPLES / "benchmark"
KEPT = PAGE / "rows.json"


@dataclass(frozen=True)
class Row:
    """One way at one size. `run` is the minute in which the command that measured it was started: ratios are only taken
    between rows of one run. `limit` is what the way was allowed, None where it ends by itself. `bound` is what the way
    proves of all weeks; seconds, memory in MB."""

    learners: int
    seed: int
    way: str
    run: str
    value: float
    bound: float | None
    proven: bool
    wall: float
    cpu: float
    largest: float
    together: float | None
    limit: float | None
    sizes: str
    cores: int
    memory: float
    versions: str
    targets: int = 5

    @property
    def case(self) -> tuple[int, int, int]:
        return self.learners, self.targets, self.seed


def read(path: Path = KEPT) -> list[Row]:
    return [Row(**row) for row in json.loads(path.read_text("utf-8"))] if path.exists() else []


def merged(old: Iterable[Row], new: Iterable[Row]) -> list[Row]:
    """The rows by size, in the order of the new ones or else the old; a new row takes the place of an old one of the
    same size and way."""
    by_key = {(r.case, r.way): r for r in (*old, *new)}
    return sorted(by_key.values(), key=lambda r: r.case)


def write(rows: Sequence[Row], path: Path = KEPT) -> None:
    lines = ",\n".join(json.dumps(asdict(r)) for r in rows)
    path.write_text(f"[\n{lines}\n]\n", "utf-8")


def proven_bound(rows: Iterable[Row], case: tuple[int, int, int]) -> float | None:
    """The lowest of the bounds that were proven of this case, by whichever way."""
    return min((r.bound for r in rows if r.case == case and r.bound is not None), default=None)


def short(row: Row, bound: float | None) -> float | None:
    """By how many hundredths the row is below the bound."""
    return None if bound is None else (100 * (1 - row.value / bound) if bound else 0.0)


def planner_of(rows: Iterable[Row], row: Row) -> Row | None:
    """The planner's row of the same size and the same run."""
    same = (r for r in rows if (r.case, r.way, r.run) == (row.case, "planner", row.run))
    return next(same, None)
