"""Hours of a week as people type them: `mon-fri 3-5pm, sat 10-12`, `Tuesday 15.30 to 17.00, the same on Thursday`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from genplan.case import Window
from genplan.case.week import DAYS, MINUTES_PER_DAY
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text, window_text
from genplan.casefile.weekly_hours import key_of, runs
from genplan.language import _
from genplan.language.dates import day_name, day_name_short, in_english
from genplan.language.typed import day_of, meant_by
from genplan.start.hours_clauses import Clauses, such_as
from genplan.start.hours_times import HOUR, NOON, Time, tokens_of, with_times

EARLIEST = 6 * 60
"""Before this hour of the morning nobody is asked without having said so."""

Week = tuple[Windows, ...]
"""Seven days, Monday first."""

_GROUPS = {"daily": range(7), "weekdays": range(5), "weekend": range(5, 7)}
_SHORTENED = re.compile(r"(?<=[^\W\d])\.(?=\s*[-–—‑−])")
"""The full stop of `Mo.-Fr.`, which ends nothing."""


_Part = Time | list[int] | str
"""A time, days, or a word or sign that joins or parts them."""


def read_hours(text: str) -> Week:
    """The hours of the seven days. Raises InvalidValue with what is not clear; its hint says what to type."""
    clauses = Clauses()
    for part in _joined(_parts(text)):
        if isinstance(part, tuple):
            clauses.take_hours(*part)
        elif isinstance(part, list):
            clauses.take_days(part)
        else:
            _take_word(clauses, part)
    clauses.end()
    return tuple(merge(clauses.found.get(number, ())) for number in range(len(DAYS)))


def _take_word(clauses: Clauses, word: str) -> None:
    if word == "same":
        clauses.same()
    elif word == "as":
        clauses.as_day()
    elif word == "except":
        clauses.except_days()
    elif word == ",":
        clauses.comma()
    elif word == ";":
        clauses.semicolon()


def _joined(parts: Iterable[_Part]) -> Iterator[tuple[Window, str] | list[int] | str]:
    """With two times made one stretch, and two days with 'to' between them a run of days."""
    left = list(parts)
    while left:
        match left:
            case [Time() as start, "to", Time() as end, *rest]:
                yield _window(start, end), f"{start.typed}-{end.typed}"
            case [Time() as time, *_]:
                raise InvalidValue(
                    _("'{time}' alone", time=time.typed), "", _("Say from when to when, such as 3-5pm.")
                )
            case [[first], "to", [last], *rest]:
                yield _run(first, last)
            case [list() as days, "to", Time() as time, *rest]:  # mon - 3pm to 5pm
                yield days
                rest = [time, *rest]
            case ["to", *_]:
                raise InvalidValue(
                    _("'to' or '-' between other things than two days or times"), "", such_as()
                )
            case [list() | str() as part, *rest]:
                yield part
        left = rest


def _run(first: int, last: int) -> list[int]:
    if last < first:
        raise InvalidValue(
            _("{first} to {last}", first=day_name(first), last=day_name(last)),
            "",
            _("Write the two ends of the week apart."),
        )
    return list(range(first, last + 1))


def _parts(text: str) -> Iterator[_Part]:
    """Times, days, and the words between; what only fills is left out."""
    for item in with_times(tokens_of(_SHORTENED.sub("", text))):
        if part := item if isinstance(item, Time) else _part(*item):
            yield part


def _part(kind: str, word: str) -> _Part:
    """What a word stands for; nothing for one that only fills."""
    if kind == "sign":
        return _sign(word)
    meant = meant_by(word)
    if meant in _GROUPS:
        return list(_GROUPS[meant])
    if meant in ("same", "as", "to", "except", ""):
        return meant
    if (day := day_of(word)) is not None:
        return [day]
    raise InvalidValue(
        f"'{word}'", "", _("Days are written mon, tue or Tuesday. {example}", example=such_as())
    )


def _sign(sign: str) -> str:
    if sign in "-–—‑−":
        return "to"
    if sign in ",;.":
        return ";" if sign == "." else sign
    if sign not in ":/&+()":
        raise InvalidValue(f"'{sign}'", "", such_as())
    return ""


def _window(start: Time, end: Time) -> Window:
    """`3-5pm` and `3pm-5` are in the afternoon, `11-1pm` begins in the morning; of `3-5` nobody can tell."""
    first, last = start.minute, end.minute
    if end.half and start.is_plain and first + NOON < last:
        first += NOON
    in_words = not end.typed[0].isdigit()
    afternoon = start.half or NOON <= first < NOON + HOUR or (first >= NOON and in_words)
    if afternoon and end.is_plain and last <= first < last + NOON:  # 3pm-5.30, 12-2, 15 to half past 5
        last += NOON
    typed = f"{start.typed}-{end.typed}"
    if first < EARLIEST and start.is_plain:
        later = last + (NOON if last < NOON else 0)
        afternoon = f"{time_text(first + NOON)}-{time_text(later)}"
        hint = _("Is it the afternoon? Then write {afternoon}, or with pm.", afternoon=afternoon)
        if later <= first + NOON:  # such as 3-3pm
            hint = _("Write am or pm behind both, or hours such as 15:00-17:00.")
        raise InvalidValue(f"'{typed}'", "", hint)
    if last <= first:
        raise InvalidValue(
            _("'{typed}', which ends before it begins", typed=typed), "", _("Write 3-5pm or 15:00-17:00.")
        )
    return Window(first, min(last, MINUTES_PER_DAY))


def hours_text(week: Week) -> str:
    """The same in the shortest words that `read_hours` takes: `mon-fri 15:00-17:00, sat 10:00-12:00`."""
    days = [" ".join(map(window_text, windows)) for windows in week]
    return ", ".join(f"{_days_text(first, last)} {days[first]}" for first, last in runs(days))


def _days_text(first: int, last: int) -> str:
    if in_english():
        return key_of(first, last)
    return "-".join(map(day_name_short, (first, last) if first != last else (first,)))
