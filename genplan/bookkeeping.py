"""The verbs about what was run: recording it in other ways than by one row, reading its history, judging it.

Like `workflow`: each function reads what it needs and gives back plain values; none of them prints.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from genplan.case import Case, Target, Week
from genplan.errors import FileError, UsageError
from genplan.findings import Finding, nearest
from genplan.workflow import Opened, open_case

if TYPE_CHECKING:
    from genplan.coverage.review import Review
    from genplan.evidence.history import Entry
    from genplan.evidence.log import Result
    from genplan.evidence.planned import PlannedProbe

T = TypeVar("T")

KEPT = "weeks"
PLAN_FILE = "plan.csv"


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


@dataclass(frozen=True)
class HistoryView:
    case: Case
    target: Target
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Reviews:
    """One review for each learner who was asked for; `now` is what counted as now."""

    case: Case
    reviews: tuple[Review, ...]
    now: datetime
    findings: tuple[Finding, ...]


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
    results, warnings = append_results(folder, opened.case, sheet.rows, _wall(opened))
    return Added(results, tuple(skipped), (*sheet.warnings, *warnings))


def record_rows(opened: Opened, rows: Sequence[Mapping[str, str]]) -> Added:
    """Adds rows given as text by column, as the questions on a terminal give them."""
    from genplan.evidence.record import append_results

    results, warnings = append_results(opened.folder, opened.case, rows, _wall(opened))
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
    return record_rows(opened, [{**_row_of(opened.case.targets[old.target], old), **changes}])


def _row_of(target: Target, result: Result) -> dict[str, str]:
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


def history_of(folder: Path, target_id: str, chosen: Mapping[str, str], now: datetime | None) -> HistoryView:
    """Every row of a target, or of its combinations that hold the chosen values."""
    from genplan.evidence.history import history

    opened = open_case(folder, now)
    target = _known("target", target_id, opened.case.targets)
    for name, value in chosen.items():
        if name not in target.dimension_names:
            hint = nearest(name, target.dimension_names) or f"it varies {', '.join(target.dimension_names)}."
            raise UsageError(f"'{target.id}' does not vary '{name}'; {hint}")
        values = {r.combination[target.dimension_names.index(name)] for r in opened.log.of_target(target.id)}
        values |= next(set(d.values) for d in target.dimensions if d.name == name)
        if value not in values:
            hint = nearest(value, values) or f"it has {', '.join(sorted(values))}."
            raise UsageError(f"'{target.id}' has no {name.replace('_', ' ')} '{value}'; {hint}")
    return HistoryView(opened.case, target, history(target, opened.log, chosen), opened.findings)


def progress(folder: Path, learner: str | None, now: datetime | None) -> Reviews:
    """What all results say so far, for one learner or each: a review from the first row to now."""
    opened = open_case(folder, now)
    today = opened.now.date()
    first = min((r.date for r in opened.log.results), default=today)
    return _reviews(opened, learner, min(first, today), today)


def review(
    folder: Path,
    first: date,
    last: date,
    learner: str | None,
    out: Path | None,
    now: datetime | None,
    names: bool,
) -> Reviews:
    """What happened in a span of days and what is owed at its end; with `out`, a page and tables for each
    learner, all files or none. Raises UsageError for a span that ends before it begins."""
    opened = open_case(folder, now)
    if last < first:
        raise UsageError(
            f"The span ends on {last}, before it begins on {first}. Put the earlier day under --from."
        )
    found = _reviews(opened, learner, first, last)
    if out is not None:
        _write(out, found, names)
    return found


def _reviews(opened: Opened, learner: str | None, first: date, last: date) -> Reviews:
    from genplan.coverage.review import review as review_learner

    if learner is not None:
        _known("learner", learner, opened.case.learners)
    wanted = [learner] if learner is not None else list(opened.case.learners)
    made = tuple(review_learner(opened.case, one, opened.log, first, last) for one in wanted)
    return Reviews(opened.case, made, opened.now, opened.findings)


def _write(out: Path, found: Reviews, names: bool) -> None:
    from genplan.report.folder import write_folder
    from genplan.report.review_page import review_page
    from genplan.report.review_tables import review_tables
    from genplan.report.tables import csv_bytes

    files = {
        f"review-{r.learner}.html": review_page(found.case, r, found.now, names).encode("utf-8")
        for r in found.reviews
    }
    files |= {name: csv_bytes(table) for name, table in review_tables(found.case, found.reviews).items()}
    write_folder(out, files)


def _known(kind: str, typed: str, known: Mapping[str, T]) -> T:
    if typed not in known:
        hint = nearest(typed, known) or f"it has {', '.join(sorted(known)) or 'none'}."
        raise UsageError(f"The case has no {kind} '{typed}'; {hint}")
    return known[typed]


def _wall(opened: Opened) -> datetime:
    return opened.now.replace(tzinfo=None)
