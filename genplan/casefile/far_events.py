"""Events of a long export that happen once, far from the weeks that are asked for, taken out of the bare text.

Five years of a calendar hold some thousands of events, of which a week needs a dozen; to parse the rest takes nearly
all the time. Only what is plainly far is taken out: whatever is odd in any way is left to the parser, which tells of
it."""

from __future__ import annotations

import re
from collections import Counter
from datetime import MAXYEAR, date, timedelta

from genplan.casefile.calendar_limits import OLDEST

_EVENT = re.compile(
    rb"^BEGIN:VEVENT[ \t]*\r?\n(?:(?!BEGIN:VEVENT|END:VEVENT).*\n)*?END:VEVENT[ \t]*\r?$",
    re.MULTILINE | re.IGNORECASE,
)
_UID = re.compile(rb"^UID(?:;[^:\r\n]*)?:([^\r\n]*)", re.MULTILINE | re.IGNORECASE)
_REPEATS_OR_LASTS = re.compile(
    rb"^(?:RRULE|RDATE|EXRULE|EXDATE|RECURRENCE-ID|DURATION)\b", re.MULTILINE | re.IGNORECASE
)
_EDGE = re.compile(
    rb"^(DTSTART|DTEND)(?:;(?:VALUE=DATE(?:-TIME)?|TZID=[^:;,\"\r\n]*))*:(\d{8})(?:T\d{6}Z?)?[ \t]*\r?\n(?![ \t])",
    re.MULTILINE | re.IGNORECASE,
)
_EDGE_NAMED = re.compile(rb"^(?:DTSTART|DTEND)\b", re.MULTILINE | re.IGNORECASE)
_ZONES_APART = timedelta(days=2)
"""More than two clocks of the world can differ, and than an event without an end lasts."""


def without_far_events(data: bytes, first: date, last: date) -> bytes:
    """The calendar's text without the events that plainly lie before the day `first` or after `last`. Blank lines stand
    in their place, so that all others keep their line numbers."""
    uids = Counter(uid[1] for uid in _UID.finditer(data))
    earliest, latest = first - _ZONES_APART, last + _ZONES_APART

    def kept(event: re.Match[bytes]) -> bytes:
        text = event[0]
        if _is_far(text, earliest, latest) and all(uids[uid[1]] == 1 for uid in _UID.finditer(text)):
            return b"\n" * text.count(b"\n")
        return text

    return _EVENT.sub(kept, data)


def _is_far(text: bytes, earliest: date, latest: date) -> bool:
    """Whether an event's text says in the usual way, and no other, that it is over before or begins after."""
    if _REPEATS_OR_LASTS.search(text):
        return False
    edges = [(edge[1].upper(), edge[2].decode()) for edge in _EDGE.finditer(text)]
    days = dict(edges)
    if b"DTSTART" not in days or not len(days) == len(edges) == len(_EDGE_NAMED.findall(text)):
        return False
    try:
        start, end = (date.fromisoformat(days.get(name, days[b"DTSTART"])) for name in (b"DTSTART", b"DTEND"))
    except ValueError:
        return False
    return start.year >= OLDEST and start <= end and end.year < MAXYEAR and (end < earliest or start > latest)
