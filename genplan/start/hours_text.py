"""Hours of a week as people type them: `mon-fri 3-5pm, sat 10-12`, `Tuesday 15.30 to 17.00, the same on Thursday`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from genplan.case import Window
from genplan.case.week import DAY_NAMES, DAYS, MINUTES_PER_DAY
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text
from genplan.casefile.weekly_hours import runs

HOURS_EXAMPLE = "mon-fri 3-5pm, sat 10:00-12:00"
EARLIEST = 6 * 60
"""Before this hour of the morning nobody is asked without having said so."""
NOON = 12 * 60

Week = tuple[Windows, ...]
"""Seven days, Monday first."""

_GROUPS = {
    "daily": range(7),
    "day": range(7),
    "days": range(7),
    "everyday": range(7),
    "weekdays": range(5),
    "weekday": range(5),
    "schooldays": range(5),
    "weekend": range(5, 7),
    "weekends": range(5, 7),
}
_WORDS = re.compile(r"(?P<time>\d{1,2}(?:[:.h]\d{2})?\s*(?:[ap]\.?m\b\.?)?)|(?P<word>[^\W\d]+)|(?P<sign>\S)")
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?\s*([ap]?)")
_TO = ("to", "till", "til", "until")
_FILL = ("and", "on", "from", "at", "the", "also", "between", "h", "uhr", "o", "clock", "every", "each")


@dataclass(frozen=True)
class _Time:
    """A time as typed; `half` is 'a', 'p' or nothing."""

    typed: str
    minute: int
    half: str

    @property
    def is_plain(self) -> bool:
        """Neither morning nor afternoon was said: no am, no pm, no 0 in front, no hour after noon."""
        return not self.half and not self.typed.startswith("0") and self.minute < NOON


@dataclass
class _Reader:
    """Reads one word after the other; `days` are those that the next times belong to."""

    days: list[int] = field(default_factory=list)
    found: dict[int, list[Window]] = field(default_factory=dict)
    waiting: list[_Time] = field(default_factory=list)
    complete: bool = False
    """Times were said for these days, so the next day begins a new group."""
    to: bool = False
    same: bool = False

    def day(self, numbers: Sequence[int]) -> None:
        if self.complete and not self.same:
            self.days, self.complete = [], False
        if self.same:
            self._copy(self._run_to(numbers[-1]) if self.to else numbers)
        else:
            self.days += self._run_to(numbers[-1]) if self.to else numbers
        self.to = False

    def _run_to(self, last: int) -> Sequence[int]:
        first = self.days[-1] if self.days else last
        if last < first:
            raise InvalidValue(f"{DAYS[first]} to {DAYS[last]}", "", "Write the two ends of the week apart.")
        return range(first + 1, last + 1)

    def _copy(self, numbers: Sequence[int]) -> None:
        """The hours of the day that was named last, on more days; or, of a day named before, 'tue same as mon'."""
        if not self.days:
            raise InvalidValue("'the same' before any hours", "", f"Such as {HOURS_EXAMPLE}.")
        last = self.days[-1]
        if self.complete:
            for number in numbers:
                self.found[number] = list(self.found[last])
        else:
            for number in self.days:
                self.found[number] = list(self.found.get(numbers[-1], ()))
            self.complete, self.same = True, False

    def time(self, time: _Time) -> None:
        self.same = False
        if not self.days:
            raise InvalidValue(f"'{time.typed}' without a day", "", f"Which days? Such as {HOURS_EXAMPLE}.")
        self.waiting.append(time)
        if len(self.waiting) == 2:
            if not self.to:
                raise InvalidValue(
                    f"'{self.waiting[0].typed}' alone", "", "Say from when to when, such as 3-5pm."
                )
            window = _window(*self.waiting)
            for number in self.days:
                self.found.setdefault(number, []).append(window)
            self.waiting, self.to, self.complete = [], False, True

    def end(self) -> Week:
        if self.waiting:
            raise InvalidValue(
                f"'{self.waiting[0].typed}' alone", "", "Say from when to when, such as 3-5pm."
            )
        if self.days and not self.complete:
            raise InvalidValue(f"no hours for {DAYS[self.days[-1]]}", "", f"Such as {HOURS_EXAMPLE}.")
        return tuple(merge(self.found.get(number, ())) for number in range(len(DAYS)))


def read_hours(text: str) -> Week:
    """The hours of the seven days. Raises InvalidValue with what is not clear; its hint says what to type."""
    reader = _Reader()
    for kind, word in _words(text):
        if kind == "time":
            reader.time(_time(word))
        elif kind == "word":
            _take_word(reader, word)
        elif word in "-–—‑−":
            reader.to = True
        elif word not in ",;:/&+.\n()":
            raise InvalidValue(f"'{word}'", "", f"Such as {HOURS_EXAMPLE}.")
    return reader.end()


def _words(text: str) -> Iterator[tuple[str, str]]:
    for match in _WORDS.finditer(text.lower()):
        yield str(match.lastgroup), match[0]


def _take_word(reader: _Reader, word: str) -> None:
    if word in ("same", "as"):
        reader.same = True
    elif word in _TO:
        reader.to = True
    elif word == "noon":
        reader.time(_Time(word, NOON, "p"))
    elif word in _GROUPS:
        reader.day(_GROUPS[word])
    elif word[:3] in DAY_NAMES and (word in DAY_NAMES or _is_day(word)):
        reader.day([DAY_NAMES.index(word[:3])])
    elif word not in _FILL:
        raise InvalidValue(f"'{word}'", "", f"Days are written mon, tue or Tuesday. Such as {HOURS_EXAMPLE}.")


def _is_day(word: str) -> bool:
    """`tues`, `tuesday` and `tuesdays`."""
    return f"{DAYS[DAY_NAMES.index(word[:3])].lower()}s".startswith(word)


def _time(typed: str) -> _Time:
    match = _TIME.match(typed)
    assert match is not None, typed
    hours, minutes, half = int(match[1]), int(match[2] or 0), match[3]
    twelve = half and not 1 <= hours <= 12
    if twelve or hours > 24 or minutes > 59 or (hours == 24 and minutes):
        raise InvalidValue(f"'{typed.strip()}', which no clock shows", "", "Write 3pm or 15:00.")
    if half:
        hours = hours % 12 + (12 if half == "p" else 0)
    return _Time(typed.strip(), hours * 60 + minutes, half)


def _window(start: _Time, end: _Time) -> Window:
    """`3-5pm` is in the afternoon, `11-1pm` begins in the morning; of `3-5` nobody can tell."""
    first, last = start.minute, end.minute
    if end.half and start.is_plain and first + NOON < last:
        first += NOON
    typed = f"{start.typed}-{end.typed}"
    if first < EARLIEST and start.is_plain:
        later = last + (NOON if last < NOON else 0)
        afternoon = f"{time_text(first + NOON)}-{time_text(later)}"
        hint = f"Is it the afternoon? Then write {afternoon}, or with pm."
        if later <= first + NOON:  # such as 3-3pm
            hint = "Write am or pm behind both, or hours such as 15:00-17:00."
        raise InvalidValue(f"'{typed}'", "", hint)
    if last <= first:
        raise InvalidValue(f"'{typed}', which ends before it begins", "", "Write 3-5pm or 15:00-17:00.")
    return Window(first, min(last, MINUTES_PER_DAY))


def hours_text(week: Week) -> str:
    """The same in the shortest words that `read_hours` takes: `mon-fri 15:00-17:00, sat 10:00-12:00`."""
    days = [" ".join(f"{time_text(w.start)}-{time_text(w.end)}" for w in windows) for windows in week]
    parts = []
    for first, last in runs(days):
        name = DAY_NAMES[first] if first == last else f"{DAY_NAMES[first]}-{DAY_NAMES[last]}"
        parts.append(f"{name} {days[first]}")
    return ", ".join(parts)
