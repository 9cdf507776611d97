"""The recurrence examples of RFC 5545, 3.8.5.3, as busy times of a case in New York, week by week.

DTSTART is 2 September 1997, 09:00, unless an example says otherwise. The example HOURLY;INTERVAL=3 is left out: its
printed list does not follow from its rule, and rules by the hour are refused here. WKST: the two lists that RFC 5545
prints to show that it matters.

All were held against the text of RFC 5545 as a public repository keeps it (read 27 November 2026), DAILY;COUNT=10
against a reprint of RFC 2445. The dates of all were worked out with dateutil as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events

from genplan.case import Week
from genplan.casefile.busy import busy_in

NEW_YORK = ZoneInfo("America/New_York")


def days(text: str) -> list[date]:
    """`1997-09: 2 9 16; 1997-10: 7` -> dates."""
    found = []
    for part in text.split(";"):
        month, numbers = part.split(":")
        found += [date.fromisoformat(f"{month.strip()}-{int(n):02d}") for n in numbers.split()]
    return found


EXAMPLES = {
    "FREQ=DAILY;COUNT=10": (902, "1997-09: 2 3 4 5 6 7 8 9 10 11"),
    "FREQ=DAILY;INTERVAL=10;COUNT=5": (902, "1997-09: 2 12 22; 1997-10: 2 12"),
    "FREQ=WEEKLY;COUNT=10": (902, "1997-09: 2 9 16 23 30; 1997-10: 7 14 21 28; 1997-11: 4"),
    "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH": (
        902,
        "1997-09: 2 4 9 11 16 18 23 25 30; 1997-10: 2",
    ),
    "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH": (902, "1997-09: 2 4 16 18 30; 1997-10: 2 14 16"),
    "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO": (805, "1997-08: 5 10 19 24"),
    "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU": (805, "1997-08: 5 17 19 31"),
    "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO": (
        922,
        "1997-09: 22; 1997-10: 20; 1997-11: 17; 1997-12: 22; 1998-01: 19; 1998-02: 16",
    ),
    "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3": (904, "1997-09: 4; 1997-10: 7; 1997-11: 6"),
}


def event(rule: str, start: str) -> bytes:
    lines = (
        *(
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//t//",
            "BEGIN:VEVENT",
            "UID:1",
            "DTSTAMP:19970901T000000Z",
        ),
        *(f"DTSTART;TZID=America/New_York:{start}T090000", "DURATION:PT1H", f"RRULE:{rule}"),
        *("END:VEVENT", "END:VCALENDAR", ""),
    )
    return "\r\n".join(lines).encode()


def busy_starts(data: bytes, first: date, last: date) -> Iterator[datetime]:
    week = Week.of(first)
    while week.monday <= last:
        for absence in busy_in(data, "x.ics", NEW_YORK, week, []):
            assert absence.end - absence.start == timedelta(hours=1)
            yield absence.start
        week = week.next()


@pytest.mark.parametrize("rule", EXAMPLES)
def test_an_example_of_the_rfc(rule: str) -> None:
    start, listed = EXAMPLES[rule]
    expected = [datetime(d.year, d.month, d.day, 9) for d in days(listed)]
    data = event(rule, f"1997{start:04d}")
    # a month more than the list, so that an instance too many is seen
    found = list(busy_starts(data, expected[0].date(), expected[-1].date() + timedelta(days=31)))
    assert found == expected


def test_the_thirtieth_of_february_is_skipped_and_not_moved() -> None:
    """The RFC's own example of a date that is ignored."""
    data = event("FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", "20070115")
    expected = days("2007-01: 15 30; 2007-02: 15; 2007-03: 15 30")
    assert [m.date() for m in busy_starts(data, date(2007, 1, 15), date(2007, 4, 30))] == expected


def test_local_time_stays_over_the_change_of_clocks() -> None:
    """WEEKLY;COUNT=10 is 13:00 UTC to 21 October and 14:00 UTC from 28 October 1997 (RFC 5545: EDT, EST)."""
    data = event("FREQ=WEEKLY;COUNT=10", "19970902")
    (calendar,) = icalendar.Calendar.from_ical(data, multiple=True)
    found = recurring_ical_events.of(calendar).between((1997, 9, 1), (1997, 12, 1))
    assert [e["DTSTART"].dt.astimezone(ZoneInfo("UTC")).hour for e in found] == [13] * 8 + [14] * 2
    dublin = [
        a.start.hour
        for week in (Week(1997, 43), Week(1997, 44))
        for a in busy_in(data, "x.ics", ZoneInfo("Europe/Dublin"), week, [])
    ]
    # 21 October 13:00Z is 14:00 in Dublin (summer time), 28 October 14:00Z is 14:00 there
    assert dublin == [14, 14]
