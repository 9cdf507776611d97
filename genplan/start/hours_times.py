"""Times of a day as people say them: `3pm`, `15.30`, `half past 5`, `quarter to 4`, `halb 6`, `5 in the afternoon`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text
from genplan.language import _
from genplan.language.dates import in_english
from genplan.language.typed import day_of, meant_by
from genplan.language.typed_numbers import number_of

NOON = 12 * 60
EARLIEST = 7 * 60
"""From here on hours without am or pm are taken as they stand: 9-12 is the morning. Before it nobody is asked without
having said so."""
FILLING = ("", "also")
HOUR, HALF, QUARTER = 60, 30, 15
WORD, TIME = "word", "time"
HALVES = {"morning": "a", "afternoon": "p"}
UHR_AND_MINUTES = r"\s*uhr\s*(?=(?:00|2[5-9]|[3-5]\d)\b)"
"""Behind 'uhr' only minutes that can be no hour: `15-17 uhr 18-19 uhr` are two stretches."""
_WORDS = re.compile(
    rf"(?P<time>\d{{1,2}}(?:[:.h]\d{{2}}|{UHR_AND_MINUTES}\d{{2}})?\s*(?:[ap]\.?m\b\.?)?)"
    r"|(?P<word>[^\W\d]+)|(?P<sign>\S)"
)
_TIME = re.compile(r"(\d{1,2})(?:(?:[:.h]|\s*uhr\s*)(\d{2}))?\s*([ap]?)")

_ON = re.compile(r"\s+am\s+(?=[^\W\d])")

Token = tuple[str, str]
"""A kind and what was typed: a time in digits, a word, or a sign."""


@dataclass(frozen=True)
class Time:
    """A time as typed; `half` is 'a', 'p' or nothing."""

    typed: str
    minute: int
    half: str

    @property
    def is_plain(self) -> bool:
        """Neither morning nor afternoon was said: no am, no pm, no 0 in front, no hour after noon."""
        return not self.half and not self.typed.startswith("0") and self.minute < NOON

    @property
    def digits(self) -> str:
        """`3:30pm`, `15:30`."""
        hours, minutes = divmod(self.minute, HOUR)
        if self.half:
            return f"{(hours - 1) % 12 + 1}:{minutes:02d}{self.half}m"
        return f"{hours:02d}:{minutes:02d}" if self.typed.startswith("0") else f"{hours}:{minutes:02d}"

    def in_half(self, half: str, word: str) -> Time:
        """`3 in the afternoon`; 12 and later hours say it themselves."""
        if not self.is_plain:
            return self
        return Time(f"{self.typed} {word}".strip(), self.minute + (NOON if half == "p" else 0), half)


def tokens_of(text: str) -> list[Token]:
    """Of `16-18 am Mi` and `3 am Nachmittag` the word is the German one, but where English is spoken."""
    typed = text.lower() if in_english() else _ON.sub(" ", text.lower())
    return [(str(match.lastgroup), match[0]) for match in _WORDS.finditer(typed)]


def with_times(tokens: Sequence[Token]) -> Iterator[Time | Token]:
    """The tokens, those of a time made one, with the half of the day that stands beside it."""
    half = ""  # of the time that follows
    said = ""  # the word for it
    has_day = behind_a_day = False  # whether a day was named since the last time, and before that word
    waiting: list[Token] = []  # words behind a time that only fill: `5 in the afternoon`
    last: Time | None = None
    at = 0
    while at < len(tokens):
        if found := time_at(tokens, at):
            yield from filter(None, (last, *waiting))
            last, at = found
            waiting = []
            last, half = (last.in_half(half, "") if half else last), ""
            has_day = False
            continue
        token = tokens[at]
        meant = meant_by(token[1])
        at += 1
        if meant in HALVES and last and not any(meant_by(word) == "also" for _kind, word in waiting):
            yield last.in_half(HALVES[meant], token[1])
            last, waiting = None, []
        elif meant in HALVES:
            yield from filter(None, (last, *waiting))
            last, waiting = None, []
            half, said, behind_a_day = HALVES[meant], token[1], has_day
        elif last and meant in FILLING:
            waiting.append(token)
        else:
            yield from filter(None, (last, *waiting))
            last, waiting = None, []
            is_day = day_of(token[1]) is not None
            if half and (token[1] in ",;" or (is_day and behind_a_day)):
                raise _without_hours(half, said)
            has_day = has_day or is_day
            yield token
    if half:
        raise _without_hours(half, said)
    yield from filter(None, (last, *waiting))


def _without_hours(half: str, said: str) -> InvalidValue:
    """`sat mornings`: between which hours, somebody has to say."""
    hours = "15:00-17:00" if half == "p" else "9:00-12:00"
    return InvalidValue(
        _("'{word}' without hours", word=said), "", _("From when to when? Such as {hours}.", hours=hours)
    )


def one_time(text: str) -> Time | None:
    """The time that is all of the text, beside words that only fill; None for anything else. Raises InvalidValue."""
    found = [i for i in with_times(tokens_of(text)) if isinstance(i, Time) or meant_by(i[1]) not in FILLING]
    return found[0] if len(found) == 1 and isinstance(found[0], Time) else None


def minute_of(text: str) -> int:
    """`9:30`, `9.30`, `half past 9`, `4pm`, `16 Uhr` as a minute of the day. Raises InvalidValue with a sentence, also
    for what may be before noon or after it."""
    time = one_time(text)
    if time is None or time.minute >= 2 * NOON:
        raise InvalidValue(_("'{text}' is not a time such as 16:30", text=text))
    if time.is_plain and time.minute < EARLIEST:
        raise InvalidValue(
            _(
                "'{answer}' may be before noon or after it: write {afternoon} or {before}",
                answer=text,
                afternoon=time_text(time.minute + NOON),
                before=time_text(time.minute),
            )
        )
    return time.minute


def _number(word: str) -> int | None:
    return number_of(word) if day_of(word) is None else None


def time_at(tokens: Sequence[Token], at: int) -> tuple[Time, int] | None:
    """The time that begins there and where it ends; None if none does."""
    if at >= len(tokens):
        return None
    kind, word = tokens[at]
    if kind == TIME:
        return _around_an_hour(tokens, at, word.strip()) or (of_digits(word), at + 1)
    if kind != WORD:
        return None
    meant = meant_by(word)
    if meant == "noon":
        return Time(word, NOON, "p"), at + 1
    if meant == "midnight":
        return Time(word, 0, "a"), at + 1
    if meant in _PARTS:
        return _part_of_an_hour(tokens, at, meant)
    if meant is None and (number := _number(word)):
        return _around_an_hour(tokens, at, str(number)) or (of_digits(str(number), word), at + 1)
    return None


_PARTS = {"half": HALF, "quarter": QUARTER, "halb": -HALF, "dreiviertel": -QUARTER}
"""Minutes that a word stands for; those below none are taken from the hour that is named behind it."""


def _part_of_an_hour(tokens: Sequence[Token], at: int, meant: str) -> tuple[Time, int] | None:
    joining = meant_by(tokens[at + 1][1]) if at + 1 < len(tokens) else None
    minutes = _PARTS[meant]
    if joining in ("past", "before", "to") and minutes > 0:
        if not (found := time_at(tokens, at + 2)):
            return None
        return _moved(tokens, at, found, minutes if joining == "past" else -minutes)
    if not (found := time_at(tokens, at + 1)):
        return None
    if minutes < 0:
        return _moved(tokens, at, found, minutes)
    typed = _typed(tokens[at : found[1]])
    before, after = (time_text((found[0].minute + m) % (2 * NOON)) for m in (-minutes, minutes))
    if meant == "quarter":
        before = time_text((found[0].minute - HOUR + minutes) % (2 * NOON))
    raise InvalidValue(
        f"'{typed}'",
        "",
        _("It may mean {before} or {after}: write the one that is meant.", before=before, after=after),
    )


def _around_an_hour(tokens: Sequence[Token], at: int, typed: str) -> tuple[Time, int] | None:
    """`20 past 3`, `5 vor halb 4`; `10 to 4` is from ten to four."""
    joining = meant_by(tokens[at + 1][1]) if at + 1 < len(tokens) else None
    if joining not in ("past", "before") or not typed.isdecimal() or not 0 < int(typed) < HOUR:
        return None
    if not (found := time_at(tokens, at + 2)):
        return None
    return _moved(tokens, at, found, int(typed) if joining == "past" else -int(typed))


def _moved(tokens: Sequence[Token], at: int, found: tuple[Time, int], minutes: int) -> tuple[Time, int]:
    time, end = found
    return replace(time, typed=_typed(tokens[at:end]), minute=(time.minute + minutes) % (2 * NOON)), end


def _typed(tokens: Sequence[Token]) -> str:
    return " ".join(word.strip() for _kind, word in tokens)


def of_digits(typed: str, word: str = "") -> Time:
    match = _TIME.match(typed)
    assert match is not None, typed
    hours, minutes, half = int(match[1]), int(match[2] or 0), match[3]
    twelve = half and not 1 <= hours <= 12
    if twelve or hours > 24 or minutes > 59 or (hours == 24 and minutes):
        raise InvalidValue(
            _("'{typed}', which no clock shows", typed=typed.strip()), "", _("Write 3pm or 15:00.")
        )
    if half:
        hours = hours % 12 + (12 if half == "p" else 0)
    return Time(word or typed.strip(), hours * 60 + minutes, half)
