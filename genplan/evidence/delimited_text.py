"""Text of a results file -> rows of cells with their line numbers; what is wrong with its form, `sheet_faults` says.

The csv module reads in its strict mode; it does not say where a row starts, so the lines are counted here.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, compress, count, islice
from typing import Protocol

from genplan.casefile.invisible_characters import same_form
from genplan.casefile.plaintext import other_format
from genplan.evidence.formula_cells import unescape_formula
from genplan.evidence.sheet_faults import (
    MOST_COLUMNS,
    MOST_FAULTS,
    may_have_control,
    too_many,
    unknown_columns,
    wrong_bytes,
    wrong_header,
    wrong_quotes,
    wrong_row,
)
from genplan.findings import Finding
from genplan.language import _

BOM = b"\xef\xbb\xbf"
MOST_LINES = 200_001
"""A header and 200,000 rows; beyond, reading takes more than seconds and some hundred megabytes."""
FREE_WORDS = ("note", "observer", "not_run_because")
DELIMITERS = (",", ";", "\t")
FIRST_LINES = 10
"""Among which the headings of a table are."""
MOST_OF_A_LINE = csv.field_size_limit()
"""Characters of a line of which no cell can be longer than the csv module takes."""
BLOCK = 2048
"""Rows that are turned into columns at once: enough that the turning costs little, few enough to hold."""


class _Reader(Iterator[list[str]], Protocol):
    """What the csv module calls a reader."""

    line_num: int


@dataclass(frozen=True, slots=True)
class Row:
    """`line` is the 1-based line of the file on which the row starts."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Sheet:
    """`header` is in the file's own order, empty for a file without one; a column without a name has an empty one.
    Of each row `lines` has its line, and `said` what it says in each of the `columns`, which are the known ones alone:
    column by column, since a column of 200,000 cells is looked through in a tenth of the time of as many rows."""

    header: tuple[str, ...] = ()
    delimiter: str = ","
    columns: tuple[str, ...] = ()
    lines: Sequence[int] = ()
    said: tuple[Sequence[str], ...] = ()

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        return tuple(map(self.row, range(len(self.lines))))

    def row(self, at: int) -> Row:
        return Row(
            self.lines[at], {name: told[at] for name, told in zip(self.columns, self.said, strict=True)}
        )

    def column(self, name: str) -> Sequence[str]:
        """What each row says there: nothing, where the sheet has no such column."""
        return self.said[self.columns.index(name)] if name in self.columns else [""] * len(self.lines)


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
    unsuspected = not may_have_control(data)
    lines, delimiter, findings = _text_of(file, data, columns)
    if not lines:
        return Sheet(), findings
    if unsuspected and not findings and (sheet := _faultless(lines, delimiter, columns, needed)):
        return sheet, []
    records, broken = _records(file, lines, delimiter)
    findings += broken
    if not records:
        return Sheet(), findings
    line, names = records[0]
    header = tuple(name.strip() for name in names)
    wrong = wrong_header(file, line, header, columns, needed)
    if len(header) <= MOST_COLUMNS and set(header) & set(needed):
        wrong += unknown_columns(file, records, header, columns, needed)
    findings += wrong
    if any(f.key == "header" for f in wrong):
        return Sheet(header, delimiter), findings
    whole: list[tuple[int, list[str]]] = []
    named = max(position for position, name in enumerate(header, 1) if name)
    unsuspected = unsuspected and named == len(header) and all(header)
    for line, cells in records[1:]:
        if len(findings) >= MOST_FAULTS:
            return Sheet(header, delimiter), [*findings, too_many(file, line)]
        if unsuspected and len(cells) == named:
            problem = None
        else:
            problem = wrong_row(file, line, cells, header, named, delimiter)
        if problem:
            findings.append(problem)
        else:
            whole.append((line, cells))
    known = [(at, name) for at, name in enumerate(header) if name in columns]
    said = tuple(list(_Column(name).said(cells[at] for _, cells in whole)) for at, name in known)
    return Sheet(header, delimiter, tuple(n for _, n in known), [line for line, _ in whole], said), findings


