"""What each person's calendar on a server should hold: one calendar object for each event."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import Enum, auto
from hashlib import sha256
from typing import Any

from icalendar import Calendar

from genplan.case import Case
from genplan.keeping.revision import bare_name
from genplan.keeping.told import KeptWeek, still_expected
from genplan.language import for_files
from genplan.report.calendar_bytes import calendar_of
from genplan.report.calendars import DOMAIN, Collection, collections, uid
from genplan.report.names_and_words import clean

PEOPLE = ("adult", "learner")


@dataclass(frozen=True)
class Item:
    """One calendar object. `file` is its name on the server; it begins with the mark of the case and the learner."""

    file: str
    data: bytes


class Owner(Enum):
    """Whose an event on the server is."""

    OURS = auto()
    COPY = auto()
    """It has the id of this case, and a child that the case does not know: a copy of the case put it there."""
    NOT_KNOWN = auto()
    """It has no case's id, and a child of an id that this case has too: its own from before, or another family's."""
    OTHERS = auto()


@dataclass(frozen=True)
class Marks:
    """By what a case knows its own events on a server: `case` is the mark of its id, empty without one; `learners` are
    those of its children; `uids` are of the events that its kept weeks hold."""

    case: str
    learners: frozenset[str]
    uids: frozenset[str]

    def owner(self, file: str, uid: str, put_there: Container[str]) -> Owner:
        """Whose an object is, by its file and its UID; `put_there` are UIDs that this case is known to have put
        there."""
        if uid in self.uids or uid in put_there:
            return Owner.OURS
        case, of_case, learner = file.partition("-")[0].rpartition(OF_CASE)
        known = learner in self.learners
        if not of_case:
            return Owner.NOT_KNOWN if known else Owner.OTHERS
        if case != self.case:
            return Owner.OTHERS
        return Owner.OURS if known else Owner.COPY


OF_CASE = "_"
"""Between the mark of a case and that of a learner."""


@dataclass(frozen=True)
class CalendarContent:
    """One calendar: `id` is its address on the server, opaque for a learner; `items` are UID -> object. An adult's
    calendar may hold events of other case folders, which stay."""

    id: str
    name: str
    items: Mapping[str, Item] = field(default_factory=dict)


def marks_of(case: Case, told: Iterable[tuple[str, Iterable[str]]], more: Iterable[str] = ()) -> Marks:
    """`told` are the names of all events that people were told of, each with its second adults; `more` learners are
    those that kept weeks hold and the case has no more."""
    uids = (u for event, beside in told for u in _uids(event, beside))
    learners = frozenset(_mark(i) for i in (*case.learners, *more))
    return Marks(_mark(case.case_id) if case.case_id else "", learners, frozenset(uids))


def _uids(event: str, beside: Iterable[str]) -> Iterator[str]:
    yield uid("sitting", event)
    yield from (uid("beside", f"{event}:{adult}") for adult in beside if adult)


def has_its_own_calendars(case: Case, events: Iterable[str]) -> bool:
    """Whether the calendars on a server are named after the case. Where people were told of weeks before it had an id,
    they look at calendars without one, and those stay in use."""
    return bool(case.case_id) and all(e != bare_name(e) for e in events)


@for_files()
def calendar_contents(
    case: Case, kept: Iterable[KeptWeek], now: datetime, own: bool = False
) -> tuple[CalendarContent, ...]:
    """A calendar for each adult and each learner, with the events of all these weeks; `own`: named after the case. A
    cancelled one is shown until nobody can expect it any more."""
    names: dict[str, str] = {}
    items: dict[str, dict[str, Item]] = {}
    for week in kept:
        told = tuple(still_expected(week.told, now))
        beside = {t.event: (t.sitting.beside, *(x.id for x in t.released)) for t in told}
        event_of = {u: event for event, adults in beside.items() for u in _uids(event, adults)}
        for c in collections(case, week.week, told):
            if c.kind in PEOPLE:
                id_ = _address(c, case.case_id if own else "")
                names[id_] = clean(c.name)
                held = items.setdefault(id_, {})
                for e in c.entries:
                    file = f"{_file_mark(event_of[e.uid], e.learner)}-{e.uid.partition('@')[0]}.ics"
                    held[e.uid] = Item(file, calendar_of(case.timezone, week.week, "", [e]))
    return tuple(CalendarContent(id_, names[id_], items[id_]) for id_ in sorted(names))


def _address(collection: Collection, case_id: str) -> str:
    shown = collection.id if collection.kind == "adult" else _mark(collection.id)
    return f"genplan-{collection.kind}-{shown}" + (f"-{_mark(case_id)}" if case_id else "")


def _file_mark(event: str, learner: str) -> str:
    case = event.removesuffix(bare_name(event)).rstrip("/")
    return f"{_mark(case)}{OF_CASE}{_mark(learner)}" if case else _mark(learner)


def _mark(id_: str) -> str:
    """The same for the same learner or case, and no name."""
    return sha256(id_.encode()).hexdigest()[:10]


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
