"""A sheet that somebody filled in -> rows for results.csv.

Two forms are read: a table with the columns of results.csv, and a plan.csv to which the columns `correct`,
`prompted`, `observer`, `observer_correct`, `marks`, `observer_marks`, `note`, `not_run_because` and `done` were added.
As CSV with commas, semicolons or tabs, or as a spreadsheet file.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from genplan.case import Case
from genplan.case.targets import BASE_DIMENSIONS
from genplan.errors import CaseError, unreadable
from genplan.evidence.delimited_text import Row, Sheet, read_sheet
from genplan.evidence.left_open import DONE, REASON, LeftOpen
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.marks import filled_by_marks
from genplan.evidence.other_encoding import in_utf8
from genplan.evidence.planned_probes import A_MOMENT, PLAN_COLUMNS, PLANNED_KINDS, moment_of, observer_of
from genplan.evidence.results import COLUMNS, OPTIONAL, about_dates, columns_of, read_row
from genplan.evidence.row_by_itself import faults_by_itself
from genplan.evidence.rows_there import THERE, without_known
from genplan.evidence.sheet_faults import MOST_FAULTS, quoted, too_many
from genplan.evidence.spreadsheet import is_spreadsheet, table_of_spreadsheet
from genplan.evidence.taken_back import TAKEN_BACK
from genplan.files import read_file
from genplan.findings import Finding, Severity
from genplan.language import _, said
from genplan.language.typed import is_word
from genplan.language.typed_numbers import share_of

MOST_BYTES = 5_000_000
TICKS = ("x", "X", "✓", "✔")
"""What a planned teaching without counts is marked with in the column `done`, beside the word yes of any language."""
_COUNTS = ("correct", "prompted", "observer_correct", *OPTIONAL)
_OF_TRIALS = ("correct", "prompted", "observer_correct")
_FILLED = (*_COUNTS, "observer", "note", REASON, DONE)
OF_CHILD = "learner"
"""The column of a plan that says whose target a row is of."""
_OF_A_PLAN = (*PLAN_COLUMNS, REASON, DONE)


@dataclass(frozen=True)
class FilledSheet:
    """`rows` are to be added, each from the file and line of `places`. `empty` are the lines on which nothing was
    filled in, `known` the lines that are in results.csv already, each with the line there, and `taken_back` those of
    which that row was taken back, `put_right` those that say what a row said before it was changed, `but_time` those
    that are there but for the time, which only one of the two has. `warnings` speak of the file."""

    rows: tuple[Mapping[str, str], ...]
    empty: tuple[int, ...]
    known: tuple[tuple[int, int], ...]
    places: tuple[str, ...]
    warnings: tuple[Finding, ...] = ()
    taken_back: tuple[tuple[int, int], ...] = ()
    put_right: tuple[tuple[int, int], ...] = ()
    but_time: tuple[tuple[int, int], ...] = ()


def as_it_is(row: Row) -> Row:
    return row


@dataclass(frozen=True)
class AsWritten:
    """How people write: `column` is the one that another heading with these cells below it stands for, `with_ids` puts
    ids in place of names, `is_sum` knows the words for a row of sums."""

    column: Callable[[str, Set[str]], str] = lambda heading, _below: heading
    with_ids: Callable[[Row], Row] = as_it_is
    is_sum: Callable[[str], bool] = lambda _text: False


def read_filled(
    path: Path,
    case: Case,
    log: Log,
    today: date | None = None,
    written: AsWritten = AsWritten(),
) -> FilledSheet:
    """The rows of a filled sheet; a day without its year is the last such day until `today`. Raises FileError if it
    cannot be opened, CaseError with everything in it that cannot be read, by its own lines: nothing is taken from a
    sheet with an error."""
    data = _bytes_of(path)
    if is_spreadsheet(path):
        data, findings = table_of_spreadsheet(path, data)
    else:
        data, findings = in_utf8(path.name, data)
    headed = _with_headings(data, case, written.column)
    return rows_of_filled(path.name, headed, case, log, today, findings, written)


def _with_headings(data: bytes, case: Case, column: Callable[[str, Set[str]], str]) -> bytes:
    """The text with the names of columns in place of other headings, each once; every other line as it is."""
    first = re.search(rb"[^\s\xef\xbb\xbf][^\r\n]*", data)
    line = first[0].decode("utf-8", "replace") if first else ""
    if first is None or "\N{REPLACEMENT CHARACTER}" in line:
        return data
    parts = re.split("([,;\t])", line)
    there = {part.strip(' "') for part in parts}
    for at, part in enumerate(parts):
        heading = part.strip(' "')
        is_known = not heading or heading in (*columns_of(case), *_OF_A_PLAN)
        name = heading if is_known else column(heading, _below(data[first.end() :], at // 2, parts))
        if name != heading and name in (*columns_of(case), OF_CHILD) and name not in there:
            parts[at] = name
            there.add(name)
    return data[: first.start()] + "".join(parts).encode() + data[first.end() :]


def _below(data: bytes, at: int, header: Sequence[str]) -> Set[str]:
    """What the cells of a column say, as far as they can be read."""
    delimiter = max(",;\t", key=header.count)
    found: set[str] = set()
    with suppress(csv.Error):
        for cells in csv.reader(
            io.StringIO(data.decode("utf-8", "replace"), newline=""), delimiter=delimiter
        ):
            found.update(cell.strip() for cell in cells[at : at + 1])
    return found - {""}


def rows_of_filled(
    file: str,
    data: bytes,
    case: Case | None,
    log: Log,
    today: date | None,
    findings: Sequence[Finding] = (),
    written: AsWritten = AsWritten(),
) -> FilledSheet:
    """The same of the text of a table; `findings` speak of it already. Of a case that cannot be made yet only what each
    row says by itself is looked at, and no row is taken. Raises CaseError."""
    sheet, wrong = _sheet(file, data, case)
    findings = [*findings, *wrong]
    ready: list[tuple[Row, Result | Row]] = []
    empty = []
    left_open = LeftOpen(file, today, "kind" in sheet.header)
    rows_read, sums = _without_sums(file, sheet, written.is_sum)
    findings += sums
    for row in map(written.with_ids, map(left_open.filled_in, rows_read)):
        if len(findings) >= MOST_FAULTS:
            findings.append(too_many(file, row.line))
            break
        if _is_empty(row):
            empty.append(row.line)
            continue
        if row.cells["kind"].startswith(TAKEN_BACK):
            own = {n: c for n, c in row.cells.items() if n not in _OF_A_PLAN}
            ready.append((Row(row.line, own), _before_it_was_taken_back(case, Row(row.line, own))))
            continue
        as_result, wrong = _as_result(file, case, row)
        result, more = read_row(case, as_result) if case else (None, faults_by_itself(file, as_result))
        told = {"date" if f.key == "start" else f.key for f in wrong if f.key in ("start", *_OF_TRIALS)}
        findings += wrong + [_advised(row, replace(f, file=file)) for f in more if f.key not in told]
        if result:
            ready.append((_as_written(as_result, result), result))
    findings += [*about_dates(file, sheet), *about_dates(file, sheet, "start"), *left_open.findings()]
    if any(f.severity is Severity.ERROR for f in findings):
        raise CaseError(sorted(findings))
    fresh, there = without_known(ready, log, case)
    rows, places = tuple(r.cells for r in fresh), tuple(f"{file}:{r.line}" for r in fresh)
    known, taken_back, put_right, but_time = (tuple(sorted(there[what].items())) for what in THERE)
    return FilledSheet(rows, tuple(empty), known, places, tuple(findings), taken_back, put_right, but_time)


def _without_sums(file: str, sheet: Sheet, is_sum: Callable[[str], bool]) -> tuple[list[Row], list[Finding]]:
    """The rows, each with a cell for its kind, and what is said of those of sums: they name no day and no skill."""
    rows, told = [], []
    for row in sheet.rows:
        named = (row.cells.get(name, "") for name in ("target", "date", "start"))
        if any(map(is_sum, row.cells.values())) and all(not text or is_sum(text) for text in named):
            hint = _("if it is a result, write its date beside it")
            found = _("a row of sums, which is not read")
            told.append(Finding(file, row.line, "", found, "", hint, Severity.WARNING))
        else:
            rows.append(row if "kind" in row.cells else replace(row, cells={**row.cells, "kind": ""}))
    return rows, told


def _before_it_was_taken_back(case: Case | None, row: Row) -> Result | Row:
    """What the row said, or its cells if one cannot be read: it counts for nothing, and is taken as it is."""
    before = replace(row, cells={**row.cells, "kind": row.cells["kind"].removeprefix(TAKEN_BACK)})
    return (read_row(case, before)[0] if case else None) or before


def _as_written(row: Row, result: Result) -> Row:
    """The row with its day and time in the one form that results.csv has."""
    told = {"date": result.date.isoformat(), "time": f"{result.time:%H:%M}" if result.time else ""}
    return Row(row.line, {**row.cells, **told})


def _sheet(file: str, data: bytes, case: Case | None) -> tuple[Sheet, list[Finding]]:
    columns = (*(columns_of(case) if case else (*COLUMNS, *OPTIONAL)), *_OF_A_PLAN)
    needed = ("target", *BASE_DIMENSIONS)
    sheet, findings = read_sheet(file, data, columns, (*needed, "correct"))
    if "marks" in sheet.header:  # they say what was correct
        sheet, findings = read_sheet(file, data, columns, needed)
    if sheet.header and not {"date", "start"} & set(sheet.header):
        what = _("no column 'date' and no column 'start'")
        findings.append(Finding(file, 1, "header", what, _("one of the two")))
    if not sheet.header and not findings:
        findings.append(Finding(file, 1, "", _("an empty file"), _("a line with the names of the columns")))
    return sheet, findings


def _bytes_of(path: Path) -> bytes:
    try:
        return read_file(path, MOST_BYTES)
    except OSError as error:
        raise unreadable(path.name, error) from error


def _is_empty(row: Row) -> bool:
    """Whether a planned row was left as it was: such a sheet may be handed in half filled. A row of a teaching that no
    plan has is whole without a count."""
    planned = row.cells.get("start", "") and not row.cells.get("date", "")
    taught = row.cells["kind"] == ResultKind.TEACHING and not planned
    untouched = row.cells["kind"] in (*PLANNED_KINDS, ResultKind.PROBE.value, "") and not taught
    return untouched and not any(row.cells.get(name) for name in _FILLED)


def _as_result(file: str, case: Case | None, row: Row) -> tuple[Row, list[Finding]]:
    """The row as results.csv has it, and what is wrong with what only a plan has."""
    cells = {n: c for n, c in row.cells.items() if n not in _OF_A_PLAN}
    cells = {"date": "", "time": "", "trials": "", **cells}
    findings: list[Finding] = []
    if cells["kind"] != ResultKind.NOT_RUN and not row.cells.get(REASON):
        cells, findings = _without_shares(file, row.line, cells)
        cells = filled_by_marks(cells)
    if case and "start" in row.cells and not cells["date"]:
        start = moment_of(row.cells["start"], case)
        if start:
            cells |= {"date": start.date().isoformat(), "time": cells["time"] or f"{start:%H:%M}"}
        else:
            findings.append(
                Finding(
                    file,
                    row.line,
                    "start",
                    _("found {text}", text=quoted(row.cells["start"])),
                    said(A_MOMENT),
                )
            )
    if cells.get("observer_correct") and not cells.get("observer") and observer_of(row):
        cells["observer"] = observer_of(row)
    if cells["kind"] in PLANNED_KINDS:
        cells["kind"] = PLANNED_KINDS[cells["kind"]].value
    findings += _odd_tick(file, row)
    if reason := row.cells.get(REASON, ""):
        findings += _run_after_all(file, row)
        note = "; ".join(filter(None, (reason, cells.get("note", ""))))
        cells |= {"kind": ResultKind.NOT_RUN.value, "trials": "", "note": note}
    elif cells["kind"] == ResultKind.NOT_RUN.value and "start" in row.cells:
        # a plan has filled in the trials that were meant
        cells["trials"] = ""
    elif cells["kind"] == ResultKind.TEACHING.value and not any(cells.get(name) for name in _COUNTS):
        # the same: without a count they say nothing of a lesson
        cells["trials"] = "" if "start" in row.cells else cells["trials"]
    return Row(row.line, cells), findings


def _without_shares(file: str, line: int, cells: dict[str, str]) -> tuple[dict[str, str], list[Finding]]:
    """The cells with `4 of 5` as 4 correct of 5 trials; and where the row says another number of trials."""
    shares = {name: share for name in _OF_TRIALS if (share := share_of(cells.get(name, "")))}
    wholes = list(dict.fromkeys(str(whole) for _part, whole in shares.values()))
    trials = cells["trials"] or next(iter(wholes), "")
    findings = [
        Finding(
            file,
            line,
            name,
            _("found {text} in a row of {trials} trials", text=quoted(cells[name]), trials=trials),
            _("a number of these {trials}, or another number under 'trials'", trials=trials),
            _("a count beside another number of trials is not guessed"),
        )
        for name, (_part, whole) in shares.items()
        if str(whole) != trials
    ]
    return {
        **cells,
        "trials": trials,
        **{name: str(part) for name, (part, _whole) in shares.items()},
    }, findings


def _run_after_all(file: str, row: Row) -> Iterable[Finding]:
    for name in (*_COUNTS, DONE):
        if row.cells.get(name):
            what = _("found {text} beside a reason for not running it", text=quoted(row.cells[name]))
            yield Finding(file, row.line, name, what, _("an empty cell, or no reason"))


def _odd_tick(file: str, row: Row) -> Iterable[Finding]:
    """A word for done that may mean the contrary."""
    if (tick := row.cells.get(DONE, "")) and tick not in TICKS and not is_word(tick, "yes"):
        hint = _("why it was not run goes into '{column}', anything else into 'note'", column=REASON)
        yield Finding(
            file,
            row.line,
            DONE,
            _("found {tick}", tick=quoted(tick)),
            _("'yes' or 'x', or an empty cell"),
            hint,
        )


def _advised(row: Row, finding: Finding) -> Finding:
    """What to do where a probe has a tick and no count."""
    if finding.key != "correct" or not row.cells.get(DONE) or row.cells.get("correct"):
        return finding
    hint = _(
        "a tick under '{column}' is enough for a teaching; of a "
        "probe write how many were correct without help",
        column=DONE,
    )
    return replace(finding, hint=hint)
