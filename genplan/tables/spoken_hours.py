"""Hours as people write them -> windows of days: `3-5pm`, `15.00-17.30`, `Mon, Wed 15:00-17:00; Fri 9-12`.

What may be meant in two ways is refused: 3-5 alone is the night to one reader and the afternoon to another. Days and
the words between them are understood in every language: `Di und Do 15:00 bis 17:00`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from genplan.case import Window
from genplan.case.week import DAY_NAMES, MINUTES_PER_DAY
from genplan.case.windows import Windows, merge
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import windows_text
from genplan.casefile.weekly_hours import key_of, runs
from genplan.language import N_, _, every_language, pgettext, said
from genplan.language.typed import WORDS, day_names, day_of, meant_by, words_in_every_language
from genplan.start.hours_times import HALVES, UHR_AND_MINUTES, in_digits, time_at, tokens_of
from genplan.tables.headings import apart_in_every_language, plain

SOME_HOURS = N_("hours such as 15:00-17:30, 3-5pm or 9-12, 13-15")
A_MOMENT = N_("a time such as 15:00 or 3pm")
DAYS_WITH_HOURS = N_("days with hours, such as Mon, Wed 15:00-17:00; Fri 3-5pm")
TWO_READINGS = N_("write 3pm, 15:00 or, for the night, 03:00")

MORNING = 7 * 60
"""From here on bare hours are taken as the clock of 24 hours shows them: 9-12 is the morning."""

_SIGNS_OF_NONE = frozenset({"x", "/", "-", "–", "—", "n/a"})
_WORDS = {"noon": "12pm", "midday": "12pm", "midnight": "12am"}
_SPANS = {"daily": "mon-sun", "weekdays": "mon-fri", "weekend": "sat-sun"}
"""The days that words of `typed` stand for."""
_ENGLISH_DAY = (
    r"mon(?:day)?|mo|tue(?:s|sday)?|tu|wed(?:s|nes(?:day)?)?|we|thu(?:r|rs|rsday)?|th|fri(?:day)?|fr|sat(?:urday)?|sa"
    r"|sun(?:day)?|su"
)
_MOMENT = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::00)?\s*([ap])?\.?\s*(?:m\.?)?", re.IGNORECASE)


@dataclass(frozen=True)
class _Patterns:
    """`spans` are words for several days in a row, and what these are."""

    day: str
    to: str
    also: str
    spans: Mapping[str, str]

    @property
    def join(self) -> str:
        return rf"\s*(?:-|–|—|{self.to}|,|/|&|\+|{self.also})\s*"

    @property
    def days(self) -> str:
        return rf"\s*({self.day}\.?(?:(?:{self.join}|\s+){self.day}\.?)*)\s*:?\s*"


@lru_cache
def _patterns() -> _Patterns:
    """Made when hours are read: names of days in other languages are Babel's, which comes late."""
    return _Patterns(
        day=rf"(?:{_ENGLISH_DAY}|{_one_of(day_names())})s?\b",
        to=rf"\b(?:{_one_of(words_in_every_language(WORDS['to']))})\b",
        also=rf"\b(?:{_one_of(word.strip() for word in every_language.in_every_language(N_(' and ')))})\b",
        spans={
            rf"\b(?:every\s+)?(?:{_one_of(words_in_every_language(WORDS[meaning]))})\b": days
            for meaning, days in _SPANS.items()
        },
    )


def _one_of(words: Iterable[str]) -> str:
    return "|".join(map(re.escape, sorted(words, key=lambda w: (-len(w), w))))


def _with_spans(text: str) -> str:
    """Days in place of a word for several of them."""
    for words, days in _patterns().spans.items():
        text = re.sub(words, days, text, flags=re.IGNORECASE)
    return text


def days_with_hours(text: str) -> dict[int, Windows]:
    """By number of the day, Monday is 0. Raises InvalidValue."""
    words = _patterns()
    _check_halves(text)
    text = _in_digits(text)
    # a day behind a time begins another part: Mon 9-12, Wed 13-15
    behind_a_time = rf"(?<=[\dm.])\s*[,&+]?\s*(?:{words.also}\s+)?(?={words.day})"
    parts = re.split(rf";|\n|{behind_a_time}", _with_spans(text), flags=re.IGNORECASE)
    found: dict[int, list[Window]] = {}
    for part in filter(str.strip, parts):
        match = re.match(words.days, part, re.IGNORECASE)
        if not match or not (hours := part[match.end() :].strip()):
            hint = (
                _("write the days before the hours, such as Mon-Fri {hours}", hours=part.strip())
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
    match = re.fullmatch(_patterns().days, _with_spans(text), re.IGNORECASE)
    if not match:
        raise InvalidValue(f"'{text.strip()}'", _("days such as Mon-Fri or Tue, Thu"))
    return tuple(_days(match[1]))


@lru_cache
def _words_for_none() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext("of a day without hours, apart by commas", "closed, no, none, off, not in, never")
    )


