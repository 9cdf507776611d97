"""Putting calendars on a CalDAV server: the library finds the way, the bytes and the SEQUENCE are ours.

Each object is written only over the version that was read (If-Match, RFC 9110), so that nobody else's change is
lost; what is the same already is left alone, so that a second run changes nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from genplan.language import N_, _, ngettext, said
from genplan.publishing.access import Access
from genplan.publishing.caldav_requests import (
    SECONDS,
    RemoteEvent,
    allowed,
    check,
    events_at,
    in_sentences,
    library,
    put,
)
from genplan.publishing.calendar_content import CalendarContent, Marks, Owner, PublishedEvent, read_event
from genplan.publishing.remembered import Remembered
from genplan.report.names_and_words import clean, day_words
from genplan.report.plain_characters import clock


@dataclass(frozen=True)
class Wish:
    """What is to be done beside bringing up to date: `put_back` what somebody deleted, or `withdraw` everything."""

    put_back: bool = False
    withdraw: bool = False


@dataclass(frozen=True)
class Done:
    """A sentence for each calendar and for each event that somebody else had changed or deleted; and what is on the
    server now, with what somebody deleted there and is still told."""

    lines: tuple[str, ...]
    published: Remembered


def publish_all(
    access: Access,
    shelves: Iterable[CalendarContent],
    marks: Marks,
    before: Remembered,
    now: datetime,
    wish: Wish,
) -> Done:
    """Brings each calendar up to date, or takes this case's events off. `before` is what the last run left there.
    Raises FileError, UsageError."""
    caldav = library()
    with in_sentences(access):
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
            server = _Server(client, home, urls, access, marks, before, now, wish)
            names = {s.id: s.name for s in shelves}
            if wish.withdraw:
                lines = [line for id_ in sorted(urls) for line in _withdraw(server, id_, names.get(id_, ""))]
                return Done(tuple(lines) or (said(NOTHING_THERE),), {})
            published = {id_: dict(events) for id_, events in before.items()}
            lines = [line for s in shelves for line in _publish(server, s, published.setdefault(s.id, {}))]
            return Done(tuple(lines), published)


NOTHING_THERE = N_("Nothing of this case is on the server.")
PUT_BACK = N_("'genplan publish --put-back' puts it back.")


@dataclass(frozen=True)
class _Server:
    """`urls` are the calendars that are there, by their addresses."""

    client: Any
    home: Any
    urls: dict[str, str]
    access: Access
    marks: Marks
    before: Remembered
    now: datetime
    wish: Wish

    def url(self, id_: str) -> str:
        return self.urls[id_].rstrip("/") + "/"

    def owner(self, id_: str, remote: RemoteEvent) -> Owner:
        return self.marks.owner(remote.file, remote.event.uid, self.before.get(id_, {}))

    def delete(self, remote: RemoteEvent) -> None:
        check(self.client.request(remote.url, "DELETE", "", {"If-Match": remote.tag}))

    def is_over(self, event: PublishedEvent) -> bool:
        return event.end is not None and event.end <= self.now


def _publish(server: _Server, shelf: CalendarContent, published: dict[str, int]) -> Iterator[str]:
    """`published` is brought up to date too."""
    if shelf.id not in server.urls:
        if not shelf.items:
            yield _("{name}: nothing to publish.", name=shelf.name)
            return
        if published.keys() & shelf.items.keys() and not server.wish.put_back:
            yield _(
                "{name}: the calendar was deleted on the server by somebody, and is left out. {put_back}",
                name=shelf.name,
                put_back=said(PUT_BACK),
            )
            return
        with allowed(server.access, _("make a calendar for {name}", name=shelf.name)):
            made = server.home.make_calendar(name=shelf.name, cal_id=shelf.id)
            server.urls[shelf.id] = str(made.url)
    there = {t.event.uid: t for t in events_at(server.client, server.url(shelf.id))}
    with allowed(server.access, _("write into the calendar of {name}", name=shelf.name)):
        yield from _bring_up_to_date(server, there, shelf, published)


def _bring_up_to_date(
    server: _Server, there: dict[str, RemoteEvent], shelf: CalendarContent, published: dict[str, int]
) -> Iterator[str]:
    client, now = server.client, server.now
    added = updated = same = 0
    told = []
    for uid, item in shelf.items.items():
        old, ours = there.get(uid), read_event(item.data)
        assert ours is not None
        last = None if server.wish.put_back else published.get(uid)
        if old is None and last is not None:
            changed = ours.sequence > last and not ours.cancelled
            if not ours.cancelled and not server.is_over(ours):
                told.append(_deleted(shelf, ours, now, changed))
            if not changed:
                continue
        if old is None:
            put(client, server.url(shelf.id) + item.file, item.data, {"If-None-Match": "*"})
            added += 1
        elif old.event.says == ours.says:
            same += 1
        else:
            put(client, old.url, item.data, {"If-Match": old.tag})
            updated += 1
            if _is_edited(old.event, ours):
                told.append(_put_back(shelf, old.event, ours, now))
        published[uid] = ours.sequence
    gone = [t for uid, t in there.items() if uid not in shelf.items and _is_stale(server, shelf, t)]
    for t in gone:
        server.delete(t)
    for uid in published.keys() - shelf.items.keys():
        del published[uid]
    yield _(
        "{name}: {added} new, {updated} updated, {gone} removed, {same} as before.",
        name=shelf.name,
        added=added,
        updated=updated,
        gone=len(gone),
        same=same,
    )
    yield from told
    yield from _strangers(server, shelf.id, shelf.name, there.values())


def _deleted(shelf: CalendarContent, ours: PublishedEvent, now: datetime, changed: bool) -> str:
    what = _(
        "{name}: '{summary}' of {when} was deleted on the server by somebody",
        name=shelf.name,
        summary=clean(ours.summary),
        when=_when(ours.start, now),
    )
    return (
        _("{what}. It has changed since, and is there again.", what=what)
        if changed
        else _("{what}, and is left out. {put_back}", what=what, put_back=said(PUT_BACK))
    )


def _strangers(server: _Server, id_: str, name: str, there: Iterable[RemoteEvent]) -> Iterator[str]:
    """What is told of events ahead that look like this case's and are not: they are never touched."""
    owners = Counter(server.owner(id_, t) for t in there if not server.is_over(t.event))
    if owners[Owner.COPY]:
        yield (
            _(
                "{name}: {events} of a child that this case does not have, under its case_id, left as found. A"
                " copy of this case folder put them there: take the line 'case_id' out of that copy, and keep"
                " its week again.",
                name=name,
                events=_events(owners[Owner.COPY]),
            )
        )
    if owners[Owner.NOT_KNOWN]:
        yield (
            _(
                "{name}: {events} of a child of the same id, left as found. This case does not"
                " know that it put them there: they may be another family's.",
                name=name,
                events=_events(owners[Owner.NOT_KNOWN]),
            )
        )


