"""Which part of a kept week a screen shows: of a few children all of it, of many a child, an adult, a room or a day."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date

from genplan.case import Week
from genplan.language import N_, said
from genplan.plan import Sitting
from genplan.report.names_and_words import Names, day_words
from genplan.report.week_table import NOTHING, By, State, WeekTable, ids_by, told_by, week_table

WORDS = {By.LEARNER: N_("child"), By.ADULT: N_("adult"), By.LOCATION: N_("room"), By.DAY: N_("day")}
ALL_AT_MOST = 3
"""With so many children the week is shown whole, with more a part of it."""


@dataclass(frozen=True)
class WeekChoice:
    """`by` and `of` say what is chosen, `of` being an id or a day, and `name` what that is called; all are empty where
    the whole week is shown. `values` are what can be chosen, with how many sittings each has that are to be."""

    sittings: tuple[Sitting, ...]
    by: str = ""
    of: str = ""
    name: str = ""
    kinds: tuple[tuple[str, str], ...] = ()
    values: tuple[tuple[str, str, int], ...] = ()
    table: WeekTable | None = None


def week_choice(
    names: Names,
    week: Week,
    sittings: Sequence[Sitting],
    today: date,
    by_word: str,
    asked: str,
    *,
    off: Collection[Sitting] = (),
    state: Callable[[Sitting], State] = lambda sitting: NOTHING,
) -> WeekChoice:
    """By two words of the address; of many without a choice, no sitting but the table of all. By day, that to look at
    first. What the address names and the week does not hold counts as no choice. `off` is called off: it is in the
    table, but not counted."""
    if len({s.learner for s in sittings}) <= ALL_AT_MOST:
        return WeekChoice(tuple(sittings))
    by = next((b for b in By if b.value == by_word), By.LEARNER)
    ids = sorted({i for s in sittings for i in ids_by(by, s)})
    of = asked if asked in ids else _first_day(ids, today) if by is By.DAY else ""
    called = {i: _called(names, by, i) for i in ids}
    to_be = [s for s in sittings if s not in off]
    order = ids if by is By.DAY else sorted(ids, key=lambda i: called[i].casefold())
    return WeekChoice(
        told_by(by, of, sittings),
        by.value,
        of,
        called.get(of, ""),
        tuple((b.value, said(WORDS[b])) for b in By),
        tuple((i, called[i], len(told_by(by, i, to_be))) for i in order),
        week_table(names, week, sittings, by, today, state),
    )


def _first_day(days: Sequence[str], today: date) -> str:
    """Today, or the next day with a sitting, or the first."""
    return next((d for d in days if d >= today.isoformat()), days[0])


def _called(names: Names, by: By, id_: str) -> str:
    match by:
        case By.LEARNER:
            return names.learner(id_)
        case By.ADULT:
            return names.adult(id_)
        case By.LOCATION:
            return names.location(id_)
    return day_words(date.fromisoformat(id_))