def hours_of_a_day(text: str) -> Windows:
    """Nothing for a word such as closed. Raises InvalidValue."""
    if text.strip().lower() in _SIGNS_OF_NONE or plain(text) in _words_for_none():
        return ()
    _check_halves(text)
    spans = re.split(rf"[,;&+\n]|{_patterns().also}", _in_digits(text), flags=re.IGNORECASE)
    windows: list[Window] = []
    for span in filter(str.strip, spans):
        windows.append(_window(span, after=windows[-1].end if windows else 0))
    return merge(windows)


def window_from(start: str, end: str) -> Window:
    """A window of two cells. Raises InvalidValue."""
    return _window(f"{_in_digits(start).strip()}-{_in_digits(end).strip()}")


def _check_halves(text: str) -> None:
    """Raises InvalidValue for `mornings` without hours: from when to when, somebody has to say."""
    for clause in re.split(rf"[,;&+\n]|\b(?:{_patterns().also})", text, flags=re.IGNORECASE):
        tokens = tokens_of(clause)
        halves = [word for _kind, word in tokens if meant_by(word) in HALVES]
        if halves and not any(time_at(tokens, at) for at in range(len(tokens))):
            hours = "9:00-12:00" if HALVES[meant_by(halves[0]) or ""] == "a" else "15:00-17:00"
            hint = _("From when to when? Such as {hours}.", hours=hours)
            raise InvalidValue(_("'{word}' without hours", word=halves[0]), said(SOME_HOURS), hint)


def _in_digits(text: str) -> str:
    """Times that are said in words are understood as where hours are typed; `15-17 Uhr` without the word."""
    lines = "\n".join(map(in_digits, text.split("\n")))
    with_minutes = re.sub(rf"(?<=\d){UHR_AND_MINUTES}", ":", lines, flags=re.IGNORECASE)
    return re.sub(r"(?<=\d)\s*uhr\b", "", with_minutes, flags=re.IGNORECASE)


def _window(text: str, after: int = 0) -> Window:
    """`after`: the end of the hours before it in the cell. Behind 9-12, 1-3 is the afternoon. Raises InvalidValue."""
    text = re.sub("^from ", "", text.strip(), flags=re.IGNORECASE)
    ends = re.split(rf"\s*(?:-|–|—|−|{_patterns().to})\s*", text, flags=re.IGNORECASE)
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
    if not start.half and not start.is_short and end.is_short and MORNING <= as_written[1] < as_written[0]:
        swapped, evening = windows_text([Window(*as_written[::-1])]), windows_text([Window(*pairs[0])])
        found = _("'{text}', which ends before it begins", text=text)
        hint = _("write {swapped}, or {later} if that is meant", swapped=swapped, later=evening)
        raise InvalidValue(found, said(SOME_HOURS), hint)
    by_24_hours = as_written[0] >= MORNING or not (start.half or start.is_short)
    if len(pairs) > 1 and not (as_written in pairs and by_24_hours):
        later = [pair for pair in pairs if pair[0] >= after > 0]
        if len(later) == 1:
            return Window(*later[0])
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
    words = _patterns()
    parts = re.split(rf"({words.join}|\s+)", text, flags=re.IGNORECASE)
    before: int | None = None
    spans = False
    for part in filter(str.strip, parts):
        if re.fullmatch(rf"\s*(?:-|–|—|{words.to})\s*", part, flags=re.IGNORECASE):
            spans = True
        elif (day := _day(part.strip(" ."))) is not None:
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


def _day(word: str) -> int | None:
    if re.fullmatch(rf"(?:{_ENGLISH_DAY})s?", word, flags=re.IGNORECASE):
        return next(i for i, name in enumerate(DAY_NAMES) if word.lower().startswith(name[:2]))
    return day_of(word)


def written_days(days: Mapping[int, Windows]) -> dict[str, str]:
    """As a case says them: days in a row with the same hours are one key."""
    hours = [windows_text(days.get(number, ())) for number in range(len(DAY_NAMES))]
    found = {key_of(first, last): hours[first] for first, last in runs(hours)}
    return {"daily": found["mon-sun"]} if "mon-sun" in found else found
