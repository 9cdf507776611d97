"""What invented lives have in common: rows of what was planned, by dice that do not depend on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from math import sqrt
from random import Random
from statistics import fmean, stdev
from typing import ClassVar

import scipy

from genplan.case import Case, Combination, Target, Week
from genplan.coverage.tally import Tally, tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ProbeKind, Sitting
from tests.fixtures.planning_cases import ZONE

MET = 0.85


class Life:
    """A caseload with its dice, and all that is written down of it.

    - `kinds`: how rows say what is not a probe as any other
    - `why_not`: what the row of a sitting that fell through says"""

    kinds: ClassVar[Mapping[ProbeKind, ResultKind]]
    why_not: ClassVar[str]

    def __init__(self, case: Case, seed: int) -> None:
        self.case, self.seed = case, seed
        self.log, self._line = Log(), 1

    def is_held(self, s: Sitting) -> bool:
        raise NotImplementedError

    def write(self, sittings: Iterable[Sitting]) -> None:
        rows = []
        for s in sittings:
            held = self.is_held(s)
            for p in s.probes:
                met = Random(f"{self.seed} {p.target} {p.combination} {s.start.date()}").random() < MET
                kind = self.kinds.get(p.kind, ResultKind.PROBE) if held else ResultKind.NOT_RUN
                rows.append(self._row(p.target, p.combination, s.start, kind, met=met))
        self.log = Log.of((*self.log.results, *rows))

    def teach(self, week: Week) -> None:
        """What was not met, on the Sunday."""
        at = datetime.combine(week.sunday, time(9), ZONE)
        rows = [
            self._row(t.id, c, at, ResultKind.TEACHING, met=True)
            for t in self.case.targets.values()
            for c, s in self.tally(t, week.sunday).standings.items()
            if s.waits_for_teaching
        ]
        self.log = Log.of((*self.log.results, *rows))

    def tally(self, target: Target, day: date) -> Tally:
        return tally(self.case, target, self.log, day)

    def _row(
        self, target: str, combination: Combination, at: datetime, kind: ResultKind, *, met: bool
    ) -> Result:
        self._line += 1
        counted = kind is not ResultKind.NOT_RUN
        return Result(
            line=self._line,
            date=at.date(),
            time=at.time(),
            target=target,
            kind=kind,
            combination=combination,
            trials=5 if counted else None,
            correct=(5 if met else 2) if counted else None,
            note="" if counted else self.why_not,
        )


def gained(differences: list[float], by: int) -> str:
    """The mean of the differences between two lives with the same dice, and its interval of 95 %."""
    mean, n = fmean(differences), len(differences)
    half = scipy.stats.t.ppf(0.975, n - 1) * stdev(differences) / sqrt(n) if n > 1 else float("nan")
    return f"{by * mean:+.2f} ({by * (mean - half):+.2f} to {by * (mean + half):+.2f})"
