"""The probes and teachings that a plan.csv holds, to be proposed or filled in."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from genplan.case import Case, Combination
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import CaseError, unreadable
from genplan.evidence.delimited_text import Row, read_sheet
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.moments import clock_of, day_of
from genplan.evidence.results import columns_of
from genplan.evidence.sheet_faults import MOST_FAULTS, quoted, too_many
from genplan.files import read_file
from genplan.findings import Finding, Severity
from genplan.language import N_, _, said

PLAN_COLUMNS = ("week", "sitting", "learner", "start", "end", "beside", "beside_as")
"""What plan.csv has beside the columns that results.csv has too."""
PLANNED_KINDS: Mapping[str, ResultKind] = {
    "new": ResultKind.PROBE,
    "retest": ResultKind.PROBE,
    "maintenance": ResultKind.MAINTENANCE,
    "teaching": ResultKind.TEACHING,
    "baseline": ResultKind.BASELINE,
}
"""Kind of a planned probe -> kind of the row that records it."""
MOST_BYTES = 20_000_000
A_MOMENT = N_("a moment such as 2026-12-01T15:30:00+00:00")


@dataclass(frozen=True)
class PlannedProbe:
    """A probe, or a teaching. `start` is the sitting's, aware and in the case's zone; `observer` is the adult who is to
    count too, or empty."""

    sitting: str
    target: str
    kind: ResultKind
    combination: Combination
    start: datetime
    trials: int
    observer: str = ""

    def is_told_by(self, row: Result) -> bool:
        """Whether rows of this kind tell what becomes of it: a lesson tells nothing of a probe, nor a probe of one."""
        if self.kind is ResultKind.TEACHING:
            return row.kind.tells_of_lessons
        return row.kind is not ResultKind.TEACHING


def read_planned(file: Path, case: Case) -> tuple[PlannedProbe, ...]:
    """The rows of a plan.csv in its order. Raises FileError if it cannot be opened, CaseError with every
    row that does not fit the case."""
    try:
        data = read_file(file, MOST_BYTES)
    except OSError as error:
        raise unreadable(file, error) from error
    columns = (*PLAN_COLUMNS, *columns_of(case))
    needed = ("sitting", "target", "kind", *BASE_DIMENSIONS, "start", "trials")
    sheet, findings = read_sheet(file.name, data, columns, needed)
    probes = []
    for row in sheet.rows:
        if len(findings) >= MOST_FAULTS:
            findings.append(too_many(file.name, row.line))
            break
        probe, wrong = _probe(file.name, case, row)
        findings += wrong
        if probe:
            probes.append(probe)
    if any(f.severity is Severity.ERROR for f in findings):
        raise CaseError(findings)
    return tuple(probes)


def not_recorded(probes: Iterable[PlannedProbe], log: Log, day: date) -> tuple[PlannedProbe, ...]:
    """Those of one day of which no row of that day, target and combination speaks yet."""
    planned = [p for p in probes if p.start.date() == day]
    starts: dict[tuple[str, Combination], list[datetime]] = defaultdict(list)
    for p in planned:
        starts[p.target, p.combination].append(p.start)
    lessons: dict[tuple[str, Combination], list[datetime]] = defaultdict(list)
    for p in planned:
        if p.kind is ResultKind.TEACHING:
            lessons[p.target, p.combination].append(p.start)
    told = {(*key, start) for key, starts in lessons.items() for start in log.tells_of_lessons(*key, starts)}
    return tuple(
        p
        for p in planned
        if (
            (p.target, p.combination, p.start) not in told
            if p.kind is ResultKind.TEACHING
            else not log.speaks_of(
                p.target, p.combination, day, at=p.start, starts=starts[p.target, p.combination]
            )
        )
    )


def told_by(probes: Iterable[PlannedProbe], log: Log, day: date) -> dict[PlannedProbe, tuple[Result, ...]]:
    """The rows that tell what became of each that is planned for a day, every row of one alone: those with its time,
    else the next of the day that tells of no other, as `Log.tells_of_lessons` has it. What is left over without a time
    is of the last one."""
    found: dict[PlannedProbe, list[Result]] = {}
    same: dict[tuple[str, Combination], list[PlannedProbe]] = defaultdict(list)
    for p in sorted((p for p in probes if p.start.date() == day), key=lambda p: p.start):
        found[p] = []
        same[p.target, p.combination].append(p)
    for (target, combination), planned in same.items():
        rest: list[Result] = []
        for row in log.all_of_target(target):
            if row.date == day and row.combination == combination:
                at = next((p for p in planned if p.start.time() == row.time and p.is_told_by(row)), None)
                (found[at] if at else rest).append(row)
        for p in planned:
            if not found[p] and (own := [row for row in rest if p.is_told_by(row)]):
                rest.remove(own[0])
                found[p].append(own[0])
        last = planned[-1]
        found[last] += [row for row in rest if row.time is None and last.is_told_by(row)]
    return {p: tuple(rows) for p, rows in found.items()}


def moment_of(text: str, case: Case) -> datetime | None:
    """A `start` as plan.csv or a spreadsheet writes it, in the case's zone; None if it cannot be read."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        day, _, clock = text.partition(" ")
        try:
            moment = datetime.combine(day_of(day), clock_of(clock.strip()))
        except InvalidValue:
            return None
    if moment.tzinfo is None:
        return moment.replace(tzinfo=case.timezone)
    try:
        return moment.astimezone(case.timezone)
    except OverflowError:  # beyond the first or the last year that a date may have
        return None


def _probe(file: str, case: Case, row: Row) -> tuple[PlannedProbe | None, list[Finding]]:
    cells = {**dict.fromkeys(("start", "trials"), ""), **row.cells}
    target, start = case.targets.get(cells["target"]), moment_of(cells["start"], case)
    wrong = {
        "start": "" if start else said(A_MOMENT),
        "kind": "" if cells["kind"] in PLANNED_KINDS else _("one of {kinds}", kinds=", ".join(PLANNED_KINDS)),
        "trials": "" if re.fullmatch("[0-9]{1,4}", cells["trials"]) else _("a whole number"),
        "target": "" if target else _("a target of the case"),
    }
    for dimension in target.dimensions if target else ():
        if cells.get(dimension.name, "") not in dimension.values:
            wrong[dimension.name] = _("a value that '{target}' varies", target=cells["target"])
    hint = _("if the case has changed since, plan the week again")
    findings = [
        Finding(file, row.line, key, _("found {text}", text=quoted(cells.get(key, ""))), expected, hint)
        for key, expected in wrong.items()
        if expected
    ]
    if findings or target is None or start is None:
        return None, findings
    combination = tuple(cells[name] for name in target.dimension_names)
    kind, trials = PLANNED_KINDS[cells["kind"]], int(cells["trials"])
    counts_too = kind is not ResultKind.TEACHING and observer_of(row) in case.adults
    observer = observer_of(row) if counts_too else ""
    return PlannedProbe(cells["sitting"], target.id, kind, combination, start, trials, observer), []


def observer_of(row: Row) -> str:
    """The adult whom the plan asks to count too; empty if nobody."""
    return row.cells.get("beside", "") if row.cells.get("beside_as") == "observer" else ""
