"""timetable.html, timetable.csv and timetable-minutes.csv: the week to hang up, by adult, by place and by child, with
the minutes used of those that were free. The page loads nothing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

from genplan.case import Case, Week
from genplan.language import N_, _, ngettext, said
from genplan.language.numbers import number_words
from genplan.plan import Sitting
from genplan.planning.hours_used import HoursUsed, Whose
from genplan.report.called_off import called_off_words
from genplan.report.names_and_words import Names, week_words
from genplan.report.plain_characters import clock, in_order
from genplan.report.render import render
from genplan.report.tables import Table, csv_bytes, share_cell
from genplan.report.week_table import By, TableDay, days_of_week, ids_by, table_day

PAGE, TABLE, MINUTES_TABLE = FILES = ("timetable.html", "timetable.csv", "timetable-minutes.csv")
COLUMNS = (
    *("day", "start", "end", "learner", "adult", "location", "role"),
    *("probes", "teachings", "minutes"),
)
MINUTES_COLUMNS = (
    *("kind", "id", "used_minutes", "free_minutes", "share"),
    *("limit_minutes", "left_minutes"),
)

SIZES = (10, 9, 8, 7)
"""Of the letters, in points. The largest with which all rows are on one page, and if none is SPREAD on several."""
SPREAD = 8
HIGH, WIDE, NAME, MINUTES = 168.0, 277.0, 36.0, 30.0
"""In mm, of A4 across less margins of 10 mm: what rows have below the headings; the page's width, and the columns' of
names and of minutes, as in style.css."""
POINT = 25.4 / 72
LETTER, LINE = 0.56, 1.22
"""A letter's width and a line's height in its size, with what breaking lines at words costs; a page measured."""
INSET, PADDING = 2.3, 1.3
"""What a cell has beside its lines, and a row above and below them, in mm."""


@dataclass(frozen=True)
class Line:
    hours: str
    words: str


@dataclass(frozen=True)
class Row:
    """`cells` are the sittings of each day, in order of time."""

    name: str
    cells: tuple[tuple[Line, ...], ...]
    of: HoursUsed

    @property
    def always(self) -> bool:
        """Nothing bounds it: figures of day and night are no help."""
        return self.of.always and self.of.limit is None

    @property
    def minutes(self) -> str:
        if self.always and self.of.whose is Whose.LOCATION:
            return ngettext("{n} minute used; always open", "{n} minutes used; always open", self.of.used)
        if self.always:
            return ngettext("{n} minute used; always free", "{n} minutes used; always free", self.of.used)
        hours = number_words(round(self.of.available / 60, 1))
        return _("{used} min of {hours} h", used=self.of.used, hours=hours)

    @property
    def available(self) -> str | int:
        """The minutes, for a column of them; in words where they are all of the day."""
        if not self.always:
            return self.of.available
        return _("always open") if self.of.whose is Whose.LOCATION else _("always free")

    @property
    def left(self) -> int | None:
        return None if self.always else self.of.left

    @property
    def share(self) -> Fraction | None:
        """Of what is available; None where that is nothing, or day and night."""
        return Fraction(self.of.used, self.of.available) if self.of.available and not self.always else None

    @property
    def percent(self) -> str:
        if self.share is None:
            return ""
        return _("under 1 %") if 0 < self.share < Fraction(1, 100) else f"{round(self.share * 100)} %"

    @property
    def held_by_limits(self) -> str:
        """What is left, where limits leave less than the hours do."""
        if self.always or self.of.left >= self.of.free - self.of.used:
            return ""
        return ngettext("{n} minute left", "{n} minutes left", self.of.left)


@dataclass(frozen=True)
class View:
    """One page: `head` is of whom the rows are, `size` the letters on paper, in points."""

    by: str
    head: str
    rows: tuple[Row, ...]
    size: int


def timetable_files(
    case: Case,
    week: Week,
    sittings: Sequence[Sitting],
    used: Sequence[HoursUsed],
    off: Sequence[Sitting] = (),
) -> dict[str, bytes]:
    """The page and its two tables, by file name. `off` was called off since people were told of it."""
    return {
        PAGE: timetable_page(case, week, sittings, used, off).encode("utf-8"),
        TABLE: csv_bytes(timetable_table(sittings)),
        MINUTES_TABLE: csv_bytes(minutes_table(used)),
    }


def timetable_page(
    case: Case,
    week: Week,
    sittings: Sequence[Sitting],
    used: Sequence[HoursUsed],
    off: Sequence[Sitting] = (),
) -> str:
    """The page as HTML. Learners are called by their aliases."""
    days, views = timetable_views(case, week, sittings, used)
    names = Names(case)
    called_off = [f"{called_off_words(names, s)}: {names.learner(s.learner)}" for s in off]
    return render("timetable.html", days=days, views=views, off=called_off, **week_words(week))


def timetable_views(
    case: Case, week: Week, sittings: Sequence[Sitting], used: Sequence[HoursUsed]
) -> tuple[tuple[TableDay, ...], tuple[View, ...]]:
    """The days of the week that are shown, and the tables by adult, by place and by child."""
    names, days = Names(case), days_of_week(case, week, sittings)
    views = tuple(_view(names, days, sittings, used, *of) for of in _VIEWS)
    return tuple(map(table_day, days)), views


def timetable_table(sittings: Sequence[Sitting]) -> Table:
    """A row for each adult of each sitting, in order of time. Ids, and the clock's times."""
    rows = [
        [
            s.start.date().isoformat(),
            clock(s.start),
            clock(s.end),
            s.learner,
            adult,
            s.location,
            _role(s, adult),
            sum(p.kind.is_probe for p in s.probes),
            sum(not p.kind.is_probe for p in s.probes),
            s.minutes,
        ]
        for s in sorted(sittings, key=lambda s: (s.start, s.id))
        for adult in s.adults
    ]
    return Table.of(COLUMNS, rows, COLUMNS[-3:])


