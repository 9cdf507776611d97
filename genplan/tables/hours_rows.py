"""Hours in tables -> the hours of children, adults and places. Rows of one name add up within a sheet, and what a
sheet of hours says of other days to what stands beside the name; two that speak of one day, such as of two terms, have
to say the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial

from genplan.case import Window
from genplan.case.week import DAY_NAMES
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue, Path, SourceLocation
from genplan.casefile.domain_types import one_of
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.weekly_hours import NEVER
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, nearest
from genplan.language import _, and_list, pgettext, said
from genplan.tables.filled import Filled, another_value
from genplan.tables.headings import kinds, plain, spoken_kinds
from genplan.tables.naming import NoneThere
from genplan.tables.sheets import HOURS_IN, ROLE
from genplan.tables.spoken_hours import (
    day_numbers,
    days_with_hours,
    hours_of_a_day,
    window_from,
    written_days,
)
from genplan.tables.thing_rows import Cells, Rows
from genplan.tables.understood import Table

Reader = Callable[[], Mapping[int, Windows]]
Days = dict[int, list[Window]]
Sheets = dict[int, tuple[SourceLocation, Days]]
"""By number of the sheet: the first cell of the hours there, and the hours."""


class HoursSoFar:
    """Adds up hours row by row; each thing's go into `filled` at the end."""

    def __init__(self, filled: Filled) -> None:
        self.filled = filled
        self.beside: dict[Path, Sheets] = {}
        self.apart: dict[Path, Sheets] = {}

    def read_column(self, table: Table, rows: Rows) -> None:
        """The columns of hours in a sheet of children, adults or places."""
        if (heading := HOURS_IN.get(table.kind.section, "")) == "":
            return
        for row, path, cells in rows:
            of_hours = {name: cells[name] for name in (heading, *DAY_NAMES) if name in cells}
            if of_hours:
                self._add(table, row, (*path, heading), of_hours, self.beside)

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
                self.filled.tell_problem(problem, table.grid, row, cells["who"][0])
                continue
            self._add(table, row, at, cells, self.apart)
            if ROLE.heading in cells and at[0] == "adults":
                self._role(table, row, (*at[:2], ROLE.heading), *cells[ROLE.heading])

    def _role(self, table: Table, row: int, at: Path, column: int, text: str) -> None:
        """What an adult is may stand beside each of its hours."""
        try:
            self.filled.put_once(at, Leaf(text, False), table.grid, row, column)
        except InvalidValue as problem:
            self.filled.refuse(at, problem, table.grid, row, column)

    def finish(self) -> None:
        for at in {**self.beside, **self.apart}:
            days: Days = {}
            beside, apart = (self._agreed(at, so_far.get(at, {})) for so_far in (self.beside, self.apart))
            self._same_on_each_day(at, beside, apart)
            for of_days in (beside, apart):
                for day, windows in of_days.items():
                    days.setdefault(day, []).extend(windows)
            written = written_days({day: merge(windows) for day, windows in days.items()})
            hours: dict[str, Node] = {day: Leaf(hours, False) for day, hours in written.items()}
            self.filled.values[at] = hours or (dict(NEVER) if days else {})

    def _agreed(self, at: Path, sheets: Sheets) -> Days:
        """What one sheet says, and any other of its kind that says anything."""
        if not sheets:
            return {}
        (first, days), *others = sheets.values()
        for place, more in others:
            if at not in self.filled.refused and _merged(days) != _merged(more):
                self._contradicts(at, place, first)
        return days

    def _same_on_each_day(self, at: Path, beside: Days, apart: Days) -> None:
        """A day of which both speak: two terms, as likely as two parts of a day."""
        first, second = _merged(beside), _merged(apart)
        if at not in self.filled.refused and any(first[d] != second[d] for d in first.keys() & second.keys()):
            place, there = (next(iter(so_far[at].values()))[0] for so_far in (self.apart, self.beside))
            self._contradicts(at, place, there)

    def _contradicts(self, at: Path, place: SourceLocation, first: SourceLocation) -> None:
        problem = another_value(place, first)
        self.filled.refused.add(at)
        self.filled.findings.append(
            Finding(place.file, place.line, place.written[0], problem.found, problem.expected, problem.hint)
        )

    def _add(self, table: Table, row: int, at: Path, cells: Cells, so_far: dict[Path, Sheets]) -> None:
        place = table.grid.place(row, next(iter(cells.values()))[0])
        self.filled.marks.setdefault(at, place)
        days = so_far.setdefault(at, {}).setdefault(id(table), (place, {}))[1]
        for column, read in self._parts(cells, at[-1]):
            try:
                for day, windows in read().items():
                    days.setdefault(day, []).extend(windows)
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
        known = known or [s for s in sections if names.ids_meant(s, who)]
        if len(known) == 1:
            return (known[0], names.id_of(known[0], who), HOURS_IN[known[0]])
        if known:
            found = _(
                "{who}, which is {kinds}", who=quoted(who), kinds=and_list([said(one_of(s)) for s in known])
            )
            raise InvalidValue(found, _("one of them"), _("write child, adult or place into the column kind"))
        everybody = {n for s in sections for pair in names.called[s].items() for n in pair}
        hint = nearest(who, everybody) or _("add a row for it to the sheet of children, adults or places")
        found = _("{who}, whom no row speaks of", who=quoted(who))
        expected = _("a name or an id that has a row")
        raise InvalidValue(found, expected, hint) if everybody else NoneThere("", found, expected, hint)


def _merged(days: Days) -> dict[int, Windows]:
    return {day: merge(windows) for day, windows in days.items() if windows}


def _section(word: str) -> str:
    if section := kinds().get(plain(word)):
        return section
    raise InvalidValue(
        _("the kind {word}", word=quoted(word)),
        _("child, adult or place"),
        nearest(plain(word), spoken_kinds()),
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
