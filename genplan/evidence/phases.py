"""Everything that was run of one target, by day, as a graph of a single learner tells it: what each point is, and where
one phase ends and the next begins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from genplan.case import Combination, Target, TargetState
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Result, ResultKind
from genplan.language import N_


class PointKind(StrEnum):
    """What was run. `BASELINE`: a probe while the skill is still taught, kept apart from the others; `AGAIN`: one of a
    combination that had been probed before."""

    TEACHING = N_("teaching")
    BASELINE = N_("baseline")
    FIRST = N_("first probe")
    AGAIN = N_("probe again")
    MAINTENANCE = N_("maintenance")
    NOT_RUN = N_("not run")


class Phase(StrEnum):
    """What a phase follows on. `BASELINE`: before the first teaching; `AFTER_TEACHING`: probes since a teaching that
    came after mastery."""

    BASELINE = N_("baseline")
    TAUGHT = N_("taught")
    MASTERED = N_("mastered")
    AFTER_TEACHING = N_("after teaching")


@dataclass(frozen=True, kw_only=True)
class PhasePoint:
    """One row that counts. `met` is None for what is no test."""

    kind: PointKind
    phase: Phase
    result: Result
    met: bool | None = None

    @property
    def share(self) -> float | None:
        """Of the trials that were correct without help."""
        return (self.result.correct or 0) / self.result.trials if self.result.trials else None


@dataclass(frozen=True)
class PhaseChange:
    """`phase` begins with the day `on`; `after` are the teachings it follows on, where it is one of those. `first` is
    the row that it begins with, if it does not begin with the day."""

    on: date
    phase: Phase
    after: tuple[Result, ...] = ()
    first: Result | None = None

    def has_begun(self, row: Result) -> bool:
        return self.on <= row.date and (self.first is None or self.first.moment <= row.moment)


@dataclass(frozen=True)
class Course:
    """All points of a target in order of time, and the changes of phase that lie among them or on their first day."""

    points: tuple[PhasePoint, ...]
    changes: tuple[PhaseChange, ...]

    def of_kind(self, kind: PointKind) -> tuple[PhasePoint, ...]:
        return tuple(p for p in self.points if p.kind is kind)


def course_of(target: Target, log: Log) -> Course:
    """Rows that others correct are left out. What comes before `mastered_on`, or before the first test where the case
    does not say when, is the phase of teaching, and what comes before the first row of that, the baseline. Each stretch
    of teaching after mastery is followed by a phase of its own, which begins with the first test after it: points
    before and after it are not to be joined."""
    rows = log.of_target(target.id)
    gone = corrected_of(target, log)
    counted = [r for r in rows if not r.kind.is_probe or (r.trials and r.line not in gone)]
    changes = tuple(_changes(target, counted))
    return Course(tuple(_points(target, counted, changes)), changes)


def _changes(target: Target, rows: Sequence[Result]) -> Iterator[PhaseChange]:
    mastered = _mastered_on(target, rows)
    yield from _before_mastery(target, [r for r in rows if mastered is None or r.date < mastered])
    if mastered is None:
        return
    yield PhaseChange(mastered, Phase.MASTERED)
    taught: list[Result] = []
    for row in (r for r in rows if r.date >= mastered):
        if row.kind is ResultKind.TEACHING:
            taught.append(row)
        elif row.kind.is_test and taught:
            yield PhaseChange(row.date, Phase.AFTER_TEACHING, tuple(taught))
            taught = []


def _before_mastery(target: Target, rows: Sequence[Result]) -> Iterator[PhaseChange]:
    """Baseline probes come before the first teaching, or the first test. Where `taught` tells of teaching and no row
    does, nobody knows whether they did."""
    begun = next((r for r in rows if r.kind is ResultKind.TEACHING or r.kind.is_test), None)
    before = [r for r in rows if begun is None or r.moment < begun.moment]
    is_told = any(r.kind is ResultKind.TEACHING for r in rows) or not target.taught
    if is_told and any(r.kind is ResultKind.BASELINE for r in before):
        yield PhaseChange(before[0].date, Phase.BASELINE)
        if begun:
            yield PhaseChange(begun.date, Phase.TAUGHT, first=begun)
    elif rows:
        yield PhaseChange(rows[0].date, Phase.TAUGHT)


def _mastered_on(target: Target, rows: Iterable[Result]) -> date | None:
    if target.state is TargetState.TEACHING:
        return None
    return target.mastered_on or next((r.date for r in rows if r.kind.is_test), None)


def _points(target: Target, rows: Iterable[Result], changes: Sequence[PhaseChange]) -> Iterator[PhasePoint]:
    """`rows` and `changes` are in order of time; the first change has begun with the first row."""
    probed: set[Combination] = set()
    begun = 0
    for row in rows:
        while begun < len(changes) and changes[begun].has_begun(row):
            begun += 1
        met = row.meets(target.pass_mark) if row.kind.is_test else None
        yield PhasePoint(kind=_kind(row, probed), phase=changes[begun - 1].phase, result=row, met=met)
        if row.kind.is_test:
            probed.add(row.combination)


def _kind(row: Result, probed: set[Combination]) -> PointKind:
    if row.kind is ResultKind.PROBE:
        return PointKind.AGAIN if row.combination in probed else PointKind.FIRST
    return PointKind(row.kind.value)
