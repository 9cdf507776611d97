"""Hours in the cells of tables, read as they are where people type them (`start.hours_text`), and with what cells have
besides: words and signs for none, the seconds of a spreadsheet, a start and an end in two cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TypeVar

from genplan.case import Window
from genplan.case.week import DAY_NAMES
from genplan.case.windows import Windows
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import windows_text
from genplan.casefile.weekly_hours import key_of, runs
from genplan.language import N_, _, pgettext, said
from genplan.start.hours_text import read_days, read_hours_of_a_day, read_hours_of_days
from genplan.tables.headings import apart_in_every_language, plain

SOME_HOURS = N_("hours such as 15:00-17:30, 3-5pm or 9-12, 13-15")
DAYS_WITH_HOURS = N_("days with hours, such as Mon, Wed 15:00-17:00; Fri 3-5pm")
_SIGNS_OF_NONE = frozenset({"x", "/", "-", "–", "—", "n/a"})
_SECONDS = re.compile(r"(?<=\d:\d\d):00\b")

_A_DATE = re.compile(r"\d{4}-\d\d-\d\d(?!\d)")

MINUTES_OF_A_DAY = 24 * 60

Read = TypeVar("Read")


def days_with_hours(text: str) -> dict[int, Windows]:
    """By number of the day, Monday is 0; all seven without any for a word such as closed. Raises InvalidValue."""
    _refuse_a_date(text, said(DAYS_WITH_HOURS))
    if _says_none(text):
        return dict.fromkeys(range(len(DAY_NAMES)), ())
    if plain(text) in _words_for_all_hours():
        return dict.fromkeys(range(len(DAY_NAMES)), (Window(0, MINUTES_OF_A_DAY),))
    named = _read(read_hours_of_days, text, said(DAYS_WITH_HOURS))
    is_never = len(named) == len(DAY_NAMES) and not any(named.values())
    return {day: hours for day, hours in sorted(named.items()) if hours or is_never}


def day_numbers(text: str) -> tuple[int, ...]:
    """`Mon-Fri`, `Tuesdays and Thursdays`, `weekdays`. Raises InvalidValue."""
    if found := _read(read_days, text, _("days such as Mon-Fri or Tue, Thu")):
        return found
    raise InvalidValue(f"'{text.strip()}'", _("days such as Mon-Fri or Tue, Thu"))


@lru_cache
def _words_for_none() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext("of a day without hours, apart by commas", "closed, no, none, off, not in, never")
    )


@lru_cache
def _words_of_two_meanings() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext("a day off, or one with time to spare, apart by commas", "free, available")
    )


@lru_cache
def _words_for_all_hours() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "of a place that is never closed, apart by commas", "always, always open, any time, at any time"
        )
    )


def _says_none(text: str) -> bool:
    return text.strip().lower() in _SIGNS_OF_NONE or plain(text) in _words_for_none()


def hours_of_a_day(text: str) -> Windows:
    """Nothing for a word such as closed. Raises InvalidValue."""
    _refuse_a_date(text, said(SOME_HOURS))
    if _says_none(text):
        return ()
    if plain(text) in _words_of_two_meanings():
        doubt = _("'{text}', which may be a day off or one with time for visits", text=text.strip())
        raise InvalidValue(doubt, said(SOME_HOURS), _("write 'off', or the hours"))
    is_number = re.fullmatch(r"\d+[.,]?\d*", text.strip())  # a time that a spreadsheet made a number of
    if not is_number and (found := _read(read_hours_of_a_day, text, said(SOME_HOURS))):
        return found
    raise InvalidValue(f"'{text.strip()}'", said(SOME_HOURS), _("write the start, a hyphen and the end"))


def _refuse_a_date(text: str, expected: str) -> None:
    """Raises InvalidValue for what a spreadsheet makes of `9-12`."""
    if _A_DATE.match(text.strip()):
        hint = _(
            "the cell is a date, which a spreadsheet makes of 9-12: set the column to text and type it again"
        )
        raise InvalidValue(f"'{text.strip()}'", expected, hint)


def window_from(start: str, end: str) -> Window:
    """A window of two cells. Raises InvalidValue."""
    (found,) = hours_of_a_day(f"{start.strip()}-{end.strip()}")
    return found


def _read(read: Callable[[str], Read], text: str, expected: str) -> Read:
    try:
        return read(_SECONDS.sub("", text))
    except InvalidValue as problem:
        raise InvalidValue(problem.found, problem.expected or expected, problem.hint.rstrip(".")) from None


def written_days(days: Mapping[int, Windows]) -> dict[str, str]:
    """As a case says them: days in a row with the same hours are one key."""
    hours = [windows_text(days.get(number, ())) for number in range(len(DAY_NAMES))]
    found = {key_of(first, last): hours[first] for first, last in runs(hours)}
    return {"daily": found["mon-sun"]} if "mon-sun" in found else found