def minutes_table(used: Sequence[HoursUsed]) -> Table:
    rows = [
        [u.whose.value, u.id, u.used, u.free, share_cell(u.share), "" if u.limit is None else u.limit, u.left]
        for u in used
    ]
    return Table.of(MINUTES_COLUMNS, rows, ("used_minutes", "free_minutes", "left_minutes"))


def _role(sitting: Sitting, adult: str) -> str:
    if adult == sitting.adult:
        return "runs"
    return "observes" if adult == sitting.observer else "beside"


_ROLES = {"runs": N_("runs"), "observes": N_("observes"), "beside": N_("beside")}


def _of_adult(names: Names, s: Sitting, adult: str) -> str:
    where = f"{names.learner(s.learner)}, {names.location(s.location)}"
    return where if adult == s.adult else f"{where} ({said(_ROLES[_role(s, adult)])})"


def _of_place(names: Names, s: Sitting, __: str) -> str:
    return _("{learner} with {adults}", learner=names.learner(s.learner), adults=_adults(names, s))


def _of_child(names: Names, s: Sitting, __: str) -> str:
    return f"{_adults(names, s)}, {names.location(s.location)}"


def _adults(names: Names, s: Sitting) -> str:
    beside = f" ({said(_ROLES[_role(s, s.beside)])}: {names.adult(s.beside)})" if s.beside else ""
    return names.adult(s.adult) + beside


Words = Callable[[Names, Sitting, str], str]
_VIEWS: tuple[tuple[By, Whose, str, Callable[[Names, str], str], Words], ...] = (
    (By.ADULT, Whose.ADULT, N_("Adult"), Names.adult, _of_adult),
    (By.LOCATION, Whose.LOCATION, N_("Place"), Names.location, _of_place),
    (By.LEARNER, Whose.LEARNER, N_("Child"), Names.learner, _of_child),
)


def _view(
    names: Names,
    days: Sequence[date],
    sittings: Sequence[Sitting],
    used: Sequence[HoursUsed],
    by: By,
    whose: Whose,
    head: str,
    name: Callable[[Names, str], str],
    words: Words,
) -> View:
    held = defaultdict[tuple[str, date], list[Sitting]](list)
    for sitting in sorted(sittings, key=lambda s: (s.start, s.id)):
        for id_ in ids_by(by, sitting):
            held[id_, sitting.start.date()].append(sitting)

    def cell(id_: str, day: date) -> tuple[Line, ...]:
        own = held.get((id_, day), ())
        return tuple(Line(f"{clock(s.start)}–{clock(s.end)}", words(names, s, id_)) for s in own)

    minutes = {u.id: u for u in used if u.whose is whose}
    rows = tuple(Row(name(names, i), tuple(cell(i, d) for d in days), minutes[i]) for i in in_order(minutes))
    return View(head.lower(), said(head), rows, _size(rows, len(days)))


def _size(rows: Sequence[Row], days: int) -> int:
    return next((size for size in SIZES if _height(rows, days, size) <= HIGH), SPREAD)


def _height(rows: Sequence[Row], days: int, size: int) -> float:
    """Of all rows in mm, by guess: no browser is asked."""

    def lines(text: str, width: float) -> int:
        return ceil(len(text) * size * POINT * LETTER / (width - INSET))

    column = (WIDE - NAME - MINUTES) / max(days, 1)
    most = (
        max(
            lines(row.name, NAME),
            lines(row.minutes, MINUTES) + bool(row.share) + bool(row.held_by_limits),
            *(sum(lines(f"{x.hours} {x.words}", column) for x in cell) for cell in row.cells),
        )
        for row in rows
    )
    return sum(most) * size * POINT * LINE + len(rows) * PADDING
