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
from genplan.report.calendars import DOMAIN, calendar_of, collections
from genplan.report.wording import clean

PEOPLE = ("adult", "learner")


@dataclass(frozen=True)
class Shelf:
    """One calendar: `id` is its address on the server, opaque for a learner; `events` are UID -> bytes."""

    id: str
    name: str
    events: Mapping[str, bytes] = field(default_factory=dict)


def shelves(case: Case, kept: Iterable[KeptWeek], now: datetime) -> tuple[Shelf, ...]:
    """A calendar for each adult and each learner, with the events of all these weeks. A cancelled one is shown until
    nobody can expect it any more."""
    names: dict[str, str] = {}
    events: dict[str, dict[str, bytes]] = {}
    for week in kept:
        told = [t for t in week.told if not t.cancelled or t.until > now]
        for c in collections(case, week.week, told):
            if c.kind in PEOPLE:
                id_ = _address(c.kind, c.id)
                names[id_] = clean(c.name)
                held = events.setdefault(id_, {})
                held.update({e.uid: calendar_of(case, week.week, "", [e]) for e in c.entries})
    return tuple(Shelf(id_, names[id_], events[id_]) for id_ in sorted(names))


def _address(kind: str, id_: str) -> str:
    shown = id_ if kind == "adult" else sha256(id_.encode()).hexdigest()[:10]
    return f"genplan-{kind}-{shown}"


def is_own(uid: str) -> bool:
    return uid.endswith(f"@{DOMAIN}")


@dataclass(frozen=True)
class Event:
    """What a calendar object says, whatever the order in which a server writes it."""

    uid: str
    end: datetime
    cancelled: bool
    says: tuple[Any, ...]


def read_event(data: bytes) -> Event | None:
    """The one event of a calendar object; None for what is no event of the program's form."""
    try:
        (event,) = Calendar.from_ical(data).walk("VEVENT")
        texts = [str(event.get(k, "")) for k in ("SUMMARY", "LOCATION", "DESCRIPTION", "STATUS", "TRANSP")]
        moments = [event[k].dt.astimezone(UTC) for k in ("DTSTART", "DTEND", "LAST-MODIFIED")]
        alarms = [a["TRIGGER"].dt for a in event.walk("VALARM")]
        says = (int(event["SEQUENCE"]), *texts, *moments, *alarms)
        return Event(str(event["UID"]), moments[1], str(event.get("STATUS")) == "CANCELLED", says)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