def _events(number: int) -> str:
    return ngettext("{n} event", "{n} events", number)


def _withdraw(server: _Server, id_: str, name: str) -> Iterator[str]:
    """Takes everything of this case out of a calendar, what is over too."""
    there = list(events_at(server.client, server.url(id_)))
    ours = [t for t in there if server.owner(id_, t) is Owner.OURS]
    left = [t for t in there if t not in ours]
    if not ours and not name:
        return
    with allowed(server.access, _("take events off the calendar {name}", name=name or id_)):
        for t in ours:
            server.delete(t)
    yield ngettext(
        "{name}: {n} event taken off.", "{name}: {n} events taken off.", len(ours), name=name or id_
    )
    yield from _strangers(server, id_, name or id_, left)


def _is_edited(there: PublishedEvent, ours: PublishedEvent) -> bool:
    """Whether somebody else changed it: what people are told anew has a higher SEQUENCE than before, and other words in
    the case leave the time alone."""
    same_time = (there.start, there.end, there.cancelled) == (ours.start, ours.end, ours.cancelled)
    newer = there.sequence > ours.sequence
    return not there.says or newer or (there.sequence == ours.sequence and not same_time)


def _put_back(shelf: CalendarContent, old: PublishedEvent, ours: PublishedEvent, now: datetime) -> str:
    stood = (
        _(" It stood at {when}.", when=_when(old.start, now)) if old.start and old.start != ours.start else ""
    )
    return _(
        "{name}: '{summary}' of {when} had been changed on the server by"
        " somebody.{stood} It is as kept again.",
        name=shelf.name,
        summary=clean(ours.summary),
        when=_when(ours.start, now),
        stood=stood,
    )


def _when(moment: datetime | None, now: datetime) -> str:
    assert moment is not None
    local = moment.astimezone(now.tzinfo)
    return f"{day_words(local.date())}, {clock(local)}"


def _is_stale(server: _Server, shelf: CalendarContent, there: RemoteEvent) -> bool:
    """Ahead and not told any more, or cancelled; what is past and was held stays as a record."""
    ours = server.owner(shelf.id, there) is Owner.OURS
    return ours and (there.event.cancelled or not server.is_over(there.event))
