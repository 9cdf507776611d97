"""Adding rows to results.csv: whole or not at all, and nothing of what is there is touched."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path

from genplan.case import Case
from genplan.errors import CaseError, FileError, unreadable
from genplan.evidence.delimited_text import BOM, Sheet, ending_of, lines_of, row_of, said_by_cell
from genplan.evidence.formula_cells import escape_formula
from genplan.evidence.log import Log, Result
from genplan.evidence.results import COLUMNS, FILE_NAME, MOST_BYTES, columns_of, parse_results
from genplan.evidence.row_identity import in_names, replaced
from genplan.files import held, read_file, rewrite
from genplan.findings import Finding, Severity, nearest
from genplan.language import _

EMPTY = " \n"
"""A line that says nothing; the blank keeps the CR of the line before from making one ending of the two."""

Meanwhile = Callable[[Log, Sequence[Result]], None]
"""Looks at the rows that are there, and at those that are to be added."""


def two_of_a_day(old: Result) -> str:
    """What to do if a row and the one that speaks of the same probe or teaching are two of them after all."""
    if old.kind.is_probe:
        return _("if they are two probes of that day, give each its time: then both count")
    return _("if they are two teachings of that day, give each its time: then both count")


def append_results(
    folder: Path,
    case: Case,
    rows: Sequence[Mapping[str, str]],
    now: datetime | None = None,
    *,
    corrects: bool = False,
    meanwhile: Meanwhile | None = None,
) -> tuple[tuple[Result, ...], tuple[Finding, ...]]:
    """Appends rows, given as text by column name, all of them or none; a column left out is an empty cell.

    Returns the rows that count as they are read back and the warnings about all: where one counts in the place of
    another, too, but for rows that are meant as a correction (`corrects`). `meanwhile` is asked once nobody else can
    change the file, and raises what it will. Raises CaseError if a row, or the file that is there, has errors, and
    FileError if the file cannot be written; the file is then as it was."""
    _refuse_unknown_columns(case, rows)
    path = (folder / FILE_NAME).resolve()
    if not path.parent.is_dir():
        raise FileError(_("There is no folder {folder}; nothing was added.", folder=path.parent))
    with results_locked(folder):
        old = bytes_of(path)
        sheet, log, findings = parse_results(old, case, now)
        refuse_errors(findings, _("nothing was added: correct the file first"))
        kept = ready_for(old, sheet, case, rows)
        cells = ([escape_formula(as_cell(row.get(c, ""))) for c in kept.header] for row in rows)
        new = [row_of(own, kept.delimiter, kept.ending) for own in cells]
        data = kept.bom + "".join((*kept.lines, *new)).encode("utf-8")
        to_read = data
        if data.startswith(old):
            targets = {said_by_cell("target", as_cell(row.get("target", ""))) for row in rows}
            lines = _without_what_is_apart(kept.lines, sheet, _bearing_on(targets, log, findings))
            to_read = kept.bom + "".join((*lines, *new)).encode("utf-8")
        results, warnings = _read_back(to_read, case, _starts(len(kept.lines), new), now)
        if meanwhile:
            meanwhile(log, results)
        lost = rewrite(path, data)
    replacing = () if corrects else _which_counts(case, log, results)
    return results, (*warnings, *replacing, *rights_lost(path, lost))


def results_locked(folder: Path) -> AbstractContextManager[None]:
    """One run at a time changes the results of a case. Raises FileError."""
    path = (folder / FILE_NAME).resolve()
    return held(path.with_name(f".{path.name}.lock"), str(path))


def _which_counts(case: Case, log: Log, results: Sequence[Result]) -> Iterator[Finding]:
    """A warning for each row that counts in the place of another of the same probe that says something else."""
    for one in replaced(log, results):
        if replace(one.old, line=one.new.line) != one.new:
            what = _(
                "counts in the place of line {line} ({row}), which stays",
                line=one.old.line,
                row=in_names(case, one.old),
            )
            yield Finding(FILE_NAME, one.new.line, "", what, "", two_of_a_day(one.old), Severity.WARNING)


def rights_lost(path: Path, lost: str) -> tuple[Finding, ...]:
    """What is said where a rewritten file is no longer whose it was."""
    if not lost:
        return ()
    found = _("the file was written, but {lost} could not stay as before", lost=lost)
    hint = _("whoever shares the folder should look whether they can still read {path}", path=path.name)
    return (Finding(str(path), 0, "", found, "", hint, Severity.WARNING),)


def bytes_of(path: Path) -> bytes:
    try:
        return read_file(path, MOST_BYTES)
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise unreadable(path, error) from error


def _refuse_unknown_columns(case: Case, rows: Sequence[Mapping[str, str]]) -> None:
    columns = columns_of(case)
    unknown = dict.fromkeys(name for row in rows for name in row if name not in columns)
    if unknown:
        raise CaseError(
            [
                Finding(
                    "the new row",
                    0,
                    n,
                    _("unknown column '{name}'", name=n),
                    _("one of {columns}", columns=", ".join(columns)),
                    nearest(n, columns),
                )
                for n in unknown
            ]
        )


def refuse_errors(findings: Sequence[Finding], hint: str) -> None:
    errors = [f for f in findings if f.severity is Severity.ERROR]
    if errors:
        raise CaseError([replace(f, hint=f"{hint}; {f.hint}" if f.hint else hint) for f in errors])


@dataclass(frozen=True)
class KeptLines:
    """The lines that stay before the new rows, and the form in which to write these."""

    lines: Sequence[str]
    header: tuple[str, ...]
    delimiter: str
    ending: str
    bom: bytes


def ready_for(old: bytes, sheet: Sheet, case: Case, rows: Sequence[Mapping[str, str]]) -> KeptLines:
    """The old text with a header, the columns that the new rows need, and an end of line at its end."""
    bom = BOM if old.startswith(BOM) else b""
    lines = lines_of(old.removeprefix(BOM).decode("utf-8"))
    ending = (ending_of(lines[0]) if lines else "") or "\n"
    wanted = [c for c in columns_of(case) if any(row.get(c) for row in rows)]
    header = sheet.header
    if not header:
        header = (*COLUMNS, *(c for c in wanted if c not in COLUMNS))
        lines = [row_of(header, sheet.delimiter, ending)]
    for column in wanted:
        if column not in header:
            header = (*header, column)
            _add_column(lines, sheet.delimiter, column)
    if not ending_of(lines[-1]):
        lines[-1] += ending
    return KeptLines(lines, header, sheet.delimiter, ending, bom)


def _add_column(lines: list[str], delimiter: str, column: str) -> None:
    """One more cell at the end of each row, the column's name in the first: nothing else changes, but that a row that
    ends before the columns without a name is filled up."""
    reader = csv.reader(list(lines), delimiter=delimiter, strict=True)
    cell, width = column, 0
    for cells in reader:
        if not any(c.strip() for c in cells):
            continue
        last = reader.line_num - 1
        ending = ending_of(lines[last])
        width = width or len(cells)
        missing = delimiter * max(1, width + 1 - len(cells))
        lines[last] = lines[last].removesuffix(ending) + missing + cell + ending
        cell = ""


def as_cell(text: str) -> str:
    """Line breaks of one kind, and no character that UTF-8 cannot hold."""
    return text.strip().replace("\r\n", "\n").replace("\r", "\n").encode("utf-8", "replace").decode("utf-8")


def _starts(before: int, new: Sequence[str]) -> list[int]:
    """The line on which each new row starts."""
    starts, next_line = [], before + 1
    for row in new:
        starts.append(next_line)
        next_line += len(lines_of(row))
    return starts


def _bearing_on(targets: Set[str], log: Log, findings: Sequence[Finding]) -> set[int]:
    """Lines of the rows on which it hangs what is found about a new row of these targets: the others of the target,
    whoever wrote a second person's name first, and what was said of a day or a time."""
    found = {f.line for f in findings if f.key in ("date", "time")}
    found.update(r.line for r in log.results if r.target in targets)
    first: dict[str, int] = {}
    for row in log.results:
        if row.observer:
            first.setdefault(row.observer, row.line)
    return found.union(first.values())


