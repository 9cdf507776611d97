"""Putting calendars on a CalDAV server: the library finds the way, the bytes and the SEQUENCE are ours.

Each object is written only over the version that was read (If-Match, RFC 9110), so that nobody else's change is
lost; what is the same already is left alone, so that a second run changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from genplan.errors import FileError, UsageError
from genplan.publishing.access import Access
from genplan.publishing.calendar_content import CalendarContent, PublishedEvent, read_event
from genplan.report.names_and_words import clean, day_words
from genplan.report.plain_characters import clock

LACKING = (
    "Publishing needs a library that is not installed: pip install 'genplan[publish]'. "
    "Without it, hand out the files in weeks/WEEK/calendars."
)
SECONDS = 30
GONE_OR_CHANGED = 412

QUERY = """<?xml version="1.0" encoding="utf-8"?>
<C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">
  <D:prop><D:getetag/><C:calendar-data/></D:prop>
  <C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT"/></C:comp-filter></C:filter>
</C:calendar-query>"""
"""Without a span of time: an event that somebody moved far away is there all the same."""


@dataclass(frozen=True)
class RemoteEvent:
    """An object on the server."""

    url: str
    tag: str
    event: PublishedEvent

    @property
    def file(self) -> str:
        return self.url.rsplit("/", 1)[-1]


def library() -> Any:
    """The library of the extra 'publish'. Raises UsageError without it: asked for before a password is."""
    try:
        import caldav
    except ImportError:
        raise UsageError(LACKING) from None
    return caldav


def publish_all(access: Access, shelves: Iterable[CalendarContent], now: datetime) -> tuple[str, ...]:
    """Brings each calendar up to date; a sentence for each, and one for each event that somebody else had changed.
    Raises FileError, UsageError."""
    caldav = library()
    with _sentences(access):
        client = caldav.DAVClient(
            url=access.url,
            username=access.user,
            password=access.password,
            timeout=SECONDS,
            enable_rfc6764=False,
        )
        with client:
            home = client.principal()
            urls = {str(c.url).rstrip("/").rsplit("/", 1)[-1]: str(c.url) for c in home.get_calendars()}
            return tuple(line for s in shelves for line in _publish(client, home, urls, s, access, now))


def _publish(
    client: Any, home: Any, urls: dict[str, str], shelf: CalendarContent, access: Access, now: datetime
) -> Iterator[str]:
    if shelf.id not in urls:
        if not shelf.items:
            yield f"{shelf.name}: nothing to publish."
            return
        with _may(access, f"make a calendar for {shelf.name}"):
            urls[shelf.id] = str(home.make_calendar(name=shelf.name, cal_id=shelf.id).url)
    url = urls[shelf.id].rstrip("/") + "/"
    there = {t.event.uid: t for t in _there(client, url)}
    with _may(access, f"write into the calendar of {shelf.name}"):
        yield from _bring_up_to_date(client, url, there, shelf, now)


def _bring_up_to_date(
    client: Any, url: str, there: dict[str, RemoteEvent], shelf: CalendarContent, now: datetime
) -> Iterator[str]:
    added = updated = same = 0
    put_back = []
    for uid, item in shelf.items.items():
        old, ours = there.get(uid), read_event(item.data)
        assert ours is not None
        if old is None:
            _put(client, url + item.file, item.data, {"If-None-Match": "*"})
            added += 1
        elif old.event.says == ours.says:
            same += 1
        else:
            _put(client, old.url, item.data, {"If-Match": old.tag})
            updated += 1
            if _is_edited(old.event, ours):
                put_back.append(_put_back(shelf, old.event, ours, now))
    gone = [t for uid, t in there.items() if uid not in shelf.items and _is_stale(t, shelf, now)]
    for t in gone:
        _check(client.request(t.url, "DELETE", "", {"If-Match": t.tag}))
    yield f"{shelf.name}: {added} new, {updated} updated, {len(gone)} removed, {same} as before."
    yield from put_back


def _is_edited(there: PublishedEvent, ours: PublishedEvent) -> bool:
    """Whether somebody else changed it: what people are told anew has a higher SEQUENCE than before, and other words in
    the case leave the time alone."""
    same_time = (there.start, there.end, there.cancelled) == (ours.start, ours.end, ours.cancelled)
    newer = there.sequence > ours.sequence
    return not there.says or newer or (there.sequence == ours.sequence and not same_time)


def _put_back(shelf: CalendarContent, old: PublishedEvent, ours: PublishedEvent, now: datetime) -> str:
    stood = f" It stood at {_when(old.start, now)}." if old.start and old.start != ours.start else ""
    return (
        f"{shelf.name}: '{clean(ours.summary)}' of {_when(ours.start, now)} had been changed on the server by"
        f" somebody.{stood} It is as kept again."
    )


def _when(moment: datetime | None, now: datetime) -> str:
    assert moment is not None
    local = moment.astimezone(now.tzinfo)
    return f"{day_words(local.date())}, {clock(local)}"


def _is_stale(there: RemoteEvent, shelf: CalendarContent, now: datetime) -> bool:
    """Ahead and not told any more, or cancelled; what is past and was held stays as a record."""
    is_over = there.event.end is not None and there.event.end <= now
    return there.file.partition("-")[0] in shelf.marks and (there.event.cancelled or not is_over)


def _there(client: Any, url: str) -> Iterator[RemoteEvent]:
    """The program's own objects."""
    answer = client.report(url, QUERY, depth=1)
    _check(answer)
    space = {"D": "DAV:", "C": "urn:ietf:params:xml:ns:caldav"}
    for item in answer.tree.iterfind(".//D:response", space):
        href = item.findtext("D:href", "", space)
        tag, data = item.findtext(".//D:getetag", "", space), item.findtext(".//C:calendar-data", "", space)
        event = read_event(data.encode("utf-8"))
        if event is not None:
            yield RemoteEvent(str(client.url.join(href)), tag, event)


def _put(client: Any, url: str, data: bytes, condition: dict[str, str]) -> None:
    headers = {"Content-Type": "text/calendar; charset=utf-8", **condition}
    _check(client.put(url, data.decode("utf-8"), headers))


def _check(answer: Any) -> None:
    if answer.status == GONE_OR_CHANGED:
        raise FileError("Somebody changed the calendar on the server at the same time. Run it again.")
    if answer.status >= 400:
        raise FileError(f"The server answered {answer.status} and did not take an event. Ask who runs it.")


@contextmanager
def _may(access: Access, what: str) -> Iterator[None]:
    """By now the name and the password were taken: what is refused from here on is this right."""
    import caldav

    try:
        yield
    except (caldav.error.AuthorizationError, caldav.error.MkcalendarError):
        raise FileError(
            f"'{access.user}' may not {what} on {access.host}. Ask who runs the server for that right, and run it"
            " again: what was published already stays."
        ) from None


@contextmanager
def _sentences(access: Access) -> Iterator[None]:
    """Whatever the library raises, as a sentence that holds no more than the server's name: its own texts may
    hold headers."""
    import caldav

    try:
        yield
    except FileError:
        raise
    except caldav.error.AuthorizationError:
        raise FileError(
            f"{access.host} refused the name or the password of '{access.user}'. Nothing more was published."
        ) from None
    except caldav.error.NotFoundError:
        raise FileError(
            f"{access.host} has no place for the calendars of '{access.user}'. Check the address and the name."
        ) from None
    except Exception as problem:
        raise FileError(
            f"{access.host} could not be reached, or it is no CalDAV server ({type(problem).__name__}). "
            "Check the address and run it again: what was published already stays."
        ) from None
