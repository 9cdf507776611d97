"""A calendar of ours as it is written, and what RFC 5545 would not forgive in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache, lru_cache
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Component, Event
from icalendar.parser import Contentline
from icalendar.prop import vText

from genplan.case import Week
from genplan.report.plain_characters import one_line
from genplan.report.vtimezone import zone_component

PRODID = "-//genplan//weekly plan//EN"
END = b"END:VCALENDAR\r\n"
CONFIRMED, TENTATIVE, CANCELLED = "CONFIRMED", "TENTATIVE", "CANCELLED"
FOLDED_FROM = 75
"""A line of so many octets, or more, is written as several (RFC 5545, 3.1)."""


@dataclass(frozen=True)
class CalendarEvent:
    """One event before it is written. All text is clean; only `description` may hold line ends. `alarm` is minutes
    before the start. `learner` is whose sitting it is, an id that is not written; empty for the use of a place."""

    uid: str
    start: datetime
    end: datetime
    summary: str
    location: str
    sequence: int
    changed: datetime
    status: str
    description: str = ""
    alarm: int | None = None
    learner: str = ""


def calendar_of(zone: ZoneInfo, week: Week, name: str, entries: Iterable[CalendarEvent]) -> bytes:
    """One calendar of events as RFC 5545 writes it. Raises ValueError for one that no reader would forgive."""
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    for key in ("name", "x-wr-calname"):
        if name:
            calendar.add(key, PlainText(one_line(name)))
    head = written(calendar).removesuffix(END)
    times, times_written = _zone(zone, week)
    events = [_made(e, zone) for e in sorted(entries, key=lambda e: (e.start.astimezone(UTC), e.uid))]
    for part in (times, *(event for event, _written in events)):
        calendar.add_component(part)
    faults = complaints(calendar)
    if faults:
        raise ValueError("; ".join(faults))
    return b"".join((head, times_written, *(as_written for _event, as_written in events), END))


@cache
def _zone(zone: ZoneInfo, week: Week) -> tuple[Component, bytes]:
    component = zone_component(zone, week)
    return component, written(component)


@lru_cache(maxsize=4000)
def _made(entry: CalendarEvent, zone: ZoneInfo) -> tuple[Event, bytes]:
    """A learner's are in the calendar of all, too. Of another zone the same moment is equal, and written otherwise."""
    event = _event(entry)
    return event, written(event)


def _event(entry: CalendarEvent) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    event.add("sequence", entry.sequence)
    for key in ("dtstamp", "last-modified"):
        event.add(key, entry.changed.astimezone(UTC))
    for key, moment in zip(("dtstart", "dtend"), _writable(entry.start, entry.end), strict=True):
        event.add(key, moment)
    event.add("summary", PlainText(entry.summary))
    event.add("location", PlainText(entry.location))
    if entry.description:
        event.add("description", PlainText(entry.description))
    event.add("status", entry.status)
    if entry.status == CANCELLED:
        event.add("transp", "TRANSPARENT")
    if entry.alarm is not None:
        event.add_component(_alarm(entry))
    return event


def _alarm(entry: CalendarEvent) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", PlainText(entry.summary))
    alarm.add("trigger", -timedelta(minutes=entry.alarm or 0))
    return alarm


def _writable(start: datetime, end: datetime) -> tuple[datetime, datetime]:
    """Local times, or UTC for both where one falls into an hour that the clocks skip or repeat: a local time
    in a calendar cannot say which of the two is meant."""
    if _is_plain(start) and _is_plain(end):
        return start, end
    return start.astimezone(UTC), end.astimezone(UTC)


def _is_plain(moment: datetime) -> bool:
    return moment.replace(fold=0).utcoffset() == moment.replace(fold=1).utcoffset()


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
