"""Text of a results file -> rows of cells with their line numbers, and what is wrong with its form.

The csv module reads in its strict mode; it does not say where a row starts, so the lines are counted here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter
from typing import Any

from genplan.casefile.invisible_characters import cut, same_form
from genplan.casefile.plaintext import not_utf8, other_format
from genplan.evidence.formula_cells import unescape_formula
from genplan.findings import Finding, Severity, nearest
from genplan.language import _, ngettext

BOM = b"\xef\xbb\xbf"
MOST_TOLD = 3
"""Lines in another encoding that are told one by one: mostly all of them have one fault in common."""
MOST_LINES = 200_001
MOST_COLUMNS = 200
MOST_FAULTS = 200
"""A header and 200,000 rows, and more than a table of probes has, or than anybody reads; beyond, reading takes more
than seconds and some hundred megabytes."""
FREE_WORDS = ("note", "observer", "not_run_because")
DELIMITERS = (",", ";", "\t")
_CONTROL_BYTES = bytes(set(range(0x20)) - set(b"\t\n\r")) + b"\x7f"
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


@dataclass(frozen=True, slots=True)
class Row:
    """`line` is the 1-based line of the file on which the row starts."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Sheet:
    """`header` is in the file's own order, empty for a file without one; a column without a name has an empty one.
    Of each row `lines` has its line and `cells` what it says in the `columns`, which are the known ones alone."""

    header: tuple[str, ...] = ()
    delimiter: str = ","
    columns: tuple[str, ...] = ()
    lines: tuple[int, ...] = ()
    cells: tuple[tuple[str, ...], ...] = ()

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        return tuple(map(self.row, range(len(self.lines))))

    def row(self, at: int) -> Row:
        return Row(self.lines[at], dict(zip(self.columns, self.cells[at], strict=True)))

    def reader(self, *columns: str) -> Callable[[tuple[str, ...]], Any]:
        """What gives of a row's cells those of the columns that the sheet has: nothing, one cell or several."""
        at = [self.columns.index(name) for name in columns if name in self.columns]
        return itemgetter(*at) if at else lambda cells: ""


def lines_of(text: str) -> list[str]:
    """The physical lines with their endings, which may be LF, CR LF or CR."""
    return list(io.StringIO(text, newline=""))


def ending_of(line: str) -> str:
    """LF, CR LF or CR; nothing of a last line without one."""
    return line[len(line.rstrip("\r\n")) :]


def row_of(cells: Sequence[str], delimiter: str, ending: str) -> str:
    """A row as it is written. A cell with a line break of any kind is quoted, whatever the row ends with."""
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerow(cells)
    return out.getvalue().removesuffix("\r\n") + ending


def quoted(text: str) -> str:
    """A cell in a finding's words: what nobody sees is written out, and what is long is cut."""
    return f"'{cut(text)}'" if text else _("an empty cell")


def delimiter_of(header: str, columns: Sequence[str]) -> str:
    """The separator that finds the most known columns in the header line; a comma where none does better."""

    def known(delimiter: str) -> int:
        return sum(name.strip().strip('"') in columns for name in header.split(delimiter))

    return max(DELIMITERS, key=known)


def read_sheet(
    file: str, data: bytes, columns: Sequence[str], needed: Sequence[str]
) -> tuple[Sheet, list[Finding]]:
    """The rows of a file. `columns` are the names that its header may have, `needed` those it must have.

    Rows that cannot be read are left out and found; without a usable header there are no rows."""
    records, delimiter, findings = _parsed(file, data, columns)
    if not records:
        return Sheet(), findings
    line, names = records[0]
    header = tuple(name.strip() for name in names)
    wrong = _wrong_header(file, line, header, columns, needed)
    if len(header) <= MOST_COLUMNS and set(header) & set(needed):
        wrong += _unknown_columns(file, records, header, columns, needed)
    findings += wrong
    if any(f.key == "header" for f in wrong):
        return Sheet(header, delimiter), findings
    lines: list[int] = []
    rows: list[tuple[str, ...]] = []
    read = [(at, _Column(name)) for at, name in enumerate(header) if name in columns]
    named = max(position for position, name in enumerate(header, 1) if name)
    unsuspected = named == len(header) and all(header) and not _may_have_control(data)
    for line, cells in records[1:]:
        if len(findings) >= MOST_FAULTS:
            return Sheet(header, delimiter), [*findings, too_many(file, line)]
        if unsuspected and len(cells) == named:
            problem = None
        else:
            problem = _wrong_row(file, line, cells, header, named, delimiter)
        if problem:
            findings.append(problem)
        else:
            lines.append(line)
            rows.append(tuple([column[cells[at]] for at, column in read]))
    named_columns = tuple(name for name in header if name in columns)
    return Sheet(header, delimiter, named_columns, tuple(lines), tuple(rows)), findings


