"""What was stated of simulated children and what came true: kept in a file, and asked."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from genplan.evidence.intervals import Interval, clopper_pearson
from tests.benchmarks.rows import PAGE

KEPT = PAGE / "calibration.json"
CHOICES = PAGE / "calibration-choice.json"


@dataclass(frozen=True)
class Stated:
    """One range. `what` is the criterion or the coverage; `share` the share of the courses in the range from the week
    `first` to `last`, `earlier` that of those before it, `true` the week in which it came true, as indices."""

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
    earlier: float

    @property
    def held(self) -> bool:
        return self.first <= self.true <= self.last


@dataclass(frozen=True)
class Share:
    """Of some ranges: how many held, and on which side the others were missed; beside each what they stated, as the
    mean of their own shares."""

    ranges: int
    held: int
    stated: float
    sooner: int
    later: int
    stated_sooner: float

    @property
    def part(self) -> float:
        return self.held / self.ranges

    @property
    def stated_later(self) -> float:
        return max(0.0, 1 - self.stated - self.stated_sooner)

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
        stated_sooner=sum(r.earlier for r in some) / len(some),
    )


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What ranges of one set of children said with one belief of rates, and what came of them, as shares. The ranges
    are those that say about 8 of 10. What was stated of sooner and later was not kept of the first set."""

    where: str
    belief: str
    ranges: int
    held: float
    stated: float
    sooner: float
    later: float
    stated_sooner: float | None = None
    stated_later: float | None = None


def about_8_of_10(rows: Iterable[Stated]) -> list[Stated]:
    """Without those of which a single week holds nearly all courses, or too few: they say so."""
    return [r for r in rows if 0.7 <= r.share <= 0.9]


def choice_of(where: str, belief: str, rows: Iterable[Stated]) -> Choice:
    s = share_of(about_8_of_10(rows))
    return Choice(
        where=where,
        belief=belief,
        ranges=s.ranges,
        held=round(s.part, 4),
        stated=round(s.stated, 4),
        sooner=round(s.sooner / s.ranges, 4),
        stated_sooner=round(s.stated_sooner, 4),
        later=round(s.later / s.ranges, 4),
        stated_later=round(s.stated_later, 4),
    )


def read_choices(path: Path = CHOICES) -> list[Choice]:
    return [Choice(**one) for one in json.loads(path.read_text("utf-8"))] if path.exists() else []


def write_choices(choices: Sequence[Choice], path: Path = CHOICES) -> None:
    path.write_text(json.dumps([asdict(c) for c in choices], indent=1) + "\n", "utf-8")


def read(path: Path = KEPT) -> list[Stated]:
    return [Stated(**row) for row in json.loads(path.read_text("utf-8"))] if path.exists() else []


def write(rows: Sequence[Stated], path: Path = KEPT) -> None:
    lines = ",\n".join(json.dumps(asdict(r)) for r in rows)
    path.write_text(f"[\n{lines}\n]\n", "utf-8")
