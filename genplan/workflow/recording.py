"""What was run, written down: one row as typed, a filled sheet, a correction, the probes of a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Target, Week
from genplan.errors import FileError, UsageError
from genplan.findings import Finding
from genplan.workflow.opening import Opened, open_case

if TYPE_CHECKING:
    from genplan.evidence.log import Result
    from genplan.evidence.planned import PlannedProbe


KEPT = "weeks"


PLAN_FILE = "plan.csv"


@dataclass(frozen=True)
class RecordRequest:
    """What was typed of one result; what is None is filled in: the target's trials, today, nothing else."""

    target: str
    adult: str
    location: str
    material_set: str
    extra: Mapping[str, str] = field(default_factory=dict)
    kind: str = "probe"
    date: date | None = None
    time: time | None = None
    trials: int | None = None
    correct: int | None = None
    prompted: int | None = None
    observer: str | None = None
    observer_correct: int | None = None
    note: str | None = None


@dataclass(frozen=True)
class RecordOutcome:
    sentence: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Added:
    """`results` as they are read back; `skipped` are sentences on lines of a sheet that were not added."""

    results: tuple[Result, ...]
    skipped: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Proposed:
    """A case ready to be asked about: `probes` are planned for `day` and not written down yet. `source` is
    the plan they come from, None if there is none."""

    opened: Opened
    day: date
    probes: tuple[PlannedProbe, ...]
    source: Path | None


def record(folder: Path, entry: RecordRequest, now: datetime | None) -> RecordOutcome:
    """Adds one result to results.csv, or raises and leaves the file as it was."""
    from genplan.evidence.record import append_result

    opened = open_case(folder, now)
    row = _row_of(entry, opened)
    result, warnings = append_result(folder, opened.case, row, opened.wall)
    counted = f"{result.correct} of {result.trials} correct" if result.trials else str(result.kind.value)
    sentence = f"Added to results.csv, line {result.line}: {result.target}, {', '.join(result.combination)}: {counted}."
    return RecordOutcome(sentence, warnings)


def _row_of(entry: RecordRequest, opened: Opened) -> dict[str, str]:
    target = opened.case.targets.get(entry.target)
    trials = entry.trials
    if entry.kind in ("probe", "maintenance"):
        if entry.correct is None:
            raise UsageError(
                "How many trials were correct? Nothing was added. If it was not run, say so, with the reason as a note."
            )
        if trials is None and target is not None:
            trials = target.trials
    cells = {
        "date": (entry.date or opened.now.date()).isoformat(),
        "time": entry.time.strftime("%H:%M") if entry.time else "",
        "target": entry.target,
        "kind": entry.kind,
        "adult": entry.adult,
        "location": entry.location,
        "material_set": entry.material_set,
        "observer": entry.observer or "",
        "note": entry.note or "",
        **entry.extra,
    }
    numbers = {
        "trials": trials,
        "correct": entry.correct,
        "prompted": entry.prompted,
        "observer_correct": entry.observer_correct,
    }
    return cells | {name: "" if n is None else str(n) for name, n in numbers.items()}


def record_sheet(folder: Path, file: Path, now: datetime | None) -> Added:
    """Adds what was filled in on a sheet: all of it, or nothing with every line that cannot be read."""
    from genplan.evidence.filled import read_filled
    from genplan.evidence.record import append_results

    opened = open_case(folder, now)
    sheet = read_filled(file, opened.case, opened.log)
    skipped = [
        f"Line {line} of {file.name} is in results.csv already, line {there}." for line, there in sheet.known
    ]
    if sheet.empty:
        lines = ", ".join(map(str, sheet.empty))
        skipped.append(f"Nothing is filled in on line {lines} of {file.name}: left out.")
    if not sheet.rows:
        return Added((), tuple(skipped), sheet.warnings)
    results, warnings = append_results(folder, opened.case, sheet.rows, opened.wall)
    return Added(results, tuple(skipped), (*sheet.warnings, *warnings))


def record_rows(opened: Opened, rows: Sequence[Mapping[str, str]]) -> Added:
    """Adds rows given as text by column, as the questions on a terminal give them."""
    from genplan.evidence.record import append_results

    results, warnings = append_results(opened.folder, opened.case, rows, opened.wall)
    return Added(results, (), warnings)


def correct(folder: Path, line: int, changes: Mapping[str, str], now: datetime | None) -> Added:
    """Adds a row that counts in place of the probe on a line of results.csv: the same probe with other
    counts.

    Raises UsageError for a line that holds no probe, or that another row corrects already."""
    from genplan.evidence.valid import corrected_by

    opened = open_case(folder, now)
    old = next((r for r in opened.log.results if r.line == line), None)
    if old is None:
        raise UsageError(
            f"results.csv has no row that starts on line {line}. 'genplan history' shows the lines."
        )
    if not old.kind.is_test:
        raise UsageError(
            f"Line {line} is '{old.kind.value}', which no later row can correct. Add what was run as a row of its own."
        )
    if later := corrected_by(opened.log.results).get(line):
        raise UsageError(f"Line {line} is corrected by line {later} already. Correct that one.")
    return record_rows(opened, [{**_cells_of(opened.case.targets[old.target], old), **changes}])


def _cells_of(target: Target, result: Result) -> dict[str, str]:
    """The cells of a row that was read."""
    counts = ("trials", "correct", "prompted", "observer_correct")
    cells = {name: "" if getattr(result, name) is None else str(getattr(result, name)) for name in counts}
    return cells | {
        "date": result.date.isoformat(),
        "time": f"{result.time:%H:%M}" if result.time else "",
        "target": result.target,
        "kind": result.kind.value,
        "observer": result.observer,
        "note": result.note,
        **dict(zip(target.dimension_names, result.combination, strict=True)),
    }


def propose(folder: Path, day: date | None, plan_folder: Path | None, now: datetime | None) -> Proposed:
    """The probes of a day that a plan holds and of which no row speaks: of the plan in `plan_folder`, or else
    of the kept plan of the day's week. Raises FileError if a plan that was named is not there."""
    from genplan.evidence.planned import not_recorded, read_planned

    opened = open_case(folder, now)
    on = day or opened.now.date()
    file = (plan_folder or folder / KEPT / str(Week.of(on))) / PLAN_FILE
    if not file.is_file():
        if plan_folder is not None:
            raise FileError(f"There is no {file}: name the folder that 'genplan plan --out' wrote.")
        return Proposed(opened, on, (), None)
    return Proposed(opened, on, not_recorded(read_planned(file, opened.case), opened.log, on), file)
