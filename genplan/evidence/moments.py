"""A day and a time of day as people and spreadsheets write them in a cell. What can only mean one thing is read; what
can mean two is never guessed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import date, time
from functools import lru_cache

from genplan.case.week import YEARS
from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.sheet_faults import quoted
from genplan.language import N_, _, or_list, said
from genplan.language.typed_days import date_of, possible_days

A_DAY = N_("a date such as 2026-12-03")
A_CLOCK = N_("a 24-hour time such as 16:30, or an empty cell")
AS_TEXT = N_("a spreadsheet may have changed it: type it year first, with the column set to text")

_MIDNIGHT = r"(?:[ T]00:00(?::00)?)?"
"""What a spreadsheet adds to a date without a time."""
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})" + _MIDNIGHT)
_YEAR_LAST = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})" + _MIDNIGHT)
_LONGEST = 30
"""Characters of a day with its month in letters."""
_CLOCK = re.compile(r"([0-9]{1,2}):([0-5][0-9])(?::[0-5][0-9])?(?: ?([ap])\.?m\.?)?", re.IGNORECASE)


@lru_cache(maxsize=4096)
def day_of(text: str) -> date:
    """2026-12-03, 2026/12/3; 13/12/2026 and 12/13/2026, which each are one day only, as 3.4.2026 and 3 April 2026 are.
    Raises InvalidValue, also for 3/4/2026, which is two."""
    if _YEAR_FIRST.fullmatch(text) or _YEAR_LAST.fullmatch(text):
        return _only(text, days_of(text))
    if named := _with_its_month_in_letters(text):
        return _only(text, (named,))
    raise InvalidValue(_("found {text}", text=quoted(text)), said(A_DAY), said(AS_TEXT) if text else "")


def _with_its_month_in_letters(text: str) -> date | None:
    """The year in full, or `3 Dec 26` would be two days."""
    if len(text) <= _LONGEST and re.search(r"[^\W\d]{3}", text) and re.search(r"\b[0-9]{4}\b", text):
        with suppress(ValueError):
            return date_of(text)
    return None


def days_of(text: str) -> tuple[date, ...]:
    """All days that `text` may stand for, whatever language is spoken; none for what is no date."""
    return (
        possible_days(re.sub(f"{_MIDNIGHT}$", "", text))
        if _YEAR_FIRST.fullmatch(text) or _YEAR_LAST.fullmatch(text)
        else ()
    )


@lru_cache(maxsize=4096)
def is_year_first(text: str) -> bool:
    return _YEAR_FIRST.fullmatch(text) is not None


@lru_cache(maxsize=4096)
def clock_of(text: str) -> time:
    """16:30, 9:10, 16:30:00, 4:30 pm: to the minute. Raises InvalidValue."""
    match = _CLOCK.fullmatch(text)
    if match:
        hour, half = int(match[1]), (match[3] or "").lower()
        if half and 1 <= hour <= 12:
            return time(hour % 12 + (12 if half == "p" else 0), int(match[2]))
        if not half and hour < 24:
            return time(hour, int(match[2]))
    raise InvalidValue(_("found {text}", text=quoted(text)), said(A_CLOCK))


def _only(text: str, found: Sequence[date]) -> date:
    if not found:
        raise InvalidValue(_("'{text}' is not a day of the calendar", text=text), said(A_DAY))
    if len(found) > 1:
        either = or_list([f"{day}" for day in found])
        raise InvalidValue(
            _("found '{text}', which may be {either}", text=text, either=either),
            _("the one that is meant, year first"),
            said(AS_TEXT),
        )
    if found[0].year not in YEARS:
        raise InvalidValue(
            _("the year {year:04d}", year=found[0].year),
            _("a year from {first} to {last}", first=YEARS[0], last=YEARS[-1]),
        )
    return found[0]