def _faultless(
    lines: Sequence[str], delimiter: str, columns: Sequence[str], needed: Sequence[str]
) -> Sheet | None:
    """The rows of a file of which each cell stands under a known heading, block by block, so that few cells are held
    before they are known; None as soon as something may be wrong, which is then looked for row by row."""
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    header: tuple[str, ...] = ()
    try:
        while not header:
            header = tuple(name.strip() for name in next(reader))
            header = header if any(header) else ()
        if len(set(header)) < len(header) or len(header) > MOST_COLUMNS:
            return None
        if not set(needed) <= set(header) <= set(columns):
            return None
        starts: list[int] = []
        read = [(_Column(name), list[str]()) for name in header]
        if any('"' in line for line in lines):
            blocks = _blocks(reader, len(header))
        else:
            blocks = _blocks_without_quotes(lines, reader.line_num, delimiter, len(header))
        for numbers, block in blocks:
            starts.extend(numbers)
            for (column, said), cells in zip(read, block, strict=False):
                said.extend(column.said(cells))
        return Sheet(header, delimiter, header, starts, tuple(said for _, said in read))
    except (csv.Error, StopIteration):
        return None


_Block = tuple[Iterable[int], Sequence[Sequence[str]]]
"""The lines of some thousand rows, without empty ones, and what they say, column by column."""


def _blocks(reader: _Reader, width: int) -> Iterator[_Block]:
    """Raises csv.Error for a row that is not so wide."""
    after = reader.line_num
    while block := list(islice(reader, BLOCK)):
        numbers: Iterable[int] = range(after + 1, reader.line_num + 1)
        if reader.line_num - after > len(block):  # a cell over several lines
            numbers = accumulate(map(_lines_of_row, block[:-1]), initial=after + 1)
        after = reader.line_num
        filled = [bool(cells) and bool(cells[0].strip() or any(map(str.strip, cells))) for cells in block]
        block = list(compress(block, filled))
        if set(map(len, block)) - {width}:
            raise csv.Error
        yield compress(numbers, filled), list(zip(*block, strict=True))


def _blocks_without_quotes(lines: Sequence[str], after: int, delimiter: str, width: int) -> Iterator[_Block]:
    """The same in half the time, where a line is a row and each of its separators parts two cells."""
    for first in range(after, len(lines), BLOCK):
        block = [line.rstrip("\r\n") for line in lines[first : first + BLOCK]]
        filled = [bool(line.replace(delimiter, "").strip()) for line in block]
        block = list(compress(block, filled))
        if any(line.count(delimiter) != width - 1 or len(line) > MOST_OF_A_LINE for line in block):
            raise csv.Error
        cells = delimiter.join(block).split(delimiter) if block else []
        yield compress(count(first + 1), filled), [cells[at::width] for at in range(width)]


def _lines_of_row(cells: Sequence[str]) -> int:
    """How many a row takes: one more than there are ends of lines in its cells."""
    return 1 + sum(cell.count("\n") + cell.count("\r") - cell.count("\r\n") for cell in cells)


def records_of(
    file: str, data: bytes, is_heading: Callable[[str], bool]
) -> tuple[list[tuple[int, list[str]]], list[Finding]]:
    """The cells of each line that is not empty, with its number, whatever the header. The separator is the one by which
    the most headings stand beside each other in one of the first lines; where none is known, the one that parts the
    most."""
    lines, _comma, findings = _text_of(file, data, ())
    first = list(islice((line.strip() for line in lines if line.strip()), FIRST_LINES))

    def found(delimiter: str) -> tuple[int, int]:
        parted = [[name.strip().strip('"') for name in line.split(delimiter)] for line in first]
        known = max((sum(map(is_heading, names)) for names in parted), default=0)
        return (known, sum(len(names) - 1 for names in parted))

    records, broken = _records(file, lines, max(DELIMITERS, key=found))
    return records, findings + broken


def _text_of(file: str, data: bytes, columns: Sequence[str]) -> tuple[list[str], str, list[Finding]]:
    """The lines, none of a file without a word in it, the separator, and what is wrong with the text."""
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
    findings = wrong_bytes(file, data)
    lines = lines_of(data.removeprefix(BOM).decode("utf-8", errors="replace"))
    start = next((i for i, line in enumerate(lines) if line.strip()), None)
    if start is None:
        return [], ",", findings
    delimiter = delimiter_of(lines[start], columns)
    return lines, delimiter, findings


class _Column(dict[str, str]):
    """What the cells of a column say. A column says the same few things again and again: each is read once."""

    def __init__(self, name: str) -> None:
        self.name = name

    def said(self, cells: Iterable[str]) -> Iterator[str]:
        return map(self.__getitem__, cells)

    def __missing__(self, cell: str) -> str:
        self[cell] = said = said_by_cell(self.name, cell)
        return said


def said_by_cell(name: str, cell: str) -> str:
    """What a cell says: free words as they are, what is compared with the case in the form that is compared."""
    return unescape_formula(cell.strip() if name in FREE_WORDS else same_form(cell).strip())


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
            broken.append(wrong_quotes(file, line, str(error)))
    return records, broken
