"""Hours as people write them -> windows of days: `3-5pm`, `15.00-17.30`, `Mon, Wed 15:00-17:00; Fri 9-12`.

What may be meant in two ways is refused: 3-5 alone is the night to one reader and the afternoon to another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from genplan.case import Window
from genplan.case.week import DAY_NAMES, MINUTES_PER_DAY
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import windows_text
from genplan.casefile.weekly_hours import key_of, runs
from genplan.language import N_, _, said

SOME_HOURS = N_("hours such as 15:00-17:30, 3-5pm or 9-12, 13-15")
A_MOMENT = N_("a time such as 15:00 or 3pm")
DAYS_WITH_HOURS = N_("days with hours, such as Mon, Wed 15:00-17:00; Fri 3-5pm")
TWO_READINGS = N_("write 3pm, 15:00 or, for the night, 03:00")

MORNING = 7 * 60
"""From here on bare hours are taken as the clock of 24 hours shows them: 9-12 is the morning."""

_NONE = frozenset({"closed", "no", "none", "off", "x", "/", "n/a", "not in", "never"})
_WORDS = {"noon": "12pm", "midday": "12pm", "midnight": "12am"}
_SPANS = {"daily": "mon-sun", "every day": "mon-sun", "weekdays": "mon-fri", "weekends": "sat-sun"}
_DAY = (
    r"(?:mon(?:day)?|mo|tue(?:s|sday)?|tu|wed(?:s|nesday)?|we|thu(?:r|rs|rsday)?|th|fri(?:day)?|fr|sat(?:urday)?|sa"
    r"|sun(?:day)?|su)s?\b"
)
_JOIN = r"\s*(?:-|–|—|\bto\b|,|/|&|\+|\band\b)\s*"
_DAYS = re.compile(rf"\s*({_DAY}\.?(?:(?:{_JOIN}|\s+){_DAY}\.?)*)\s*:?\s*", re.IGNORECASE)
_MOMENT = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::00)?\s*([ap])?\.?\s*(?:m\.?)?", re.IGNORECASE)


def days_with_hours(text: str) -> dict[int, Windows]:
    """By number of the day, Monday is 0. Raises InvalidValue."""
    for words, days in _SPANS.items():
        text = re.sub(rf"\b{words}\b", days, text, flags=re.IGNORECASE)
    # a day behind a time begins another part: Mon 9-12, Wed 13-15
    parts = re.split(rf";|\n|(?<=[\dm.])\s*,?\s*(?:and\s+)?(?={_DAY})", text, flags=re.IGNORECASE)
    found: dict[int, list[Window]] = {}
    for part in filter(str.strip, parts):
        match = _DAYS.match(part)
        if not match or not (hours := part[match.end() :].strip()):
            hint = (
                _("write the days before the hours")
                if re.search(r"\d", part)
                else _("write the hours behind the days")
            )
            raise InvalidValue(f"'{part.strip()}'", said(DAYS_WITH_HOURS), hint)
        windows = hours_of_a_day(hours)
        for day in _days(match[1]):
            found.setdefault(day, []).extend(windows)
    return {day: merge(windows) for day, windows in sorted(found.items())}


def day_numbers(text: str) -> tuple[int, ...]:
    """`Mon-Fri`, `Tuesdays and Thursdays`, `weekdays`. Raises InvalidValue."""
    text = _SPANS.get(text.strip().lower(), text)
    match = _DAYS.fullmatch(text)
    if not match:
        raise InvalidValue(f"'{text.strip()}'", _("days such as Mon-Fri or Tue, Thu"))
    return tuple(_days(match[1]))


def hours_of_a_day(text: str) -> Windows:
    """Nothing for a word such as closed. Raises InvalidValue."""
    if text.strip().lower() in _NONE:
        return ()
    spans = re.split(r"[,;&+\n]|\band\b", text, flags=re.IGNORECASE)
    return merge(_window(span) for span in spans if span.strip())


def window_from(start: str, end: str) -> Window:
    """A window of two cells. Raises InvalidValue."""
    return _window(f"{start.strip()}-{end.strip()}")


def _window(text: str) -> Window:
    text = re.sub("^from ", "", text.strip(), flags=re.IGNORECASE)
    ends = re.split(r"\s*(?:-|–|—|−|\bto\b|\buntil\b|\btill\b)\s*", text, flags=re.IGNORECASE)
    if len(ends) != 2 or not all(ends):
        raise InvalidValue(f"'{text}'", said(SOME_HOURS), _("write the start, a hyphen and the end"))
    start, end = (_Moment.of(part) for part in ends)
    if end.half and not start.half and start.is_short:
        # 3-5pm begins in the afternoon, 11-1pm before it
        begins = [
            m for m in (start.in_half(end.half), start.in_half("a")) if m < end.in_half(end.half, ends=True)
        ]
        pairs = [(m, end.in_half(end.half, ends=True)) for m in begins[:1]]
    else:
        pairs = [(a, b) for a in start.readings() for b in end.readings(ends=True) if a < b]
    if not pairs:
        hint = _("write hours over midnight as two, such as 22:00-24:00 and, on the day after, 00:00-06:00")
        raise InvalidValue(
            _("'{text}', which does not end after it starts", text=text), said(SOME_HOURS), hint
        )
    as_written = (start.hours * 60 + start.minutes, end.hours * 60 + end.minutes)
    by_24_hours = as_written[0] >= MORNING or not (start.half or start.is_short)
    if len(pairs) > 1 and not (as_written in pairs and by_24_hours):
        found = _("'{text}', which may be meant for the morning or the afternoon", text=text)
        raise InvalidValue(found, said(SOME_HOURS), said(TWO_READINGS))
    return Window(*(as_written if as_written in pairs else pairs[0]))


@dataclass(frozen=True)
class _Moment:
    """`half` is a or p where that is said; `is_short`: 1 to 12 without it, which may be of either."""

    hours: int
    minutes: int
    half: str
    is_short: bool

    @staticmethod
    def of(text: str) -> _Moment:
        match = _MOMENT.fullmatch(_WORDS.get(text.lower(), text))
        if not match:
            raise InvalidValue(f"'{text}'", said(A_MOMENT))
        hours, minutes, half = int(match[1]), int(match[2] or 0), (match[3] or "").lower()
        too_late = hours > 24 or (hours == 24 and minutes)
        if minutes > 59 or too_late or (half and not 1 <= hours <= 12):
            raise InvalidValue(_("'{text}', which no clock shows", text=text), said(A_MOMENT))
        return _Moment(hours, minutes, half, not half and 1 <= hours <= 12 and not match[1].startswith("0"))

    def in_half(self, half: str, *, ends: bool = False) -> int:
        """Minutes since midnight; 12am at the end of a window is the end of the day."""
        if ends and half == "a" and (self.hours, self.minutes) == (12, 0):
            return MINUTES_PER_DAY
        return (self.hours % 12 + (12 if half == "p" else 0)) * 60 + self.minutes

    def readings(self, *, ends: bool = False) -> list[int]:
        if self.half:
            return [self.in_half(self.half, ends=ends)]
        if self.is_short:
            return sorted(self.in_half(half, ends=ends) for half in "ap")
        return [self.hours * 60 + self.minutes]


def _days(text: str) -> Iterator[int]:
    parts = re.split(rf"({_JOIN}|\s+)", text, flags=re.IGNORECASE)
    before: int | None = None
    spans = False
    for part in filter(str.strip, parts):
        if re.fullmatch(r"\s*(?:-|–|—|to)\s*", part, flags=re.IGNORECASE):
            spans = True
        elif re.match(_DAY, part, flags=re.IGNORECASE):
            day = next(i for i, name in enumerate(DAY_NAMES) if part.strip().lower().startswith(name[:2]))
            if spans and before is not None:
                if day < before:
                    names = f"{DAY_NAMES[before]}-{DAY_NAMES[day]}"
                    raise InvalidValue(
                        _("'{names}', which runs over the end of the week", names=names),
                        _("days such as Mon-Fri"),
                    )
                yield from range(before + 1, day)
            yield day
            before, spans = day, False


def written_days(days: Mapping[int, Windows]) -> dict[str, str]:
    """As a case says them: days in a row with the same hours are one key."""
    hours = [windows_text(days.get(number, ())) for number in range(len(DAY_NAMES))]
    found = {key_of(first, last): hours[first] for first, last in runs(hours)}
    return {"daily": found["mon-sun"]} if "mon-sun" in found else found
