"""Days, months and dates as people read them. English is written from tables of our own, so that no locale of the
machine decides a byte; other languages by Babel, which is loaded for them alone."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from genplan.language.saying import _, speech

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def in_english() -> bool:
    """Whether no Babel is needed."""
    return speech().language == "en"


def day_name(weekday: int) -> str:
    """`Monday`, of 0."""
    return DAYS[weekday] if in_english() else _names("wide")[weekday]


def day_name_short(weekday: int) -> str:
    """`Mon`, of 0."""
    return DAYS[weekday][:3] if in_english() else _names("abbreviated")[weekday].rstrip(".")


def day_and_month(day: date) -> str:
    """`1 December`."""
    return f"{day.day} {MONTHS[day.month - 1]}" if in_english() else _written(day, "MMMMd")


def day_and_month_short(day: date) -> str:
    """`1 Dec`."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}" if in_english() else _written(day, "MMMd")


def month_short(day: date) -> str:
    """`Dec`."""
    return MONTHS[day.month - 1][:3] if in_english() else _months()[day.month].rstrip(".")


def day_words(day: date) -> str:
    """`Tuesday 1 December`."""
    return _with_weekday(day, day_and_month(day))


def long_date(day: date) -> str:
    """`Tuesday 1 December 2026`."""
    return _with_weekday(day, date_words(day))


def date_words(day: date) -> str:
    """`1 December 2026`."""
    return f"{day_and_month(day)} {day.year}" if in_english() else _written(day, "yMMMMd")


def day_short(day: date) -> str:
    """`12 Nov 2026`."""
    return f"{day_and_month_short(day)} {day.year}" if in_english() else _written(day, "yMMMd")


def clock(moment: datetime) -> str:
    """`09:05`, in every language: the files are written so too."""
    return f"{moment.hour:02d}:{moment.minute:02d}"


def moment_short(moment: datetime) -> str:
    """`Tue 16:00`."""
    return f"{day_name_short(moment.weekday())} {clock(moment)}"


def long_moment(moment: datetime, *, ends: bool = False) -> str:
    """`Tuesday 1 December 2026, 17:00`; a day alone where it is whole: midnight, and as an end that of the day
    before."""
    if moment.time() == time():
        return long_date(moment.date() - timedelta(days=1) if ends else moment.date())
    return f"{long_date(moment.date())}, {clock(moment)}"


def _with_weekday(day: date, rest: str) -> str:
    return _("{weekday} {date}", weekday=day_name(day.weekday()), date=rest)


def _names(width: str) -> dict[int, str]:
    from babel.dates import get_day_names

    return dict(get_day_names(width, "stand-alone", speech().locale))  # type: ignore[arg-type]


def _months() -> dict[int, str]:
    from babel.dates import get_month_names

    return dict(get_month_names("abbreviated", "stand-alone", speech().locale))


def _written(day: date, skeleton: str) -> str:
    from babel.dates import format_skeleton

    return format_skeleton(skeleton, day, locale=speech().locale)
