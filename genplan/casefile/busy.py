"""Busy times from a calendar that an adult exported (RFC 5545), for one week, or for some in a row.

What counts: events and the busy periods of VFREEBUSY, with recurrences, exceptions and moved instances.
Events marked TRANSP:TRANSPARENT or STATUS:CANCELLED do not, nor what the owner declined (`busy_reading`). Floating
times and whole days are of the case's own zone. Nothing is dropped in silence: what cannot be read is a finding.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import icalendar
import recurring_ical_events

from genplan.case import Absence, Week
from genplan.case.people import AbsenceKind
from genplan.casefile.busy_reading import (
    AS_BEFORE,
    READ_AS,
    BusyReading,
    Doubt,
    owners,
    takes_time,
    whereabouts,
)
from genplan.casefile.calendar_limits import (
    CalendarRefused,
    begin_lines,
    check_size,
    check_work,
    names_no_day,
    refuse_long_repeats,
)
from genplan.casefile.calendar_repair import flatten, moment, repair
from genplan.casefile.diagnostics import SourceLocation
from genplan.casefile.far_events import without_far_events
from genplan.casefile.invisible_characters import cut
from genplan.casefile.plaintext import other_format
from genplan.casefile.utc_series import readings_of
from genplan.findings import Finding, Severity, told_once
from genplan.language import N_, _, said
from genplan.language.dates import moment_short

UTC = ZoneInfo("UTC")
MOST_TOLD = 50
"""Different warnings of one calendar."""
MARGIN = timedelta(days=2)
"""Asked for on both sides of the week, since the zone of a floating time is decided here; cut off
afterwards."""


def busy_in(
    data: bytes,
    name: str,
    zone: ZoneInfo,
    week: Week,
    findings: list[Finding],
    until: Week | None = None,
    reading: BusyReading = AS_BEFORE,
) -> tuple[Absence, ...]:
    """The busy times of one calendar file in a week, or from it to the end of `until`. Raises Refused for a file that
    cannot be read as a whole."""
    until = until or week
    if what := other_format(data):
        raise CalendarRefused(
            what, _("a calendar in UTF-8 text"), _("export the calendar again as an .ics file"), 1
        )
    data = re.sub(rb"\r(?!\n)", b"\n", data)
    check_size(data)
    first, last = _around(zone, (week, until))
    data = without_far_events(data, first.date(), last.date())
    check_work(data)
    calendars = _parse(data)
    lines = begin_lines(data, "VEVENT")
    told: list[Finding] = []
    line_of: dict[str, int] = {}
    for calendar in calendars:
        events = calendar.walk("VEVENT")
        for event, line in zip(events, lines, strict=False):
            repair(event, SourceLocation(name, line), zone, told)
            line_of.setdefault(str(event.get("UID", "")), line)
        lines = lines[len(events) :]
        flatten(calendar, [e for e in events if "DTSTART" in e])
        calendar.subcomponents = list(_that_can_matter(calendar, zone, (week, until)))
    refuse_long_repeats([e for calendar in calendars for e in calendar.walk("VEVENT")], until)
    stretches: list[Stretch] = []
    source = _Source(name, zone, (week, until), reading, line_of, told)
    for calendar in calendars:
        stretches.extend(_busy_events(calendar, source))
        stretches.extend(_busy_periods(calendar, source))
    findings.extend(told_once(told, MOST_TOLD))
    return _within(stretches, week, until)


class Stretch(NamedTuple):
    """A stretch of local time, naive, and the location of the case at which it is spent, if that is known."""

    start: datetime
    end: datetime
    place: str = ""


@dataclass(frozen=True)
class _Source:
    """A file that is read: its name, for which weeks, in which way, on which line an event first stands by its UID, and
    what is told of it so far."""

    name: str
    zone: ZoneInfo
    weeks: tuple[Week, Week]
    reading: BusyReading
    line_of: Mapping[str, int]
    told: list[Finding]

    def warn(self, uid: str, key: str, found: str, hint: str) -> None:
        line = self.line_of.get(uid, 0)
        self.told.append(Finding(self.name, line, key, found, "", hint, Severity.WARNING))


def _that_can_matter(calendar: Any, zone: ZoneInfo, weeks: tuple[Week, Week]) -> Iterator[Any]:
    """The calendar without the events that happen once, on a day far from these weeks: most of a long export."""
    first, last = _around(zone, weeks)
    seen = Counter(str(e.get("UID", "")) for e in calendar.walk("VEVENT"))
    for part in calendar.subcomponents:
        if part.name == "VEVENT" and names_no_day(part.get("RRULE")):
            part.pop("RRULE")
        once = part.name == "VEVENT" and not any(key in part for key in ("RRULE", "RDATE", "RECURRENCE-ID"))
        if once and seen[str(part.get("UID", ""))] == 1 and _is_far(part, zone, first, last):
            continue
        yield part


def _is_far(event: Any, zone: ZoneInfo, first: datetime, last: datetime) -> bool:
    start = moment(event["DTSTART"].dt, zone)
    end = getattr(event.get("DTEND"), "dt", None)
    length = event["DURATION"].dt if "DURATION" in event else timedelta(days=1)
    try:
        ends = max(start, moment(end, zone)) if end is not None else start + max(length, timedelta(days=1))
    except OverflowError:
        return False
    return start > last or ends < first


def _parse(data: bytes) -> list[Any]:
    hint = _("export the calendar again as an .ics file")
    begun = len(begin_lines(data, "VCALENDAR"))
    if not begun:
        raise CalendarRefused(
            _("text that is no calendar"), _("a calendar that begins with BEGIN:VCALENDAR"), hint
        )
    try:
        parts = icalendar.Calendar.from_ical(data, multiple=True)
    except Exception as problem:  # the parser raises many kinds of error for a calendar that is broken
        found = _("a calendar with something that cannot be read ({problem})", problem=cut(str(problem), 100))
        raise CalendarRefused(found, _("a whole calendar"), hint) from None
    calendars = [part for part in parts if part.name == "VCALENDAR"]
    if len(calendars) == begun < len(parts):
        raise CalendarRefused(
            _("a part outside BEGIN:VCALENDAR and END:VCALENDAR"), _("all events inside"), hint
        )
    if len(calendars) < begun:
        raise CalendarRefused(_("a calendar that breaks off before END:VCALENDAR"), _("the whole file"), hint)
    return calendars


def _busy_events(calendar: Any, source: _Source) -> Iterator[Stretch]:
    whose, chosen = owners(calendar, source.reading), readings_of(calendar, source.reading.utc_series)
    parts = [_by_uid(part, source, whose) for part in (chosen.main, chosen.by_utc, chosen.by_wall) if part]
    for part in parts:
        for stretches in part.values():
            yield from stretches
    if chosen.by_wall is not None:
        _main, by_utc, by_wall = parts
        for uid in sorted(by_utc.keys() | by_wall.keys()):
            one, other = (_within(part.get(uid, []), *source.weeks) for part in (by_utc, by_wall))
            if one != other:
                source.warn(uid, "RRULE", _two_hours(one, other), said(BOTH_COUNT))


BOTH_COUNT = N_(
    "both are counted as busy: look the event up in the calendar, and give the adult "
    "'utc_series: utc' or 'utc_series: local' for the one that it shows"
)


def _two_hours(by_utc: Sequence[Absence], by_wall: Sequence[Absence]) -> str:
    """What a series in doubt says in its two readings."""
    one, other = (moment_short(found[0].start) if found else _("no time") for found in (by_utc, by_wall))
    return _(
        "a series in UTC in a calendar with a zone of its own: {hour} if "
        "UTC is meant, {other} by the clock of that zone",
        hour=one,
        other=other,
    )


def _by_uid(calendar: Any, source: _Source, whose: tuple[str, ...]) -> dict[str, list[Stretch]]:
    """UID -> the stretches in which its owner is busy; what is left open of an invitation is told once for each."""
    start, end = _around(source.zone, source.weeks)
    found: dict[str, list[Stretch]] = {}
    doubtful: set[tuple[str, Doubt]] = set()
    for event in _expanded(calendar, start, end, source.name, source.told):
        uid, doubts = str(event.get("UID", "")), list[Doubt]()
        if takes_time(event, source.reading, whose, doubts):
            found.setdefault(uid, []).extend(_spent(event, source))
        doubtful.update((uid, doubt) for doubt in doubts)
    for uid, doubt in sorted(doubtful):
        source.warn(uid, "ATTENDEE", said(doubt.value), said(READ_AS[doubt]))
    return found


def _spent(event: Any, source: _Source) -> Iterator[Stretch]:
    """When its owner is at an event, with the margin that the way there takes."""
    place, margin = whereabouts(event, source.reading)
    start, end = moment(event["DTSTART"].dt, source.zone), moment(event["DTEND"].dt, source.zone)
    if start < end:
        for first, last in wall_clock(start - margin, end + margin, source.zone):
            yield Stretch(first, last, place)


def _around(zone: ZoneInfo, weeks: tuple[Week, Week]) -> tuple[datetime, datetime]:
    """From the first of two weeks to the end of the last, with a margin on both sides."""
    first, last = weeks
    start = datetime.combine(first.monday, time(), zone) - MARGIN
    return start, datetime.combine(last.next().monday, time(), zone) + MARGIN


def _expanded(calendar: Any, start: datetime, end: datetime, name: str, findings: list[Finding]) -> list[Any]:
    """All instances between; where a series makes the library fail, the others are still read and it is
    told."""
    try:
        return list(recurring_ical_events.of(calendar).between(start, end))
    except Exception:  # any error of the library: looked into series by series
        pass
    found: list[Any] = []
    by_uid: dict[str, list[Any]] = {}
    for event in calendar.walk("VEVENT"):
        by_uid.setdefault(str(event.get("UID", "")), []).append(event)
    for events in by_uid.values():
        part = icalendar.Calendar()
        part.subcomponents = [*(c for c in calendar.subcomponents if c.name == "VTIMEZONE"), *events]
        try:
            found.extend(recurring_ical_events.of(part).between(start, end))
        except Exception:  # told below
            first = getattr(events[0].get("DTSTART"), "dt", "")
            what = _("an event of {first:%Y-%m-%d} whose dates cannot be worked out", first=first)
            hint = _("it is not counted: enter these hours under 'away'")
            findings.append(Finding(name, 0, "", what, "", hint, Severity.WARNING))
    return found


def _busy_periods(calendar: Any, source: _Source) -> Iterator[Stretch]:
    """The FREEBUSY periods that are not FBTYPE=FREE: the library for recurrences leaves them out."""
    for component in calendar.walk("VFREEBUSY"):
        if component.errors:
            hint = _("its periods may be missing: export the calendar again")
            found = _("a VFREEBUSY part that cannot be read whole")
            source.warn("", "FREEBUSY", found, hint)
        given = component.get("FREEBUSY", [])
        for period in given if isinstance(given, list) else [given]:
            kind = str(getattr(period, "params", {}).get("FBTYPE", "BUSY")).upper()
            free = kind == "FREE" or (kind == "BUSY-TENTATIVE" and not source.reading.tentative)
            if not hasattr(period, "dt") or free:
                continue
            start, end = period.dt
            begin = moment(start, source.zone)
            ends = begin + end if isinstance(end, timedelta) else moment(end, source.zone)
            yield from (Stretch(a, b) for a, b in wall_clock(begin, ends, source.zone))


def wall_clock(start: datetime, end: datetime, zone: ZoneInfo) -> Iterator[tuple[datetime, datetime]]:
    """The naive local times that a stretch of UTC covers. One that holds the hour that a clock shows twice
    comes in two pieces: up to the change, and from what the clock then goes back to."""
    if end <= start:
        return
    first, last = start.astimezone(zone), end.astimezone(zone)
    before, after = first.utcoffset(), last.utcoffset()
    if before is None or after is None or before <= after:
        yield first.replace(tzinfo=None), last.replace(tzinfo=None)
        return
    low, high = start, end
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) / 2
        low, high = (middle, high) if middle.astimezone(zone).utcoffset() == before else (low, middle)
    change = (high + timedelta(milliseconds=500)).replace(microsecond=0)
    yield first.replace(tzinfo=None), change.replace(tzinfo=None) + before
    yield change.replace(tzinfo=None) + after, last.replace(tzinfo=None)


def _within(stretches: Iterable[Stretch], week: Week, until: Week) -> tuple[Absence, ...]:
    """Sorted, joined where they touch at one place, and cut at Monday 00:00 and the Monday 00:00 after the last
    week."""
    monday = datetime.combine(week.monday, time())
    next_monday = datetime.combine(until.sunday, time()) + timedelta(days=1)
    joined: list[Stretch] = []
    for place, start, end in sorted(
        (x.place, max(x.start, monday), min(x.end, next_monday)) for x in stretches
    ):
        if start >= end:
            continue
        if joined and joined[-1].place == place and start <= joined[-1].end:
            joined[-1] = Stretch(joined[-1].start, max(end, joined[-1].end), place)
        else:
            joined.append(Stretch(start, end, place))
    return tuple(sorted(Absence(x.start, x.end, AbsenceKind.BUSY, place=x.place) for x in joined))
