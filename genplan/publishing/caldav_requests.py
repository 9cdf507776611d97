"""What is asked of a CalDAV server, and what it may answer, as sentences."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from genplan.errors import FileError, UsageError
from genplan.language import N_, _, said
from genplan.publishing.access import Access
from genplan.publishing.calendar_content import PublishedEvent, read_event

LACKING = N_(
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
        raise UsageError(said(LACKING)) from None
    return caldav


def events_at(client: Any, url: str) -> Iterator[RemoteEvent]:
    """The program's own objects."""
    answer = client.report(url, QUERY, depth=1)
    check(answer)
    space = {"D": "DAV:", "C": "urn:ietf:params:xml:ns:caldav"}
    for item in answer.tree.iterfind(".//D:response", space):
        href = item.findtext("D:href", "", space)
        tag, data = item.findtext(".//D:getetag", "", space), item.findtext(".//C:calendar-data", "", space)
        event = read_event(data.encode("utf-8"))
        if event is not None:
            yield RemoteEvent(str(client.url.join(href)), tag, event)


def put(client: Any, url: str, data: bytes, condition: dict[str, str]) -> None:
    headers = {"Content-Type": "text/calendar; charset=utf-8", **condition}
    check(client.put(url, data.decode("utf-8"), headers))


def check(answer: Any) -> None:
    if answer.status == GONE_OR_CHANGED:
        raise FileError(_("Somebody changed the calendar on the server at the same time. Run it again."))
    if answer.status >= 400:
        raise FileError(
            _(
                "The server answered {status} and did not take an event. Ask who runs it.",
                status=answer.status,
            )
        )


@contextmanager
def allowed(access: Access, what: str) -> Iterator[None]:
    """By now the name and the password were taken: what is refused from here on is this right."""
    import caldav

    try:
        yield
    except (caldav.error.AuthorizationError, caldav.error.MkcalendarError):
        raise FileError(
            _(
                "'{user}' may not {what} on {host}. Ask who runs the server for that right, and run it"
                " again: what was published already stays.",
                user=access.user,
                what=what,
                host=access.host,
            )
        ) from None


@contextmanager
def in_sentences(access: Access) -> Iterator[None]:
    """Whatever the library raises, as a sentence that holds no more than the server's name: its own texts may
    hold headers."""
    import caldav

    try:
        yield
    except FileError:
        raise
    except caldav.error.AuthorizationError:
        raise FileError(
            _(
                "{host} refused the name or the password of '{user}'. Nothing more was published.",
                host=access.host,
                user=access.user,
            )
        ) from None
    except caldav.error.NotFoundError:
        raise FileError(
            _(
                "{host} has no place for the calendars of '{user}'. Check the address and the name.",
                host=access.host,
                user=access.user,
            )
        ) from None
    except Exception as problem:
        raise FileError(
            _(
                "{host} could not be reached, or it is no CalDAV server ({name}). "
                "Check the address and run it again: what was published already stays.",
                host=access.host,
                name=type(problem).__name__,
            )
        ) from None
