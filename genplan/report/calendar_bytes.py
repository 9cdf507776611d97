"""A calendar of ours as it is written, and what RFC 5545 would not forgive in it."""

from __future__ import annotations

from datetime import UTC, timedelta
from functools import lru_cache

from icalendar import Calendar, Component, Event
from icalendar.parser import Contentline
from icalendar.prop import vText

FOLDED_FROM = 75
"""A line of so many octets, or more, is written as several (RFC 5545, 3.1)."""


class PlainText(vText):  # type: ignore[misc]
    """A text of which every character is meant as it stands (RFC 5545, 3.3.11): the library takes a backslash before an
    N for a new line."""

    def to_ical(self) -> bytes:
        escaped = str(self).replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
        return escaped.encode()


def written(component: Component) -> bytes:
    """The same as the library's own `to_ical`."""
    return b"".join(_folded(line) + b"\r\n" for line in component.content_lines() if line)


@lru_cache(maxsize=1000)
def _folded(line: Contentline) -> bytes:
    """The library looks at each character, even of a line that is short enough; the same text is in several files."""
    plain = line.encode()
    folded: bytes = plain if len(plain) < FOLDED_FROM else line.to_ical()
    return folded


def complaints(calendar: Calendar) -> tuple[str, ...]:
    """What RFC 5545 would not forgive in a calendar of ours, in words; empty if nothing."""
    found = [f"the calendar lacks {key}" for key in ("PRODID", "VERSION") if key not in calendar]
    if not calendar.subcomponents:
        found.append("the calendar is empty")
    events = [c for c in calendar.subcomponents if c.name == "VEVENT"]
    zones = {str(c["TZID"]) for c in calendar.subcomponents if c.name == "VTIMEZONE"}
    for event in events:
        found += _event_complaints(event, zones)
    uids = [str(e.get("UID")) for e in events]
    found += [f"UID {u} is there twice" for u in sorted({u for u in uids if uids.count(u) > 1})]
    return tuple(found)


def _event_complaints(event: Event, zones: set[str]) -> list[str]:
    needed = ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE")
    found = [f"an event lacks {key}, or has it twice" for key in needed if _is_no_single(event.get(key))]
    if found:
        return found
    start, end = event["DTSTART"].dt, event["DTEND"].dt
    if end.astimezone(UTC) - start.astimezone(UTC) <= timedelta():
        found.append(f"event {event['UID']} ends before it has begun")
    for key in ("DTSTART", "DTEND"):
        zone = event[key].params.get("TZID")
        if zone is not None and zone not in zones:
            found.append(f"event {event['UID']} has no VTIMEZONE for {zone}")
    return found


def _is_no_single(value: object) -> bool:
    return value is None or isinstance(value, list)
