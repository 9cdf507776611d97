"""Days as people type them: `2026-12-03`, `3.12.2026`, `14/03/21`, `3 December`, `Thursday`, `tomorrow`.

What figures alone may mean is settled by the language spoken, where that has one order: in English 3/4/2026 is two
days, and is asked about. 3.4.2026 is one in any: with points the day stands first wherever dates are written so (common
practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, timedelta

from genplan.language.dates import date_words
from genplan.language.lists import or_list
from genplan.language.saying import _, pgettext
from genplan.language.typed import day_of, meant_by, month_of, order_of_figures, words_in_every_language

CENTURY = 2000
"""What is added to a year of two figures."""
MONTHS_OF_YEAR = 12
HALF_A_YEAR = timedelta(days=183)
"""Our choice, no source."""
_SIGNS = r"\s*([-/.])\s*"
_YEAR_FIRST = re.compile(rf"(\d{{4}}){_SIGNS}(\d{{1,2}})\s*\2\s*(\d{{1,2}})")
_YEAR_LAST = re.compile(rf"(\d{{1,2}}){_SIGNS}(\d{{1,2}})\s*\2\s*(\d{{4}}|\d\d)")
_NO_YEAR = re.compile(rf"(\d{{1,2}}){_SIGNS}(\d{{1,2}})\s*\2?")
_MONTH_AND_TWO_FIGURES = re.compile(r"[^\W\d]+[\s.,/'’-]*\d\d")
_ORDINAL = re.compile(r"(\d)(?:st|nd|rd|th)\b(?:\s+of\b)?", re.IGNORECASE)
"""`3rd of May`; in other languages a point stands there."""
NEAR: Mapping[int, Callable[[], str]] = {
    0: lambda: pgettext("a day, typed, several words with blanks between them", "today"),
    1: lambda: pgettext("a day, typed, several words with blanks between them", "tomorrow"),
    -1: lambda: pgettext("a day, typed, several words with blanks between them", "yesterday"),
}


class UnclearDate(ValueError):
    """What may be several days, or lacks a part of the year; its text is the sentence, without a full stop."""


def possible_days(text: str) -> tuple[date, ...]:
    """All days that figures with a whole year may stand for, whatever is spoken; none for what is no such date."""
    if match := _YEAR_FIRST.fullmatch(text):
        day = _date(match[1], match[3], match[4])
        return () if day is None else (day,)
    if (match := _YEAR_LAST.fullmatch(text)) and len(match[4]) > 2:
        if match[2] == "." and (day := _date(match[4], match[3], match[1])):
            return (day,)
        return tuple(_both(match[1], match[3], match[4]))
    return ()


def reads_day_first(text: str) -> bool:
    """Whether the points alone say that `2.11.2026` is one day, so that it is to be said how it was read."""
    return "." in text and len(possible_days(text.replace(".", "/"))) > 1


def date_of(text: str) -> date | None:
    """The day; None for a text that is no date with a year. Raises UnclearDate, and ValueError for a day that no
    calendar has."""
    typed = _ORDINAL.sub(r"\1", text.strip())
    if match := _YEAR_FIRST.fullmatch(typed):
        return date(int(match[1]), int(match[3]), int(match[4]))
    if match := _YEAR_LAST.fullmatch(typed):
        if match[2] == "." and len(match[4]) > 2 and (day := _date(match[4], match[3], match[1])):
            return day
        return _year_last(typed, match[1], match[3], match[4])
    numbers = re.findall(r"\d+", typed)
    words = _words_in(typed)
    if len(words) != 1 or len(numbers) != 2 or not (month := month_of(words[0])):
        return None
    day, year = numbers if len(numbers[0]) < 3 else numbers[::-1]
    return date(_year(year), month, int(day)) if len(day) < 3 and len(year) in (2, 4) else None


def day_and_month_of(text: str, year: int) -> date | None:
    """`1 December`, `1.12.` of that year; None for another text, one that names a year too. Raises as `date_of`."""
    typed = text.strip()
    words = _words_in(typed)
    numbers = re.findall(r"\d+", typed)
    if len(words) == 1 and len(numbers) == 1 and len(numbers[0]) < 3 and (month := month_of(words[0])):
        return date(year, month, int(numbers[0]))
    if not (match := _NO_YEAR.fullmatch(typed)):
        return None
    # with a full stop behind each, or of a number that no month has, the first is the day wherever it is written
    order = order_of_figures() or ("dM" if typed.endswith(".") or int(match[1]) > MONTHS_OF_YEAR else None)
    if order is None:
        raise UnclearDate(
            _(
                "'{text}' may be a day and a month or a month and a year: write all three, such as {example}",
                text=typed,
                example=date_words(date(2026, 12, 3)),
            )
        )
    return _in_order(order, match[1], match[3], str(year))


def day_near(text: str, today: date, *, past: bool = False) -> date | None:
    """The day that is meant of `today`, `Thursday` or `1 December`: the first from today on, or, in the past, the last
    until today; None for another text. Raises as `date_of`."""
    word = text.strip().lower().rstrip(".")
    for days, words in NEAR.items():
        if word in words_in_every_language(words):
            return today + timedelta(days)
    named = _words_in(word)
    if len(named) == 1 and not re.search(r"\d", word) and (weekday := day_of(named[0])) is not None:
        ahead = (weekday - today.weekday()) % 7
        return today + timedelta(ahead - 7 if past and ahead else ahead)
    for year in (today.year, today.year - 1 if past else today.year + 1):
        try:
            found = day_and_month_of(text, year)
        except UnclearDate:
            raise
        except ValueError:  # 29 February
            continue
        if found is None:
            return None
        if found <= today if past else found >= today:
            return found
    if _NO_YEAR.fullmatch(text.strip()) or named:
        raise ValueError(text)
    return None


def latest_of_the_year(text: str, today: date) -> date | None:
    """`1 December`, `1.12.`: the last such day until today, whatever is spoken; None for any other text, such as
    `Thursday`, `1/12` or `Nov-26`, which spreadsheets make of November 2026. Raises as `date_of`."""
    if not (text.endswith(".") or re.search(r"[^\W\d]", text)) or _MONTH_AND_TWO_FIGURES.fullmatch(
        text.strip()
    ):
        return None
    is_one = day_and_month_of(text, today.year - today.year % 4)  # a year that has the 29th of February
    return day_near(text, today, past=True) if is_one else None


def is_long_ago(day: date, today: date) -> bool:
    """Of a day typed without its year that is still ahead in this one: whether it was so long ago in the last that the
    one ahead may be meant, and the year is to be asked for."""
    return day.year < today.year and day < today - HALF_A_YEAR


def is_near(text: str) -> bool:
    """Whether it is known which day is meant only once it is known which day is today. In 2024 there was every day.
    Raises as `date_of`."""
    return day_near(text, date(2024, 1, 1)) is not None


def _words_in(text: str) -> list[str]:
    """Without those that only fill a sentence."""
    return [word for word in re.findall(r"[^\W\d]+", text) if meant_by(word) != ""]


def _year_last(typed: str, first: str, second: str, year: str) -> date:
    if (order := order_of_figures()) is not None:
        return _in_order(order, first, second, year)
    if len(year) == 2:
        raise UnclearDate(
            _(
                "'{text}' has a year of two figures, and may be several days: write it as {example}",
                text=typed,
                example=or_list([f"'{date_words(day)}'" for day in _both(first, second, year)])
                or "2026-12-03",
            )
        )
    days = _both(first, second, year)
    if len(days) > 1:
        raise UnclearDate(
            _(
                "'{text}' may be {either}: write the month in letters, or the date year first, such as {example}",
                text=typed,
                either=or_list([date_words(day) for day in days]),
                example=days[0].isoformat(),
            )
        )
    if not days:
        raise ValueError(typed)
    return days[0]


def _both(first: str, second: str, year: str) -> list[date]:
    """Day and month in either order."""
    days = {_date(str(_year(year)), m, d) for d, m in ((first, second), (second, first))}
    return sorted(day for day in days if day is not None)


def _in_order(order: str, first: str, second: str, year: str) -> date:
    """Day and month as they stand in the language spoken."""
    day, month = (first, second) if order.index("d") < order.index("M") else (second, first)
    return date(_year(year), int(month), int(day))


def _year(typed: str) -> int:
    return int(typed) + (CENTURY if len(typed) == 2 else 0)


def _date(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None
