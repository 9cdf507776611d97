"""Texts that speak of time -> values: times of day, windows, days of the week, dates, absences, births.

Every function raises `Unclear` with words for a user. Windows are half-open; `24:00` is the end of a day.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from genplan.case import Absence, Birth, Window
from genplan.case.people import AbsenceKind
from genplan.case.week import DAY_NAMES, MINUTES_PER_DAY, YEARS
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.language import N_, _, said

A_TIME = N_("a time such as 09:30 or 16:00")
A_WINDOW = N_("a window such as 15:30-18:00")
A_DATE = N_("a date such as 2026-12-04")
AN_ABSENCE = N_("2026-12-03, 2026-12-04 09:00-12:00 or 2026-12-24..2027-01-03")
RANGE = N_("first and last day, such as 2026-08-27..2026-12-18")
A_DAY = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
"""Why a place is closed on days that lie in none of its terms."""
TIME_TEXT = "[0-9]{1,2}:[0-9]{2}"
WINDOW_TEXT = rf"{TIME_TEXT}\s*-\s*{TIME_TEXT}"
RANGE_TEXT = rf"{A_DAY}\s*\.\.\s*{A_DAY}"
ABSENCE_TEXT = rf"{RANGE_TEXT}|{A_DAY}(?:\s+{WINDOW_TEXT})?"
_NAME = rf"(?:{'|'.join(DAY_NAMES)})"
DAYS_TEXT = rf"\s*(?:daily|{_NAME}(?:\s*-\s*{_NAME})?(?:\s*,\s*{_NAME}(?:\s*-\s*{_NAME})?)*)\s*"
"""Regular expressions, for an editor, of what the functions below take; they are looser and never stricter."""
SOME_DAYS = N_("days such as mon, mon-fri, 'mon,wed' or daily")


@lru_cache(maxsize=2048)
def minute_of_day(text: str, *, ends: bool = False) -> int:
    """`HH:MM` -> 0 to 1439; 1440 for 24:00, only where a window ends."""
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})", text.strip())
    if not match:
        hint = (
            _("write hours and minutes with a colon, by the 24-hour clock") if re.search(r"\d", text) else ""
        )
        raise InvalidValue(f"'{text.strip()}'", said(A_TIME), hint)
    hours, minutes = int(match[1]), int(match[2])
    if hours * 60 + minutes == MINUTES_PER_DAY and ends:
        return MINUTES_PER_DAY
    if hours > 23 or minutes > 59:
        hint = _("24:00 may only end a window") if (hours, minutes) == (24, 0) else ""
        raise InvalidValue(_("'{text}', which no clock shows", text=text.strip()), said(A_TIME), hint)
    return hours * 60 + minutes


def window(text: str) -> Window:
    """`15:30-18:00` -> a window of one day."""
    if not text.strip():
        raise InvalidValue(_("nothing before or behind a comma"), said(A_WINDOW), _("take the comma out"))
    parts = text.split("-")
    if len(parts) != 2:
        dashed = re.search("[‐-―−~]", text)
        hint = _("use the plain hyphen -") if dashed else _("write the start, a hyphen and the end")
        raise InvalidValue(f"'{text.strip()}'", said(A_WINDOW), hint)
    start, end = minute_of_day(parts[0]), minute_of_day(parts[1], ends=True)
    if end < start:
        hint = _(
            "write a window over midnight as two, such as 22:00-24:00 and, on the day after, 00:00-06:00"
        )
        raise InvalidValue(
            _("'{text}', which ends before it starts", text=text.strip()), said(A_WINDOW), hint
        )
    if end == start:
        raise InvalidValue(_("'{text}', which has no length", text=text.strip()), said(A_WINDOW))
    return Window(start, end)


def windows(texts: Iterable[str]) -> Windows:
    """Texts of one or more windows, apart by commas -> their union; windows that touch are one."""
    return merge(window(part) for text in texts for part in text.split(","))


def time_text(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def window_text(span: Window) -> str:
    return f"{time_text(span.start)}-{time_text(span.end)}"


def windows_text(spans: Iterable[Window]) -> str:
    """As a case says the windows of a day."""
    return ", ".join(map(window_text, spans))


def day_numbers(text: str) -> tuple[int, ...]:
    """`mon-fri`, `tue`, `mon,wed`, `daily` -> days, Monday is 0."""
    if text.strip() == "daily":
        return tuple(range(7))
    found: set[int] = set()
    for part in text.split(","):
        ends = [_day_number(name.strip()) for name in part.split("-")]
        if len(ends) > 2:
            raise InvalidValue(f"'{text}'", said(SOME_DAYS))
        if ends[-1] < ends[0]:
            first, last = DAY_NAMES[ends[0]], DAY_NAMES[ends[-1]]
            hint = (
                _("write '{first}-sun,mon-{last}'", first=first, last=last)
                if ends[-1]
                else _("write '{first}-sun,mon'", first=first)
            )
            raise InvalidValue(
                _("'{part}', which runs over the end of the week", part=part.strip()), said(SOME_DAYS), hint
            )
        found.update(range(ends[0], ends[-1] + 1))
    return tuple(sorted(found))


def _day_number(name: str) -> int:
    if name in DAY_NAMES:
        return DAY_NAMES.index(name)
    short = name[:3].lower()
    hint = (
        _("did you mean '{word}'?", word=short)
        if short in DAY_NAMES
        else _("the days are {days}", days=", ".join(DAY_NAMES))
    )
    raise InvalidValue(_("the day '{name}'", name=name), said(SOME_DAYS), hint)


def day(text: str) -> date:
    """`2026-12-04`; a day that the calendar does not have is said so."""
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text.strip()):
        raise InvalidValue(f"'{text.strip()}'", said(A_DATE), _("write year, month and day, each in full"))
    try:
        found = date.fromisoformat(text.strip())
    except ValueError:
        raise InvalidValue(_("'{text}', which no calendar has", text=text.strip()), said(A_DATE)) from None
    if found.year not in YEARS:
        raise InvalidValue(
            _("the year {year}", year=found.year),
            _("a year from {first} to {last}", first=YEARS[0], last=YEARS[-1]),
        )
    return found


def birth(text: str) -> Birth:
    """`2021-04` or `2021-04-12`."""
    expected = _("a month such as 2021-04, or a date such as 2021-04-12")
    month_only = re.fullmatch(r"[0-9]{4}-[0-9]{2}", text.strip())
    try:
        found = day(f"{text.strip()}-01" if month_only else text)
    except InvalidValue as problem:
        shown = f"'{text.strip()}'" if month_only else problem.found
        raise InvalidValue(shown, expected) from None
    return Birth(found.year, found.month, None if month_only else found.day)


def absence(text: str, why: str) -> Absence:
    """A whole day, hours of a day, or whole days from the first to the last, both gone."""
    if ".." in text:
        return _absent_days(text, why)
    dates = re.findall(A_DAY, text)
    if len(dates) == 2:
        hint = _(
            "write {first}..{last} for the days from the first to the last", first=dates[0], last=dates[1]
        )
        raise InvalidValue(f"'{text.strip()}'", said(AN_ABSENCE), hint)
    first, _space, hours = text.strip().partition(" ")
    if not re.fullmatch(A_DAY, first):
        raise InvalidValue(
            f"'{text.strip()}'", said(AN_ABSENCE), _("write year, month and day, each in full")
        )
    on = datetime.combine(day(first), time())
    if not hours.strip():
        return Absence(on, on + timedelta(days=1), AbsenceKind(why))
    span = window(hours)
    return Absence(on + timedelta(minutes=span.start), on + timedelta(minutes=span.end), AbsenceKind(why))


def _absent_days(text: str, why: str) -> Absence:
    ends = text.split("..")
    if len(ends) != 2 or not all(re.fullmatch(rf"\s*{A_DAY}\s*", end) for end in ends):
        hint = (
            _("hours stand only beside a single date")
            if ":" in text
            else _("write a date, two dots and a date")
        )
        raise InvalidValue(f"'{text}'", said(RANGE), hint)
    first, last = day(ends[0]), day(ends[1])
    if last < first:
        raise InvalidValue(
            _("'{text}', which ends before it starts", text=text), said(RANGE), _("turn the two dates round")
        )
    start = datetime.combine(first, time())
    return Absence(start, datetime.combine(last, time()) + timedelta(days=1), AbsenceKind(why))


def term(text: str) -> Absence:
    """`2026-08-27..2026-12-18` -> the days from the first to the last, both in it."""
    if ".." not in text:
        raise InvalidValue(f"'{text.strip()}'", said(RANGE))
    return _absent_days(text, "term")


def outside(terms: Iterable[Absence]) -> tuple[Absence, ...]:
    """All days that lie in none of the terms, within the years that a case may speak of."""
    gaps, since = [], datetime(YEARS[0], 1, 1)
    for stretch in sorted(terms):
        if since < stretch.start:
            gaps.append(Absence(since, stretch.start, AbsenceKind.OUTSIDE_TERM))
        since = max(since, stretch.end)
    return (*gaps, Absence(since, max(since, datetime(YEARS[-1] + 1, 1, 1)), AbsenceKind.OUTSIDE_TERM))