def records_of(
    file: str, data: bytes, columns: Sequence[str]
) -> tuple[list[tuple[int, list[str]]], list[Finding]]:
    """The cells of each line that is not empty, with its number, whatever the header. `columns` are names that may be
    in it: by them the separator is told."""
    records, _, findings = _parsed(file, data, columns)
    return records, findings


def _parsed(
    file: str, data: bytes, columns: Sequence[str]
) -> tuple[list[tuple[int, list[str]]], str, list[Finding]]:
    """The records, the separator, and what is wrong with the text."""
    if what := other_format(data):
        hint = _("open it in the program that wrote it, and save it again as 'CSV UTF-8'")
        return (
            [],
            ",",
            [Finding(file, 1, "", _("found {what}", what=what), _("rows of plain UTF-8 text"), hint)],
        )
    if (count := max(data.count(b"\n"), data.count(b"\r"))) > MOST_LINES:
        hint = _("move the oldest rows into a file of another name, outside the folder")
        return (
            [],
            ",",
            [
                Finding(
                    file,
                    0,
                    "",
                    _("{count} ends of lines", count=count),
                    _("at most {most}", most=MOST_LINES),
                    hint,
                )
            ],
        )
    findings = _wrong_bytes(file, data)
    lines = lines_of(data.removeprefix(BOM).decode("utf-8", errors="replace"))
    start = next((i for i, line in enumerate(lines) if line.strip()), None)
    if start is None:
        return [], ",", findings
    delimiter = delimiter_of(lines[start], columns)
    records, broken = _records(file, lines, delimiter)
    return records, delimiter, findings + broken


def _unknown_columns(
    file: str,
    records: list[tuple[int, list[str]]],
    header: tuple[str, ...],
    columns: Sequence[str],
    needed: Sequence[str],
) -> list[Finding]:
    """A column that the case does not have holds what once was varied: it is told of, and not read. One that is named
    almost like a column that is missing is a slip: its cells are wanted. An empty one is nothing to speak of."""
    found = []
    missing = set(columns) - set(header)
    for position, name in enumerate(header):
        if not name or name in columns:
            continue
        filled = [line for line, cells in records[1:] if position < len(cells) and cells[position].strip()]
        what = _("unknown column '{name}'", name=cut(name))
        if hint := nearest(name.lower(), missing if filled else missing & set(needed)):
            expected = _("one of {columns}", columns=", ".join(columns))
            found.append(Finding(file, records[0][0], cut(name), what, expected, hint))
        elif filled:
            what = ngettext(
                "unknown column '{name}', whose 1 cell (the first on line {line}) count for nothing",
                "unknown column '{name}', whose {n} cells (the first on line {line}) count for nothing",
                len(filled),
                name=cut(name),
                line=filled[0],
            )
            hint = _("an extra dimension is named under also_vary of a target")
            found.append(Finding(file, records[0][0], cut(name), what, "", hint, Severity.WARNING))
    return found


def too_many(file: str, line: int) -> Finding:
    """Says that no more faults are looked for from this line on."""
    what = _("more than {most} faults; the rows from here on were not looked at", most=MOST_FAULTS)
    return Finding(file, line, "", what, "", _("mend those that are told"))


