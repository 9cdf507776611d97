"""A week as a picture: days across, hours down. An hour in which nothing begins takes no room."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from genplan.case.week import Week
from genplan.language import and_list
from genplan.language.dates import day_and_month, day_name
from genplan.plan import Sitting
from genplan.report.names_and_words import Names, hours, probes_words
from genplan.report.week_table import NOTHING, State, days_of_week

SHADES = 4
"""Adults and places told apart by more than words; with more of them they begin again, and the words still tell."""


@dataclass(frozen=True)
class Block:
    """One sitting. `skills` says what it is of; `shade` is the adult's and `edge` the place's, from 1. `state` is
    what became of it, or is known to."""

    id: str
    hours: str
    learner: str
    adult: str
    place: str
    skills: str
    shade: int
    edge: int
    state: State


@dataclass(frozen=True)
class Cell:
    """What begins in one hour of one day; `day` and `hour` are numbers, for the place in the picture."""

    day: int
    hour: int
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class PictureDay:
    """`number` is the column, from 1."""

    number: int
    weekday: str
    date: str
    today: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class WeekPicture:
    days: tuple[PictureDay, ...]
    hours: tuple[int, ...]


def week_picture(
    names: Names,
    week: Week,
    sittings: Sequence[Sitting],
    today: date | None = None,
    state: Callable[[Sitting], State] = lambda sitting: NOTHING,
) -> WeekPicture:
    """The days of the week that hold a sitting, and those on which the case plans at all."""
    days = days_of_week(names.case, week, sittings)
    adults, places = _numbers(s.adult for s in sittings), _numbers(s.location for s in sittings)

    def block(s: Sitting) -> Block:
        skills = list(dict.fromkeys(names.target(p.target) for p in s.probes))
        return Block(
            s.id,
            hours(s),
            names.learner(s.learner),
            names.adult(s.adult),
            names.location(s.location),
            and_list(skills) if len(skills) < 3 else probes_words(s.probes),
            adults[s.adult],
            places[s.location],
            state(s),
        )

    def cells(number: int, day: date) -> tuple[Cell, ...]:
        of_day = sorted((s for s in sittings if s.start.date() == day), key=lambda s: (s.start, s.id))
        begun = dict.fromkeys(s.start.hour for s in of_day)
        return tuple(Cell(number, h, tuple(block(s) for s in of_day if s.start.hour == h)) for h in begun)

    return WeekPicture(
        tuple(
            PictureDay(n, day_name(d.weekday()), day_and_month(d), d == today, cells(n, d))
            for n, d in enumerate(days, start=1)
        ),
        tuple(sorted({s.start.hour for s in sittings})),
    )


def _numbers(ids: Iterable[str]) -> dict[str, int]:
    return {i: n % SHADES + 1 for n, i in enumerate(sorted(set(ids)))}