def _without_what_is_apart(lines: Sequence[str], sheet: Sheet, bearing: Set[int]) -> Sequence[str]:
    """An empty line for each line of all other rows. They were read without an error a moment ago and stay as they are,
    byte for byte: to read 200,000 of them again took as long as all the rest."""
    if not sheet.lines:
        return lines
    header = sheet.lines[0] - 1
    kept = [*lines[:header], *[EMPTY] * (len(lines) - header)]
    for start, after in pairwise((*sheet.lines, len(lines) + 1)):
        if start in bearing:
            kept[start - 1 : after - 1] = lines[start - 1 : after - 1]
    return kept


def _read_back(
    data: bytes, case: Case, starts: Sequence[int], now: datetime | None
) -> tuple[tuple[Result, ...], tuple[Finding, ...]]:
    """The new rows as they will be read, and the warnings about them."""
    _sheet, log, findings = parse_results(data, case, now)
    names = {
        s: _("the new row") if len(starts) == 1 else _("new row {id}", id=i) for i, s in enumerate(starts, 1)
    }
    refuse_errors(
        [replace(f, file=names.get(f.line, f.file), line=0) for f in findings], _("nothing was added")
    )
    new = tuple(sorted((r for r in log.results if r.line in names), key=lambda r: r.line))
    away = len(names.keys() & {*(r.line for r in log.taken_back), *(r.line for r in log.unread)})
    if len(new) + away != len(starts):
        raise FileError(
            _("The new rows could not be read back, so nothing was added; the file is as it was.")
        )
    return new, tuple(f for f in findings if f.line in names)
