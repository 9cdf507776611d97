"""Putting calendars on a CalDAV server: the library finds the way, the bytes and the SEQUENCE are ours.

Each object is written only over the version that was read (If-Match, RFC 9110), so that nobody else's change is
lost; what is the same already is left alone, so that a second run changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import Any

from genplan.case import Week
from genplan.errors import FileError, UsageError
from genplan.publishing.access import Access
from genplan.publishing.shelf import Event, Shelf, is_own, read_event

LACKING = (
    "Publishing needs a library that is not installed: pip install 'genplan[publish]'. "
    "Without it, hand out the files in weeks/WEEK/calendars."
)
SECONDS = 30
GONE_OR_CHANGED = 412

QUERY = """<?xml version="1.0" encoding="utf-8"?>
<C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">
  <D:prop><D:getetag/><C:calendar-data/></D:prop>
  <C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT">
    <C:time-range start="{since}"/>
  </C:comp-filter></C:comp-filter></C:filter>
</C:calendar-query>"""


@dataclass(frozen=True)
class There:
    """An object on the server."""

    url: str
    tag: str
    event: Event


def publish_all(access: Access, shelves: Iterable[Shelf], since: Week, now: datetime) -> tuple[str, ...]:
    """Brings each calendar up to date from the first week on; a sentence for each. Raises FileError, UsageError."""
    try:
        import caldav
    except ImportError:
        raise UsageError(LACKING) from None
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
            return tuple(_publish(client, home, urls, shelf, since, now) for shelf in shelves)


def _publish(client: Any, home: Any, urls: dict[str, str], shelf: Shelf, since: Week, now: datetime) -> str:
    made = shelf.id not in urls
    if made:
        if not shelf.events:
            return f"{shelf.name}: nothing to publish."
        urls[shelf.id] = str(home.make_calendar(name=shelf.name, cal_id=shelf.id).url)
    url = urls[shelf.id].rstrip("/") + "/"
    there = {t.event.uid: t for t in _there(client, url, since, now)}
    added = updated = same = 0
    for uid, data in shelf.events.items():
        old = there.get(uid)
        if old is None:
            _put(client, f"{url}{uid.partition('@')[0]}.ics", data, {"If-None-Match": "*"})
            added += 1
        elif old.event == read_event(data):
            same += 1
        else:
            _put(client, old.url, data, {"If-Match": old.tag})
            updated += 1
    gone = [t for uid, t in there.items() if uid not in shelf.events and _is_stale(t, now)]
    for old in gone:
        _check(client.request(old.url, "DELETE", "", {"If-Match": old.tag}))
    return f"{shelf.name}: {added} new, {updated} updated, {len(gone)} removed, {same} as before."


def _is_stale(there: There, now: datetime) -> bool:
    """Ahead and not told any more, or cancelled; what is past and was held stays as a record."""
    return is_own(there.event.uid) and (there.event.cancelled or there.event.end > now)


def _there(client: Any, url: str, since: Week, now: datetime) -> Iterator[There]:
    """The program's own objects from the first week on."""
    monday = min(datetime.combine(since.monday, time(), now.tzinfo), now).astimezone(UTC)
    answer = client.report(url, QUERY.format(since=f"{monday:%Y%m%dT%H%M%SZ}"), depth=1)
    _check(answer)
    space = {"D": "DAV:", "C": "urn:ietf:params:xml:ns:caldav"}
    for item in answer.tree.iterfind(".//D:response", space):
        href = item.findtext("D:href", "", space)
        tag, data = item.findtext(".//D:getetag", "", space), item.findtext(".//C:calendar-data", "", space)
        event = read_event(data.encode("utf-8"))
        if event is not None and is_own(event.uid):
            yield There(str(client.url.join(href)), tag, event)


def _put(client: Any, url: str, data: bytes, condition: dict[str, str]) -> None:
    headers = {"Content-Type": "text/calendar; charset=utf-8", **condition}
    _check(client.put(url, data.decode("utf-8"), headers))


def _check(answer: Any) -> None:
    if answer.status == GONE_OR_CHANGED:
        raise FileError("Somebody changed the calendar on the server at the same time. Run it again.")
    if answer.status >= 400:
        raise FileError(f"The server answered {answer.status} and did not take an event. Ask who runs it.")


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
    except Exception as problem:
        raise FileError(
            f"{access.host} could not be reached, or it is no CalDAV server ({type(problem).__name__}). "
            "Check the address and run it again: what was published already stays."
        ) from None
