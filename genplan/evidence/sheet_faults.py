"""What is wrong with a file of rows, in sentences: its bytes, its quotes, its header, a row."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from genplan.casefile.invisible_characters import cut
from genplan.casefile.plaintext import not_utf8
from genplan.findings import Finding, Severity, nearest
from genplan.language import _, ngettext

MOST_TOLD = 3
"""Lines in another encoding that are told one by one: mostly all of them have one fault in common."""
MOST_COLUMNS = 200
"""More than a table of probes has."""
MOST_FAULTS = 200
"""Of one file: nobody reads more."""
_CONTROL_BYTES = bytes(set(range(0x20)) - set(b"\t\n\r")) + b"\x7f"
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


def quoted(text: str) -> str:
    """A cell in a finding's words: what nobody sees is written out, and what is long is cut."""
    return f"'{cut(text)}'" if text else _("an empty cell")


def of_a_date(text: str) -> str:
    """What to do where a count or a mark was typed and the cell is a day; else nothing. A spreadsheet takes 4/5 for the
    4th of May or the 5th of April."""
    if not (day := re.match(r"[0-9]{4}-([0-9]{2})-([0-9]{2})", text)):
        return ""
    part, whole = sorted(map(int, day.groups()))
    return _(
        "the spreadsheet took it for a date, and it was probably typed as {part}/{whole}: set the column to text and"
        " type it again",
        part=part,
        whole=whole,
    )


def read_as(file: str, key: str, days: list[tuple[int, str, date]]) -> Finding:
    """One warning for all dates in a column that do not say themselves which day they are."""
    line, text, day = days[0]
    what, hint = (
        _("'{text}', read as {day}", text=text, day=day),
        _("look whether that is the day that is meant"),
    )
    if len(days) > 1:
        what = _(
            "'{text}', read as {day}, and {number} more like it", text=text, day=day, number=len(days) - 1
        )
    return Finding(file, line, key, what, _("dates with the year first"), hint, Severity.WARNING)


def too_many(file: str, line: int) -> Finding:
    """Says that no more faults are looked for from this line on."""
    what = _("more than {most} faults; the rows from here on were not looked at", most=MOST_FAULTS)
    return Finding(file, line, "", what, "", _("mend those that are told"))


def wrong_bytes(file: str, data: bytes) -> list[Finding]:
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


def wrong_quotes(file: str, line: int, error: str) -> Finding:
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


def wrong_header(
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


def unknown_columns(
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


def may_have_control(data: bytes) -> bool:
    """Whether some byte is, or may be part of, a control character."""
    return (
        len(data.translate(None, _CONTROL_BYTES)) < len(data)
        or re.search(rb"\xc2[\x80-\x9f]", data) is not None
    )


def wrong_row(
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
