"""Hours of a week as people type them: `mon-fri 3-5pm, sat 10-12`, `Tuesday 15.30 to 17.00, the same on Thursday`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from genplan.case import Window
from genplan.case.week import DAYS
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text, window_text
from genplan.casefile.weekly_hours import key_of, runs
from genplan.language import _, said
from genplan.language.dates import day_name, day_name_short, in_english
from genplan.language.typed import day_of, meant_by
from genplan.start.hours_clauses import HOURS_EXAMPLE, Clauses, such_as
from genplan.start.hours_stretch import stretch
from genplan.start.hours_times import EARLIEST as EARLIEST
from genplan.start.hours_times import FILLING, NOON, Time, tokens_of, with_times

Week = tuple[Windows, ...]
"""Seven days, Monday first."""

ABOUT = 3 * 60
"""Minutes from one end to the other of hours that only show how to write them."""
_GROUPS = {"daily": range(7), "weekdays": range(5), "weekend": range(5, 7)}
_SHORTENED = re.compile(r"(?<=[^\W\d])\.(?=\s*[-–—‑−])")
"""The full stop of `Mo.-Fr.`, which ends nothing."""


_Part = Time | list[int] | str
"""A time, days, or a word or sign that joins or parts them."""


def read_hours(text: str) -> Week:
    """The hours of the seven days. Raises InvalidValue with what is not clear; its hint says what to type."""
    found = read_hours_of_days(text)
    return tuple(found.get(number, ()) for number in range(len(DAYS)))


def read_hours_of_days(text: str) -> dict[int, Windows]:
    """The same of the days that are named, closed ones among them."""
    clauses = Clauses()
    for part in _days_first([*_joined(_parts(text))]):
        if isinstance(part, tuple):
            window = stretch(*part, after=clauses.hours[-1].end if clauses.hours else 0)
            clauses.take_hours(window, f"{part[0].typed}-{part[1].typed}")
        elif isinstance(part, list):
            clauses.take_days(part)
        else:
            _take_word(clauses, part)
    clauses.end()
    return {number: merge(windows) for number, windows in clauses.found.items()}


def _days_first(
    parts: list[tuple[Time, Time] | list[int] | str],
) -> list[tuple[Time, Time] | list[int] | str]:
    """`9-12 every day`, `9-12 and 1-3 Mon-Thu`: hours and then days, and nothing else, can only be of all of them."""
    first = next((n for n, part in enumerate(parts) if isinstance(part, list)), 0)
    hours, days = parts[:first], parts[first:]
    if (
        hours
        and all(isinstance(p, tuple) or p == "," for p in hours)
        and all(isinstance(p, list) or p == "," for p in days)
    ):
        return [*days, *hours]
    return parts


def read_hours_of_a_day(text: str) -> Windows:
    """`9-12 and 1-3`: of a day that is named elsewhere. Raises InvalidValue."""
    found: list[Window] = []
    for part in _joined(_parts(text)):
        if isinstance(part, tuple):
            found.append(stretch(*part, after=found[-1].end if found else 0))
        elif part not in (",", ";"):
            named = day_name(part[0]) if isinstance(part, list) else part
            raise InvalidValue(f"'{named}'", "", _("Write hours alone, such as 9-12, 13-15."))
    return merge(found)


def read_days(text: str) -> tuple[int, ...]:
    """`Mon-Fri`, `Tuesdays and Thursdays`, `weekdays`. Raises InvalidValue."""
    found: list[int] = []
    for part in _joined(_parts(text)):
        if isinstance(part, list):
            found += part
        elif part not in (",", ";"):
            named = f"{part[0].typed}-{part[1].typed}" if isinstance(part, tuple) else part
            raise InvalidValue(f"'{named}'", "", _("Write days alone, such as Mon-Fri or Tue, Thu."))
    return tuple(found)


def _take_word(clauses: Clauses, word: str) -> None:
    if word == "same":
        clauses.same()
    elif word == "as":
        clauses.as_day()
    elif word == "except":
        clauses.except_days()
    elif word == "closed":
        clauses.closed()
    elif word == ",":
        clauses.comma()
    elif word == ";":
        clauses.semicolon()


def _joined(parts: Iterable[_Part]) -> Iterator[tuple[Time, Time] | list[int] | str]:
    """With the two times of a stretch together, and two days with 'to' between them a run of days."""
    left = list(parts)
    days: list[int] = []
    while left:
        match left:
            case [Time() as start, "to", Time() as end, *rest]:
                yield start, end
            case [Time() as time, *_]:
                raise _one_end(time, days)
            case [[first], "to", [last], *rest]:
                rest = [_run(first, last), *rest]
            case [list() as days, "to", Time() as start, "to", *rest]:  # mon - 3pm to 5pm
                yield days
                rest = [start, "to", *rest]
            case [list() as days, "to", Time() as time, *_]:
                raise _one_end(time, days, is_last=True)
            case [list() as days, *rest]:
                yield days
            case ["to", *_]:
                raise InvalidValue(
                    _("'to' or '-' between other things than two days or times"), "", such_as()
                )
            case [list() | str() as part, *rest]:
                yield part
        left = rest


def _one_end(time: Time, days: list[int], *, is_last: bool = False) -> InvalidValue:
    """Of `thu from 4pm`, `thu until 12`, `thu 4pm` nobody has said the other end, and nothing here may make it up: what
    to write is shown with an end that is somebody's to choose."""
    minute = time.minute + (NOON if time.is_plain and time.minute < EARLIEST else 0)
    start = max(minute - ABOUT, 0) if is_last else minute
    end = minute if is_last else min(start + ABOUT, 2 * NOON)
    run = _days_text(days[0], days[-1]) if days and days == [*range(days[0], days[-1] + 1)] else ""
    example = f"{run} {time_text(start)}-{time_text(end)}".strip() if start < end else said(HOURS_EXAMPLE)
    if is_last:
        return InvalidValue(
            _("'{time}' as the end alone", time=time.typed),
            "",
            _("From when on is it? Write both, such as {example}.", example=example),
        )
    return InvalidValue(
        _("'{time}' alone", time=time.typed),
        "",
        _("From when to when is it? Write both, such as {example}.", example=example),
    )


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
    if meant in FILLING:
        return ""
    if meant in ("same", "as", "to", "except", "closed"):
        return meant
    if (day := day_of(word)) is not None:
        return [day]
    if meant in ("past", "before"):  # `before noon`, `after 4pm`
        raise InvalidValue(
            f"'{word}'",
            "",
            _("From when to when is it? Write both, such as {example}.", example="16:00-19:00"),
        )
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


def hours_text(week: Week) -> str:
    """The same in the shortest words that `read_hours` takes: `mon-fri 15:00-17:00, sat 10:00-12:00`."""
    days = [" ".join(map(window_text, windows)) for windows in week]
    return ", ".join(f"{_days_text(first, last)} {days[first]}" for first, last in runs(days))


def _days_text(first: int, last: int) -> str:
    if in_english():
        return key_of(first, last)
    return "-".join(map(day_name_short, (first, last) if first != last else (first,)))
