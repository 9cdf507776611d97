"""A week of many at a glance: children, adults or places down, days across, who meets whom in the cells."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from genplan.case import Case
from genplan.case.week import Week
from genplan.language import N_, _, said
from genplan.language.dates import day_and_month_short, day_name
from genplan.plan import Sitting
from genplan.report.names_and_words import Names
from genplan.report.plain_characters import clock, in_order


class By(StrEnum):
    """Whose sittings are told together; for a day the table goes by child."""

    LEARNER = "child"
    ADULT = "adult"
    LOCATION = "room"
    DAY = "day"


@dataclass(frozen=True)
class State:
    """What became of a sitting, or is known to: a sign with a word, or nothing to say; `brief` is the same where there
    is little room. `is_struck`: it is not held, and is struck out beside that word."""

    words: str = ""
    is_struck: bool = False
    brief: str = ""


NOTHING = State()


@dataclass(frozen=True)
class TableDay:
    date: str
    weekday: str
    words: str
    today: bool


@dataclass(frozen=True)
class TableLine:
    """One sitting, such as `09:00 Tui`."""

    words: str
    state: State


@dataclass(frozen=True)
class TableRow:
    """`cells` are the sittings of each day of the table."""

    id: str
    name: str
    cells: tuple[tuple[TableLine, ...], ...]


@dataclass(frozen=True)
class WeekTable:
    """`head` is what the rows are, and `of` the same as an address has it."""

    of: str
    head: str
    days: tuple[TableDay, ...]
    rows: tuple[TableRow, ...]


def ids_by(by: By, sitting: Sitting) -> tuple[str, ...]:
    """Under which ids a sitting is told: under two for a sitting of two adults."""
    match by:
        case By.LEARNER:
            return (sitting.learner,)
        case By.ADULT:
            return sitting.adults
        case By.LOCATION:
            return (sitting.location,)
    return (sitting.start.date().isoformat(),)


def week_table(
    names: Names,
    week: Week,
    sittings: Sequence[Sitting],
    by: By,
    today: date | None = None,
    state: Callable[[Sitting], State] = lambda sitting: NOTHING,
) -> WeekTable:
    """The days and the rows that hold a sitting."""
    by = By.LEARNER if by is By.DAY else by
    held: dict[str, dict[date, list[Sitting]]] = defaultdict(lambda: defaultdict(list))
    for s in sorted(sittings, key=lambda s: (s.start, s.id)):
        for id_ in ids_by(by, s):
            held[id_][s.start.date()].append(s)
    days = [d for d in week.days if any(d in own for own in held.values())]
    name, line = _NAME[by], _LINE[by]

    def cell(id_: str, day: date) -> tuple[TableLine, ...]:
        own = held[id_].get(day, ())
        return tuple(TableLine(f"{clock(s.start)} {line(names, s)}", state(s)) for s in own)

    return WeekTable(
        by.value,
        said(_HEADS[by]),
        tuple(table_day(d, today) for d in days),
        tuple(TableRow(i, name(names, i), tuple(cell(i, d) for d in days)) for i in in_order(held)),
    )


def days_of_week(case: Case, week: Week, sittings: Sequence[Sitting]) -> list[date]:
    """The days of the week that hold a sitting, and those on which the case plans at all."""
    held = {s.start.date() for s in sittings}
    return [d for d in week.days if d in held or d.weekday() in case.policy.days]


def table_day(day: date, today: date | None = None) -> TableDay:
    return TableDay(day.isoformat(), day_name(day.weekday()), day_and_month_short(day), day == today)


_HEADS: Mapping[By, str] = {By.LEARNER: N_("Child"), By.ADULT: N_("Adult"), By.LOCATION: N_("Room")}
_NAME: Mapping[By, Callable[[Names, str], str]] = {
    By.LEARNER: Names.learner,
    By.ADULT: Names.adult,
    By.LOCATION: Names.location,
}
_LINE: Mapping[By, Callable[[Names, Sitting], str]] = {
    By.LEARNER: lambda names, s: _(" and ").join(map(names.adult, s.adults)),
    By.ADULT: lambda names, s: f"{names.learner(s.learner)}, {names.location(s.location)}",
    By.LOCATION: lambda names, s: names.meeting(s.learner, s.adult),
}


def told_by(by: By, id_: str, sittings: Iterable[Sitting]) -> tuple[Sitting, ...]:
    """The sittings of one child, adult, place or day."""
    return tuple(s for s in sittings if id_ in ids_by(by, s))
