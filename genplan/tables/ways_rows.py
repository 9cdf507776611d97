"""The sheet of ways, a row for each or places down and across -> routes of a case."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from genplan.casefile.diagnostics import InvalidValue, SourceLocation
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.sheet_faults import quoted
from genplan.language import _, ngettext
from genplan.tables.filled import Filled, stands
from genplan.tables.understood import Table

OTHERWISE = "otherwise"
NO_WAY = ("-", "\u2013", "\u2014")
_MINUTES = re.compile(r"([0-9]+) ?(?:'|m|mins?|minutes?|minuten?)\.?", re.IGNORECASE)


@dataclass(frozen=True)
class _Cell:
    row: int
    column: int
    text: str


@dataclass(frozen=True)
class _Way:
    start: _Cell
    end: _Cell
    minutes: _Cell

    @property
    def is_otherwise(self) -> bool:
        return self.start.text.lower() == OTHERWISE


def read_ways(tables: Sequence[Table], filled: Filled) -> None:
    routes: list[Node] = []
    first: dict[frozenset[str], tuple[str, SourceLocation]] = {}
    for table, way in ((one, way) for one in tables for way in _ways_of(one)):
        ends = [OTHERWISE] if way.is_otherwise else _ends(table, filled, way)
        minutes, place = _number(way.minutes.text), table.grid.place(way.minutes.row, way.minutes.column)
        if not ends or (table.is_across and _is_none(ends, minutes)):
            continue
        there, stands_at = first.setdefault(frozenset(ends), (minutes, place))
        start = way.start
        if stands_at != place:
            if there != minutes and there.isdecimal() and minutes.isdecimal():
                _contradiction(table, filled, way, there, stands(stands_at, place))
        elif way.is_otherwise:
            filled.put(
                ("travel_minutes", OTHERWISE), Leaf(minutes, True), table.grid, start.row, start.column
            )
        else:
            routes.append({"between": [Leaf(end, True) for end in ends], "minutes": Leaf(minutes, True)})
            mark = (
                place
                if table.is_across or not minutes.isdecimal()
                else table.grid.place(start.row, start.column)
            )
            filled.marks["travel_minutes", "routes", str(len(routes))] = mark
    for table in tables:
        if table.is_across and ("travel_minutes", OTHERWISE) not in filled.values:
            _say_what_is_empty(table, filled, first)
    if routes:
        filled.values["travel_minutes", "routes"] = routes


def _say_what_is_empty(table: Table, filled: Filled, said: Collection[frozenset[str]]) -> None:
    """Two places whose cell is empty in both halves: it is taken for no way at all. A hyphen says so itself."""
    across = [(at, column.heading) for at, column in table.columns.items() if at != min(table.columns)]
    hyphens: set[frozenset[str]] = set()
    empty: dict[frozenset[str], tuple[int, int, str, str]] = {}
    for row, cells in table.rows:
        start = cells.get("from", (0, ""))[1]
        for at, end in across:
            pair = frozenset(filter(None, (_id_of(filled, start), _id_of(filled, end))))
            if len(pair) == 2 and end not in cells:
                empty.setdefault(pair, (row, at, start, end))
            elif end in cells and cells[end][1] in NO_WAY:
                hyphens.add(pair)
    left = [where for pair, where in empty.items() if pair not in said and pair not in hyphens]
    if left:
        row, at, start, end = left[0]
        found = ngettext(
            "an empty cell between {start} and {end}",
            "{n} empty cells between two places, such as {start} and {end}",
            len(left),
            start=quoted(start),
            end=quoted(end),
        )
        hint = _(
            "the way takes no minutes then, unless a row otherwise says how many; a hyphen says that this is meant"
        )
        filled.warn(table.grid, row, at, found, hint)


def _id_of(filled: Filled, name: str) -> str:
    try:
        return filled.names.id_of("locations", name)
    except InvalidValue:  # told already
        return ""


def _ways_of(table: Table) -> Iterator[_Way]:
    for row, cells in table.rows:
        column, start = cells.get("from", (0, ""))
        if not table.is_across:
            end, minutes = (_Cell(row, *cells.get(name, (column, ""))) for name in ("to", "minutes"))
            yield _Way(_Cell(row, column, start), end, minutes)
            continue
        for at, text in cells.values():
            if at != column or not start:
                end = _Cell(table.headings, at, table.columns[at].heading)
                yield _Way(_Cell(row, column, start), end, _Cell(row, at, text))


def _number(text: str) -> str:
    """`5` of `5 min`; what is no number stays, and is told with its cell."""
    found = _MINUTES.fullmatch(text)
    return found[1] if found else text


def _is_none(ends: Sequence[str], minutes: str) -> bool:
    """No way, or the cell in which a place meets itself."""
    return minutes in NO_WAY or (ends[0] == ends[1] and not minutes.strip("0").isdecimal())


def _ends(table: Table, filled: Filled, way: _Way) -> list[str]:
    """The ids of the two places, or nothing where one cannot be read."""
    ends = []
    for name, cell in (("from", way.start), ("to", way.end)):
        try:
            if cell.text:
                ends.append(filled.names.id_of("locations", cell.text))
            else:
                filled.tell_of_gap(
                    table,
                    cell.row,
                    cell.column,
                    _("no place under '{name}'", name=name),
                    _("a name or an id that has a row, or the word otherwise for all ways that have none"),
                )
        except InvalidValue as problem:
            filled.tell_problem(problem, table.grid, cell.row, cell.column)
    return ends if len(ends) == 2 else []


def _contradiction(table: Table, filled: Filled, way: _Way, other: str, where: str) -> None:
    found = _(
        "{minutes} minutes, and {other} for the same way ({stands})",
        minutes=quoted(way.minutes.text),
        other=quoted(other),
        stands=where,
    )
    expected = _("one number: a way counts there and back")
    filled.tell(table.grid, way.minutes.row, way.minutes.column, found, expected, _("keep one of the two"))
