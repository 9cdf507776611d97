"""What all results say: the matrix, the history of a target, the progress of a learner, a review of a span."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Combination, Target, Week
from genplan.errors import UsageError
from genplan.findings import Finding, nearest
from genplan.language import _, and_list, for_files, ngettext, said
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Opened, kept_ahead, open_case

if TYPE_CHECKING:
    from genplan.coverage.matrix import MatrixRow
    from genplan.coverage.review import Review
    from genplan.evidence.delimited_text import Row
    from genplan.evidence.history import Entry
    from genplan.evidence.log import Result
    from genplan.plan import Sitting

    Rows = tuple[tuple[Result, ...], ...]


@dataclass(frozen=True)
class MatrixView:
    """`planned` says which combinations sit in the kept plan of the present week and are not written down yet."""

    case: Case
    rows: tuple[MatrixRow, ...]
    planned: Mapping[tuple[str, Combination], tuple[Sitting, ...]]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class HistoryView:
    """`values` are those by which the rows can be chosen: what a dimension varies, and what was run besides. Those that
    are `unread` were taken back, and a cell of theirs cannot be read."""

    case: Case
    target: Target
    entries: tuple[Entry, ...]
    values: Mapping[str, tuple[str, ...]]
    findings: tuple[Finding, ...]
    taken_back: tuple[Result, ...] = ()
    unread: tuple[Row, ...] = ()
    on: date | None = None
    """The day as of which it is told."""


@dataclass(frozen=True)
class Reviews:
    """One review for each learner who was asked for; `now` is what counted as now."""

    case: Case
    reviews: tuple[Review, ...]
    now: datetime
    findings: tuple[Finding, ...]


def matrix(
    folder: Path, now: datetime | None, learner: str | None = None, target: str | None = None
) -> MatrixView:
    """The coverage matrix of every mastered target as it stands, of one learner or one target where they are named.
    Raises UsageError for one that the case does not have."""
    return matrix_of(open_case(folder, now), learner, target)


def matrix_of(opened: Opened, learner: str | None = None, target: str | None = None) -> MatrixView:
    """`matrix` of a case that was read already."""
    from genplan.coverage.matrix import matrix as rows_of
    from genplan.coverage.tally import tally

    if target is not None:
        target = known_id(opened.case, "targets", target)
    if learner is not None:
        learner = known_id(opened.case, "learners", learner)
    day = opened.now.date()
    rows = [
        r
        for t in opened.case.mastered
        if target in (None, t.id) and learner in (None, t.learner)
        for r in rows_of(opened.case, tally(opened.case, t, opened.log, day), day)
    ]
    return MatrixView(opened.case, tuple(rows), _kept_seats(opened), opened.findings)


def _kept_seats(opened: Opened) -> dict[tuple[str, Combination], tuple[Sitting, ...]]:
    week = Week.of(opened.now.date())
    if week not in kept_ahead(opened.folder, opened.now):
        return {}
    from genplan.keeping.past_of_week import starts_of
    from genplan.workflow.week_as_told import told_week_in_force

    seats: dict[tuple[str, Combination], tuple[Sitting, ...]] = {}
    told = told_week_in_force(opened, week)
    for s in told.kept:
        for p in s.probes:
            if not opened.log.speaks_of(
                p.target,
                p.combination,
                s.start.date(),
                teaching=not p.kind.is_probe,
                at=s.start,
                starts=starts_of(p, told.told.sittings),
            ):
                key = (p.target, p.combination)
                seats[key] = (*seats.get(key, ()), s)
    return seats


def history_of(folder: Path, target_id: str, chosen: Mapping[str, str], now: datetime | None) -> HistoryView:
    """Every row of a target, or of its combinations that hold the chosen values."""
    from genplan.evidence.history import history

    opened = open_case(folder, now)
    target = opened.case.targets[known_id(opened.case, "targets", target_id)]
    values = _values_of(opened, target)
    for name, value in chosen.items():
        if name not in target.dimension_names:
            hint = nearest(name, target.dimension_names) or _(
                "it varies {names}.", names=", ".join(target.dimension_names)
            )
            raise UsageError(
                _("'{target}' does not vary '{name}'; {hint}", target=target.id, name=name, hint=hint)
            )
        if value not in values[name]:
            hint = nearest(value, values[name]) or _(
                "it has {values}.", values=", ".join(sorted(values[name]))
            )
            raise UsageError(
                _(
                    "'{target}' has no {kind} '{value}'; {hint}",
                    target=target.id,
                    kind=said(name.replace("_", " ")),
                    value=value,
                    hint=hint,
                )
            )
    away = tuple(
        r for r in opened.log.taken_back if r.target == target.id and target.matches(r.combination, chosen)
    )
    cells = {"target": target.id, **chosen}.items()
    unread = tuple(row for row in opened.log.unread if cells <= row.cells.items())
    return HistoryView(
        opened.case,
        target,
        history(target, opened.log, chosen),
        values,
        opened.findings,
        away,
        unread,
        opened.now.date(),
    )


def _values_of(opened: Opened, target: Target) -> dict[str, tuple[str, ...]]:
    rows = opened.log.of_target(target.id)
    return {
        d.name: tuple(dict.fromkeys((*d.values, *(r.combination[n] for r in rows))))
        for n, d in enumerate(target.dimensions)
    }


def progress(folder: Path, learner: str | None, now: datetime | None, out: Path | None = None) -> Reviews:
    """What all results say so far, for one learner or each: a review from the first row to now. With `out` the same as
    tables, all files or none."""
    from genplan.folders import write_folder

    found = progress_of(open_case(folder, now), learner)
    if out is not None:
        write_folder(out, progress_files(found))
    return found


def progress_of(opened: Opened, learner: str | None = None) -> Reviews:
    """`progress` of a case that was read already."""
    return _reviews(opened, learner, *_written(opened))


def written_span(folder: Path, now: datetime | None) -> tuple[date, date]:
    """The day of the first row, and today."""
    return _written(open_case(folder, now))


def _written(opened: Opened) -> tuple[date, date]:
    today = opened.now.date()
    first = min((r.date for r in opened.log.results), default=today)
    return min(first, today), today


def review(
    folder: Path,
    first: date,
    last: date,
    learner: str | None,
    out: Path | None,
    now: datetime | None,
    names: bool,
    pdf: bool = False,
) -> Reviews:
    """What happened in a span of days and what is owed at its end; with `out`, a page for each learner (with `pdf` as
    PDF too) and tables, all files or none. What is still to come is left out: the span ends today at the latest. Raises
    UsageError for a span that ends before it begins or is all to come."""
    from genplan.folders import write_folder

    opened = open_case(folder, now)
    if last < first:
        raise UsageError(
            _(
                "The span ends on {last}, before it begins on {first}. Put the earlier day first.",
                last=last,
                first=first,
            )
        )
    if first > opened.now.date():
        raise UsageError(
            _("The span begins on {first}, which is still to come. Name a day up to today.", first=first)
        )
    found = _reviews(opened, learner, first, min(last, opened.now.date()))
    if out is not None:
        write_folder(out, review_files(found, names, pdf))
    return found


def _reviews(opened: Opened, learner: str | None, first: date, last: date) -> Reviews:
    from genplan.coverage.review import review as review_learner

    if learner is not None:
        learner = known_id(opened.case, "learners", learner)
    wanted = [learner] if learner is not None else list(opened.case.learners)
    known_before = _reviewed_in(opened.case)
    made = []
    for one in wanted:
        rows = tuple(opened.log.all_of_target(t.id) for t in opened.case.targets_of(one))
        before = known_before.get((one, first, last))
        if before is None or before[0] != rows:
            before = rows, review_learner(opened.case, one, opened.log, first, last)
            known_before[one, first, last] = before
        made.append(before[1])
    return Reviews(opened.case, tuple(made), opened.now, opened.findings)


_MOST_KEPT = 500
_reviewed: tuple[Case, dict[tuple[str, date, date], tuple[Rows, Review]]] | None = None


def _reviewed_in(case: Case) -> dict[tuple[str, date, date], tuple[Rows, Review]]:
    """By learner and span the rows and the review that was made of them, while the case stays as it is: the page asks
    for all children again after each row of one."""
    global _reviewed
    last = _reviewed
    if last is None or last[0] != case or len(last[1]) > _MOST_KEPT:
        last = _reviewed = case, {}
    return last[1]


def names_in_files(case: Case, learners: Iterable[str]) -> tuple[str, ...]:
    """A sentence where ids of learners tell their names: a page calls a learner by the alias, but its file by the
    id."""
    from genplan.casefile.scalar_types import as_id

    telling = [
        i
        for i in learners
        if any(w and w in i for w in map(as_id, case.learners[i].name.split()) if len(w) > 1)
    ]
    if not telling:
        return ()
    return (
        ngettext(
            "The name of the file review-{id}.html, and the tables, hold the id {ids}, which is of the child's name:"
            " rename the file, or choose another id, before you hand it on.",
            "The names of {n} files, such as review-{id}.html, and the tables, hold the ids {ids}, which are of the"
            " children's names: rename the files, or choose other ids, before you hand them on.",
            len(telling),
            id=telling[0],
            ids=and_list([f"'{i}'" for i in telling]),
        ),
    )


def progress_files(found: Reviews) -> dict[str, bytes]:
    """The tables of `progress`, by file name."""
    from genplan.report.progress_tables import progress_tables
    from genplan.report.tables import csv_bytes

    return {name: csv_bytes(table) for name, table in progress_tables(found.reviews).items()}


@for_files()
def review_files(found: Reviews, names: bool, pdf: bool = False) -> dict[str, bytes]:
    """A page for each learner and the tables, by file name; with `pdf` each page as PDF beside it. Raises FileError
    where no browser is there to print it."""
    from genplan.report.pdf import pdf_of
    from genplan.report.review_page import review_page
    from genplan.report.review_tables import review_tables
    from genplan.report.tables import csv_bytes

    files = {
        f"review-{r.learner}.html": review_page(found.case, r, found.now, names).encode("utf-8")
        for r in found.reviews
    }
    if pdf:
        files |= {name.replace(".html", ".pdf"): pdf_of(data) for name, data in files.items()}
    return files | {
        name: csv_bytes(table) for name, table in review_tables(found.case, found.reviews).items()
    }
