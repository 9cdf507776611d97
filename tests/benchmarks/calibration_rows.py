"""What was stated of simulated children and what came true: kept in a file, and asked."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from genplan.evidence.intervals import Interval, clopper_pearson
from tests.benchmarks.rows import PAGE

KEPT = PAGE / "calibration.json"


@dataclass(frozen=True)
class Stated:
    """One range. `what` is the criterion or the coverage; `share` the share of the courses in the range from the week
    `first` to `last`, `true` the week in which it came true, as indices."""

    shape: str
    rate: float
    spread: float
    before: int
    seed: int
    what: str
    first: int
    last: int
    share: float
    true: int

    @property
    def held(self) -> bool:
        return self.first <= self.true <= self.last


@dataclass(frozen=True)
class Share:
    """Of some ranges: how many held, how many were to by their own shares, and on which side the others were missed."""

    ranges: int
    held: int
    stated: float
    sooner: int
    later: int

    @property
    def part(self) -> float:
        return self.held / self.ranges

    @property
    def interval(self) -> Interval:
        return clopper_pearson(self.held, self.ranges)


def share_of(rows: Iterable[Stated]) -> Share:
    """Raises ZeroDivisionError without a row."""
    some = list(rows)
    return Share(
        ranges=len(some),
        held=sum(r.held for r in some),
        stated=sum(r.share for r in some) / len(some),
        sooner=sum(r.true < r.first for r in some),
        later=sum(r.true > r.last for r in some),
    )


def read(path: Path = KEPT) -> list[Stated]:
    return [Stated(**row) for row in json.loads(path.read_text("utf-8"))] if path.exists() else []


def write(rows: Sequence[Stated], path: Path = KEPT) -> None:
    lines = ",\n".join(json.dumps(asdict(r)) for r in rows)
    path.write_text(f"[\n{lines}\n]\n", "utf-8")
