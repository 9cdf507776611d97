"""Hours in tables -> the hours of children, adults and places. Rows of one name add up."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial

from genplan.case import Window
from genplan.case.week import DAY_NAMES
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue, Path
from genplan.casefile.domain_types import one_of
from genplan.casefile.tree import Leaf
from genplan.evidence.sheet_faults import quoted
from genplan.findings import nearest
from genplan.language import _, and_list, pgettext, said
from genplan.tables.filled import TAKEN_OUT, Filled
from genplan.tables.grids import Table
from genplan.tables.sheets import HOURS_IN, KINDS
from genplan.tables.spoken_hours import (
    day_numbers,
    days_with_hours,
    hours_of_a_day,
    window_from,
    written_days,
)
from genplan.tables.thing_rows import Cells, Rows

Reader = Callable[[], Mapping[int, Windows]]


class HoursSoFar:
    """Adds up hours row by row; each thing's go into `filled` at the end."""

    def __init__(self, filled: Filled) -> None:
        self.filled = filled
        self.days: dict[Path, dict[int, list[Window]]] = {}

    def read_column(self, table: Table, rows: Rows) -> None:
        """The column of hours in a sheet of children, adults or places."""
        heading = HOURS_IN.get(table.kind.section, "")
        for row, path, cells in rows:
            if heading in cells:
                column, text = cells[heading]
                at = (*path, heading)
                if text == "-":
                    self.filled.put(at, TAKEN_OUT, table.grid, row, column)
                else:
                    self._add(table, row, at, {heading: (column, text)})

    def read_sheet(self, table: Table) -> None:
        for row, cells in table.rows:
            if "who" not in cells:
                column, expected = (
                    next(iter(cells.values()))[0],
                    _("the name of a child, an adult or a place"),
                )
                self.filled.tell_of_gap(table, row, column, _("hours without a name"), expected)
                continue
            try:
                at = self._whose(cells)
            except InvalidValue as problem:
                column = cells["who"][0]
                self.filled.tell(table.grid, row, column, problem.found, problem.expected, problem.hint)
                continue
            self._add(table, row, at, cells)

    def finish(self) -> None:
        for at, days in self.days.items():
            written = written_days({day: merge(windows) for day, windows in days.items()})
            self.filled.values[at] = {day: Leaf(hours, False) for day, hours in written.items()}

    def _add(self, table: Table, row: int, at: Path, cells: Cells) -> None:
        self.filled.marks.setdefault(at, table.grid.place(row, next(iter(cells.values()))[0]))
        for column, read in self._parts(cells, at[-1]):
            try:
                for day, windows in read().items():
                    self.days.setdefault(at, {}).setdefault(day, []).extend(windows)
            except InvalidValue as problem:
                self.filled.refuse(at, problem, table.grid, row, column)

    def _parts(self, cells: Cells, heading: str) -> Iterator[tuple[int, Reader]]:
        for name in ("hours", heading):
            if name in cells:
                yield cells[name][0], partial(days_with_hours, cells[name][1])
        for number, name in enumerate(DAY_NAMES):
            if name in cells:
                yield cells[name][0], partial(_of_day, number, cells[name][1])
        if timed := [cells[name][0] for name in ("days", "from", "to") if name in cells]:
            yield timed[0], partial(_from_to, cells)

    def _whose(self, cells: Cells) -> Path:
        """Raises InvalidValue."""
        who, names = cells["who"][1], self.filled.names
        sections = [_section(cells["kind"][1])] if "kind" in cells else list(HOURS_IN)
        known = [s for s in sections if who in names.called[s] or names.ids_called(s, who)]
        if len(known) == 1:
            return (known[0], names.id_of(known[0], who), HOURS_IN[known[0]])
        if known:
            found = _(
                "{who}, which is {kinds}", who=quoted(who), kinds=and_list([said(one_of(s)) for s in known])
            )
            raise InvalidValue(found, _("one of them"), _("write child, adult or place into the column kind"))
        everybody = {n for s in sections for pair in names.called[s].items() for n in pair}
        hint = nearest(who, everybody) or _("add a row for it to the sheet of children, adults or places")
        raise InvalidValue(
            _("{who}, whom no row speaks of", who=quoted(who)), _("a name or an id that has a row"), hint
        )


def _section(word: str) -> str:
    if section := KINDS.get(word.lower()):
        return section
    raise InvalidValue(
        _("the kind {word}", word=quoted(word)), _("child, adult or place"), nearest(word.lower(), KINDS)
    )


def _of_day(number: int, text: str) -> dict[int, Windows]:
    return {number: hours_of_a_day(text)}


def _from_to(cells: Cells) -> dict[int, Windows]:
    lacking = [name for name in ("days", "from", "to") if name not in cells]
    if lacking:
        raise InvalidValue(
            _("no {names}", names=pgettext("no adult and no location", " and no ").join(lacking)),
            _("days, from and to together"),
            _("fill in all three"),
        )
    window = window_from(cells["from"][1], cells["to"][1])
    return dict.fromkeys(day_numbers(cells["days"][1]), (window,))
