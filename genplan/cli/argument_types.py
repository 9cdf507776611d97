"""What a single word on the command line may be. Each function raises ArgumentTypeError with a sentence."""

from __future__ import annotations

import re
from argparse import ArgumentTypeError
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import TypeVar

from genplan.case.targets import PassMark
from genplan.case.week import MOST_WEEKS, YEARS, Week
from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import UsageError
from genplan.language import _, said
from genplan.language.typed_days import UnclearDate, date_of, day_near, is_long_ago, is_near

D = TypeVar("D", bound=date)


def week(text: str) -> Week:
    try:
        return Week.parse(text)
    except ValueError as error:
        raise ArgumentTypeError(str(error)) from None


def moment(text: str) -> datetime:
    """A local time without an offset; it is read in the case's own time zone."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d", text, re.ASCII):
        with suppress(ValueError):
            return _near(datetime.fromisoformat(text))
    raise ArgumentTypeError(
        _("'{text}' is not a date and time such as 2026-11-29T12:00, in the case's own time zone", text=text)
    )


def day(text: str) -> date:
    """`2026-12-01`, or as it is written in the language spoken."""
    with _told_of_days(text):
        if found := date_of(text):
            return _near(found)
    raise ArgumentTypeError(_("'{text}' is not a date such as 2026-12-01", text=text))


@dataclass(frozen=True)
class NearDay:
    """`1 December`, `Thursday`, `tomorrow`: known once it is known which day is today. `clock` is the time of that day,
    if one was said; `ends`: otherwise its end is meant, and not its first minute."""

    text: str
    clock: time | None = None
    ends: bool = False

    def until(self, today: date) -> date:
        """The latest that is not to come. Raises UsageError where neither this year nor the last has such a day."""
        return self._near(today, past=True)

    def lately(self, today: date) -> date:
        """The same for a row that is written down: one that is ahead in this year is not put into the last."""
        found = self.until(today)
        if is_long_ago(found, today):
            raise UsageError(
                _("'{text}' is still ahead this year. Type the year, too.", text=self.text),
            )
        return found

    def since(self, today: date) -> datetime:
        """The first from today on. Raises UsageError as `until`."""
        on = datetime.combine(self._near(today, past=False), self.clock or time())
        return on + timedelta(days=1) if self.ends and self.clock is None else on

    def _near(self, today: date, *, past: bool) -> date:
        with suppress(ValueError):
            if found := day_near(self.text, today, past=past):
                return found
        raise UsageError(_("'{text}' is not a date such as 2026-12-01.", text=self.text))


def day_until_now(text: str) -> date | NearDay:
    """A day of which something is written down: its year can be left out."""
    with _told_of_days(text):
        if is_near(text):
            return NearDay(text)
    return day(text)


@contextmanager
def _told_of_days(text: str) -> Iterator[None]:
    """What is unclear about a day, or that there is none such, as argparse tells it."""
    try:
        yield
    except UnclearDate as unclear:
        raise ArgumentTypeError(str(unclear)) from None
    except ValueError:
        raise ArgumentTypeError(_("'{text}', which no calendar has", text=text)) from None


def _near(found: D) -> D:
    """The day, in a year that a case may speak of."""
    if found.year not in YEARS:
        raise ArgumentTypeError(
            _(
                "the year {year:04d} is not one from {first} to {last}",
                year=found.year,
                first=YEARS[0],
                last=YEARS[-1],
            )
        )
    return found


def clock(text: str) -> time:
    """`16:30`, `4.30pm`, `half past 4`."""
    from genplan.start.hours_times import minute_of
    from genplan.start.reading import sentence_of

    try:
        minute = minute_of(text)
    except InvalidValue as problem:
        raise ArgumentTypeError(sentence_of(problem)) from None
    return time(minute // 60, minute % 60)


def count(text: str) -> int:
    if not re.fullmatch(r"\d+", text, re.ASCII):
        raise ArgumentTypeError(_("'{text}' is not a whole number, 0 or more", text=text))
    return int(text)


def mark(text: str) -> PassMark:
    found = re.fullmatch(r"(\d{1,3})/(\d{1,3})", text, re.ASCII)
    if found and 1 <= int(found[1]) <= int(found[2]):
        return PassMark(int(found[1]), int(found[2]))
    raise ArgumentTypeError(_("'{text}' is not a pass mark such as 4/5", text=text))


def kind(text: str) -> str:
    """`not run` may be typed as it stands in results.csv or on the screen, in capitals too, or with a hyphen, which
    needs no quotes."""
    from genplan.evidence.log import ResultKind

    typed = " ".join(re.split(r"[\s_-]+", text.strip())).casefold()
    found = next((k.value for k in ResultKind if typed in (k.value, said(k.value).casefold())), text)
    return found.replace(" ", "-")


def value_of_dimension(text: str) -> tuple[str, str]:
    """`wording=Zip it up` -> the two sides; the value may hold further equals signs."""
    name, equals, value = text.partition("=")
    if not (equals and name.strip() and value.strip()):
        raise ArgumentTypeError(
            _("'{text}' is not of the form DIMENSION=VALUE, such as 'wording=Zip it up'", text=text)
        )
    return name.strip(), value.strip()


def weeks(text: str) -> int:
    """1 to `MOST_WEEKS`."""
    number = count(text)
    if not 1 <= number <= MOST_WEEKS:
        raise ArgumentTypeError(
            _("'{text}' is not a number of weeks from 1 to {most_weeks}", text=text, most_weeks=MOST_WEEKS)
        )
    return number


def weeks_or_none(text: str) -> int:
    """0 to `MOST_WEEKS`."""
    return 0 if count(text) == 0 else weeks(text)


def start(text: str) -> datetime | NearDay:
    """A day, of which the first minute counts, or a moment."""
    return _when(text, ends=False)


def end(text: str) -> datetime | NearDay:
    """A day, of which the end counts, or a moment."""
    return _when(text, ends=True)


def _when(text: str, *, ends: bool) -> datetime | NearDay:
    """`2026-12-01T16:00`, a day, or a day with a time behind it: `Thursday 4pm`, `3.12.2026 16 Uhr`."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d", text, re.ASCII):
        return moment(text)
    words = text.split()
    for n in range(1, len(words)):
        on, at = " ".join(words[:n]), " ".join(words[n:])
        with suppress(ArgumentTypeError):
            found, minute = day_until_now(on), clock(at)
            return (
                replace(found, clock=minute)
                if isinstance(found, NearDay)
                else datetime.combine(found, minute)
            )
    found = day_until_now(text)
    if isinstance(found, NearDay):
        return replace(found, ends=ends)
    return datetime.combine(found, time()) + timedelta(days=ends)


def port(text: str) -> int:
    if not re.fullmatch(r"\d{1,5}", text, re.ASCII) or not 1024 <= int(text) <= 65535:
        raise ArgumentTypeError(_("'{text}' is not a port from 1024 to 65535", text=text))
    return int(text)


def _two_of_a_dimension(name: str) -> str:
    return _("--with gives two values for '{name}'; a probe has one of each dimension.", name=name)


def each_once(
    pairs: Sequence[tuple[str, str]], two: Callable[[str], str] = _two_of_a_dimension
) -> dict[str, str]:
    """What --with gave, or another option of pairs; `two` says of a name that it was given twice. Raises UsageError."""
    names = [name for name, _value in pairs]
    if twice := [name for name in names if names.count(name) > 1]:
        raise UsageError(two(twice[0]))
    return dict(pairs)
