"""Text of a results file -> rows of cells with their line numbers, and what is wrong with its form.

The csv module reads in its strict mode; it does not say where a row starts, so the lines are counted here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.casefile.plaintext import not_utf8, other_format
from genplan.casefile.visible import cut, same_form
from genplan.evidence.cells import plain
from genplan.findings import Finding, nearest

BOM = b"\xef\xbb\xbf"
MOST_TOLD = 3
"""Lines in another encoding that are told one by one: mostly all of them have one fault in common."""
FREE_WORDS = ("note", "observer", "not_run_because")
DELIMITERS = (",", ";", "\t")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


@dataclass(frozen=True)
class Row:
    """`line` is the 1-based line of the file on which the row starts."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Sheet:
    """`header` is in the file's own order, empty for a file without one."""

    header: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    delimiter: str = ","


def lines_of(text: str) -> list[str]:
    """The physical lines with their endings, which may be LF, CR LF or CR."""
    return list(io.StringIO(text, newline=""))


def quoted(text: str) -> str:
    """A cell in a finding's words: what nobody sees is written out, and what is long is cut."""
    return f"'{cut(text)}'" if text else "an empty cell"


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
    if what := other_format(data):
        hint = "open it in the program that wrote it, and save it again as 'CSV UTF-8'"
        return Sheet(), [Finding(file, 1, "", f"found {what}", "rows of plain UTF-8 text", hint)]
    findings = _wrong_bytes(file, data)
    lines = lines_of(data.removeprefix(BOM).decode("utf-8", errors="replace"))
    start = next((i for i, line in enumerate(lines) if line.strip()), None)
    if start is None:
        return Sheet(), findings
    delimiter = delimiter_of(lines[start], columns)
    records, broken = _records(file, lines, delimiter)
    if not records:
        return Sheet(), findings + broken
    line, names = records[0]
    header = tuple(name.strip() for name in names)
    wrong = _wrong_header(file, line, header, columns, needed)
    findings += broken + wrong
    if any(f.key == "header" for f in wrong):
        return Sheet(header, (), delimiter), findings
    rows = []
    for line, cells in records[1:]:
        problem = _wrong_row(file, line, cells, header, delimiter)
        if problem:
            findings.append(problem)
        else:
            told = zip(header, cells, strict=True)
            rows.append(Row(line, {n: _cell(n, c) for n, c in told}))
    return Sheet(header, tuple(rows), delimiter), findings


def _cell(name: str, cell: str) -> str:
    """What a cell says: free words as they are, what is compared with the case in the form that is compared."""
    return plain(cell.strip() if name in FREE_WORDS else same_form(cell).strip())


def _wrong_bytes(file: str, data: bytes) -> list[Finding]:
    found = []
    for number, line in enumerate(re.split(rb"\r\n|\n|\r", data), 1):
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            what = not_utf8(line, error.start)
            found.append(Finding(file, number, "", what, "UTF-8 text", "save the file again as 'CSV UTF-8'"))
    told, others = found[:MOST_TOLD], found[MOST_TOLD:]
    if others:
        what = f"{len(others)} more lines from here on with bytes that are not UTF-8"
        told.append(replace(others[0], found=what))
    return told


def _records(
    file: str, lines: list[str], delimiter: str
) -> tuple[list[tuple[int, list[str]]], list[Finding]]:
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    records: list[tuple[int, list[str]]] = []
    broken: list[Finding] = []
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return records, broken
        except csv.Error as error:
            broken.append(_wrong_quotes(file, line, str(error)))
            continue
        if any(cell.strip() for cell in cells):
            records.append((line, cells))


def _wrong_quotes(file: str, line: int, error: str) -> Finding:
    if "unexpected end" in error:
        return Finding(file, line, "", "a quote that opens on this line is never closed", 'a closing "')
    if "field limit" in error:
        return Finding(
            file,
            line,
            "",
            "a cell of more than 131,072 characters",
            "a shorter text",
            "is a quote left open?",
        )
    hint = 'write a quote inside a quoted cell twice: "She said ""no"""'
    return Finding(
        file, line, "", "a quoted cell goes on after its closing quote", "a separator after the quote", hint
    )


def _wrong_header(
    file: str, line: int, header: tuple[str, ...], columns: Sequence[str], needed: Sequence[str]
) -> list[Finding]:
    """Findings with the key 'header' leave no row readable."""
    if not set(header) & set(needed):
        what = f"a first line without the name of a column: {quoted(','.join(header))}"
        hint = "write that line above the rows, as 'genplan new' does"
        return [Finding(file, line, "header", what, ",".join(columns), hint)]
    found = []
    for position, name in enumerate(header, 1):
        if not name or _CONTROL.search(name):
            what = f"column {position} has {'a control character in its name' if name else 'no name'}"
            hint = "type the name, or delete the column"
            found.append(Finding(file, line, "header", what, "a name such as 'date', or no column", hint))
        elif header.index(name) < position - 1:
            what = f"column '{cut(name)}' is there twice"
            found.append(
                Finding(file, line, "header", what, "each column once", "delete or rename one of the two")
            )
        elif name not in columns:
            hint = nearest(name, columns) or "an extra dimension is named under also_vary of a target"
            found.append(
                Finding(
                    file,
                    line,
                    cut(name),
                    f"unknown column '{cut(name)}'",
                    "one of " + ", ".join(columns),
                    hint,
                )
            )
    missing = [name for name in needed if name not in header]
    if missing:
        what = f"no column {', '.join(repr(name) for name in missing)}"
        found.append(
            Finding(
                file, line, "header", what, "the names of the columns in the first line: " + ",".join(columns)
            )
        )
    return found


def _wrong_row(
    file: str, line: int, cells: list[str], header: tuple[str, ...], delimiter: str
) -> Finding | None:
    for name, cell in zip(header, cells, strict=False):
        control = _CONTROL.search(cell)
        if control:
            what = f"a control character (U+{ord(control[0]):04X})"
            return Finding(file, line, name, what, "text", "delete it or type the cell again")
    if len(cells) != len(header):
        what = f"{len(cells)} cells: {quoted(delimiter.join(cells))}"
        hint = f'a cell that holds the separator {delimiter!r} needs quotes around it: "like{delimiter} this"'
        return Finding(file, line, "", what, f"{len(header)}, as many as the header has", hint)
    return None