class _Column(dict[str, str]):
    """What the cells of a column say. A column says the same few things again and again: each is read once."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __missing__(self, cell: str) -> str:
        self[cell] = said = _cell(self.name, cell)
        return said


def _cell(name: str, cell: str) -> str:
    """What a cell says: free words as they are, what is compared with the case in the form that is compared."""
    return unescape_formula(cell.strip() if name in FREE_WORDS else same_form(cell).strip())


def _may_have_control(data: bytes) -> bool:
    """Whether some byte is, or may be part of, a control character."""
    return (
        len(data.translate(None, _CONTROL_BYTES)) < len(data)
        or re.search(rb"\xc2[\x80-\x9f]", data) is not None
    )


def _wrong_bytes(file: str, data: bytes) -> list[Finding]:
    if _is_utf8(data):
        return []
    told: list[Finding] = []
    others: list[int] = []
    hint = _("save the file again as 'CSV UTF-8'")
    for number, line in enumerate(re.split(rb"\r\n|\n|\r", data), 1):
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            if len(told) == MOST_TOLD:
                others.append(number)
                continue
            told.append(Finding(file, number, "", not_utf8(line, error.start), _("UTF-8 text"), hint))
    if others:
        what = _("{number} more lines from here on with bytes that are not UTF-8", number=len(others))
        told.append(Finding(file, others[0], "", what, _("UTF-8 text"), hint))
    return told


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _records(
    file: str, lines: list[str], delimiter: str
) -> tuple[list[tuple[int, list[str]]], list[Finding]]:
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    records: list[tuple[int, list[str]]] = []
    broken: list[Finding] = []
    one_of_each: dict[str, str] = {}
    while len(broken) < MOST_FAULTS:
        line = reader.line_num + 1
        try:
            for cells in reader:
                if cells and (cells[0].strip() or any(map(str.strip, cells))):
                    records.append((line, list(map(one_of_each.setdefault, cells, cells))))
                line = reader.line_num + 1
            break
        except csv.Error as error:
            broken.append(_wrong_quotes(file, line, str(error)))
    return records, broken


def _wrong_quotes(file: str, line: int, error: str) -> Finding:
    if "unexpected end" in error:
        return Finding(file, line, "", _("a quote that opens on this line is never closed"), _('a closing "'))
    if "field limit" in error:
        return Finding(
            file,
            line,
            "",
            _("a cell of more than 131,072 characters"),
            _("a shorter text"),
            _("is a quote left open?"),
        )
    hint = _('write a quote inside a quoted cell twice: "She said ""no"""')
    return Finding(
        file,
        line,
        "",
        _("a quoted cell goes on after its closing quote"),
        _("a separator after the quote"),
        hint,
    )


def _wrong_header(
    file: str, line: int, header: tuple[str, ...], columns: Sequence[str], needed: Sequence[str]
) -> list[Finding]:
    """Findings with the key 'header' leave no row readable."""
    if not set(header) & set(needed):
        what = _("a first line without the name of a column: {header}", header=quoted(",".join(header)))
        hint = _("write that line above the rows, as 'genplan new' does")
        return [Finding(file, line, "header", what, ",".join(columns), hint)]
    if len(header) > MOST_COLUMNS:
        what = _("{number} columns", number=len(header))
        return [
            Finding(
                file, line, "header", what, _("at most {most}", most=MOST_COLUMNS), _("is it the right file?")
            )
        ]
    found = []
    for position, name in enumerate(header, 1):
        if _CONTROL.search(name):
            what = _("column {position} has a control character in its name", position=position)
            hint = _("type the name, or delete the column")
            found.append(Finding(file, line, "header", what, _("a name such as 'date', or no column"), hint))
        elif name and header.index(name) < position - 1:
            what = _("column '{name}' is there twice", name=cut(name))
            found.append(
                Finding(
                    file, line, "header", what, _("each column once"), _("delete or rename one of the two")
                )
            )
    missing = [name for name in needed if name not in header]
    if missing:
        what = _("no column {names}", names=", ".join(map(repr, missing)))
        found.append(
            Finding(
                file,
                line,
                "header",
                what,
                _("the names of the columns in the first line: {columns}", columns=",".join(columns)),
            )
        )
    return found


def _wrong_row(
    file: str, line: int, cells: list[str], header: tuple[str, ...], named: int, delimiter: str
) -> Finding | None:
    """`named` is how many cells a row needs to reach the last column with a name."""
    if _CONTROL.search("".join(cells)):
        told = zip(header, cells, strict=False)
        for name, control in ((n, found) for n, c in told if (found := _CONTROL.search(c))):
            what = _("a control character (U+{code:04X})", code=ord(control[0]))
            return Finding(file, line, name, what, _("text"), _("delete it or type the cell again"))
    if len(cells) < named:
        text = quoted(delimiter.join(cells))
        what = ngettext("{n} cell: {text}", "{n} cells: {text}", len(cells), text=text)
        hint = _("an empty cell needs its separator {delimiter!r} too, in its place", delimiter=delimiter)
        return Finding(file, line, "", what, _("{named}, as many as the header has", named=named), hint)
    if len(cells) == named == len(header) and all(header):
        return None
    for position, cell in enumerate(cells):
        if cell.strip() and not (position < len(header) and header[position]):
            what = _(
                "a cell behind those of the header or in a column without a name: {cell}",
                cell=quoted(cell.strip()),
            )
            hint = _(
                'a cell that holds the separator {delimiter!r} needs quotes around it: "like{delimiter} this"',
                delimiter=delimiter,
            )
            return Finding(
                file, line, "", what, _("{named} cells, as many as the header has names", named=named), hint
            )
    return None
