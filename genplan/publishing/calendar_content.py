"""What each person's calendar on a server should hold: one calendar object for each event."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from icalendar import Calendar

from genplan.case import Case
from genplan.keeping.told import KeptWeek
from genplan.report.calendars import DOMAIN, Collection, calendar_of, collections
from genplan.report.names_and_words import clean

PEOPLE = ("adult", "learner")


@dataclass(frozen=True)
class Item:
    """One calendar object. `file` is its name on the server; it begins with the mark of the learner."""

    file: str
    data: bytes


@dataclass(frozen=True)
class CalendarContent:
    """One calendar: `id` is its address on the server, opaque for a learner; `items` are UID -> object. `marks` are
    those of the case's learners: an adult's calendar may hold events of other case folders, which stay."""

    id: str
    name: str
    marks: frozenset[str]
    items: Mapping[str, Item] = field(default_factory=dict)


def calendar_contents(case: Case, kept: Iterable[KeptWeek], now: datetime) -> tuple[CalendarContent, ...]:
    """A calendar for each adult and each learner, with the events of all these weeks. A cancelled one is shown until
    nobody can expect it any more."""
    names: dict[str, str] = {}
    items: dict[str, dict[str, Item]] = {}
    marks = {_mark(i) for i in case.learners}
    for week in kept:
        marks |= {_mark(t.sitting.learner) for t in week.told}
        told = [t for t in week.told if not t.cancelled or t.until > now]
        for c in collections(case, week.week, told):
            if c.kind in PEOPLE:
                id_ = _address(c)
                names[id_] = clean(c.name)
                held = items.setdefault(id_, {})
                for e in c.entries:
                    file = f"{_mark(e.learner)}-{e.uid.partition('@')[0]}.ics"
                    held[e.uid] = Item(file, calendar_of(case, week.week, "", [e]))
    return tuple(CalendarContent(id_, names[id_], frozenset(marks), items[id_]) for id_ in sorted(names))


def _address(collection: Collection) -> str:
    shown = collection.id if collection.kind == "adult" else _mark(collection.id)
    return f"genplan-{collection.kind}-{shown}"


def _mark(learner: str) -> str:
    """The same for the same learner, and no name."""
    return sha256(learner.encode()).hexdigest()[:10]


@dataclass(frozen=True)
class PublishedEvent:
    """What a calendar object of the program says, whatever the order in which a server writes it. A person may have
    given it another form: then `says` is empty."""

    uid: str
    start: datetime | None
    end: datetime | None
    summary: str
    sequence: int
    cancelled: bool
    says: tuple[Any, ...]


def read_event(data: bytes) -> PublishedEvent | None:
    """The event of a calendar object; None for one that is not the program's."""
    try:
        events = Calendar.from_ical(data).walk("VEVENT")
        uid = str(events[0]["UID"])
    except (ValueError, KeyError, IndexError):
        return None
    if not uid.endswith(f"@{DOMAIN}"):
        return None
    event = events[0]
    start, end = _moment(event, "DTSTART"), _moment(event, "DTEND")
    sequence = event.get("SEQUENCE", 0)
    return PublishedEvent(
        uid,
        start,
        end,
        str(event.get("SUMMARY", "")),
        int(sequence) if isinstance(sequence, int) else 0,
        str(event.get("STATUS")) == "CANCELLED",
        _says(event) if len(events) == 1 and "RRULE" not in event and "RDATE" not in event else (),
    )


def _moment(event: Any, key: str) -> datetime | None:
    """A moment in UTC; None where it is not there, or is a whole day."""
    value = getattr(event.get(key), "dt", None)
    return value.astimezone(UTC) if isinstance(value, datetime) else None


def _says(event: Any) -> tuple[Any, ...]:
    try:
        texts = [str(event.get(k, "")) for k in ("SUMMARY", "LOCATION", "DESCRIPTION", "STATUS", "TRANSP")]
        moments = [event[k].dt.astimezone(UTC) for k in ("DTSTART", "DTEND", "LAST-MODIFIED")]
        alarms = [a["TRIGGER"].dt for a in event.walk("VALARM")]
        return (int(event["SEQUENCE"]), *texts, *moments, *alarms)
    except (ValueError, KeyError, TypeError, AttributeError):
        return ()
