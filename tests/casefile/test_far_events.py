"""A long export: what plainly lies far from the week is taken out of its text, and nothing else."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan.case import Absence, Week
from genplan.casefile import busy as busy_module
from genplan.casefile.busy import busy_in
from genplan.casefile.calendar_limits import MOST_EVENTS, CalendarRefused
from genplan.casefile.far_events import without_far_events
from genplan.findings import Finding

DUBLIN = ZoneInfo("Europe/Dublin")
W49 = Week(2026, 49)
FIRST, LAST = date(2026, 11, 30), date(2026, 12, 6)


def calendar(*events: str) -> bytes:
    """Each event is the lines between its BEGIN and END."""
    whole = "".join(f"BEGIN:VEVENT\n{lines}\nEND:VEVENT\n" for lines in events)
    return f"BEGIN:VCALENDAR\nVERSION:2.0\n{whole}END:VCALENDAR\n".replace("\n", "\r\n").encode()


def is_kept(event: str, *others: str) -> bool:
    data = calendar(event, *others)
    return without_far_events(data, FIRST, LAST).count(b"BEGIN:VEVENT") == 1 + len(others)


@pytest.mark.parametrize(
    ("event", "kept"),
    [
        ("UID:1\nDTSTART:20240101T090000Z\nDTEND:20240101T100000Z", False),
        (
            "UID:1\nDTSTART;TZID=Europe/Dublin:20270601T090000\nDTEND;TZID=Europe/Dublin:20270601T100000",
            False,
        ),
        ("UID:1\nDTSTART;VALUE=DATE:20240101", False),
        ("UID:1\nDTSTART;VALUE=DATE:20261128\nDTEND;VALUE=DATE:20261129", True),
        ("UID:1\nDTSTART;VALUE=DATE:20261127", False),
        ("UID:1\nDTSTART:20240101T090000Z\nDTEND:20280101T100000Z", True),
        ("UID:1\nDTSTART:20240101T090000Z\nRRULE:FREQ=WEEKLY", True),
        ("UID:1\nDTSTART:20240101T090000Z\nrrule:FREQ=WEEKLY", True),
        ("UID:1\nDTSTART:20240101T090000Z\nRDATE:20261201T090000Z", True),
        ("UID:1\nDTSTART:20240101T090000Z\nDURATION:P2000D", True),
        ("UID:1\nRECURRENCE-ID:20261201T090000Z\nDTSTART:20240101T090000Z", True),
        # what is odd is left to the parser, which tells of it
        ("UID:1\nDTSTART:20240101T090000Z\nDTEND:20230101T090000Z", True),
        ("UID:1\nDTSTART:20240101T090000Z\nDTSTART:20261201T090000Z", True),
        ("UID:1\nDTSTART:20240101T090000Z\n 5\nDTEND:20240101T100000Z", True),
        ("UID:1\nDTSTART:20241301T090000Z", True),
        ("UID:1\nDTSTART:18240101T090000Z", True),
        ('UID:1\nDTSTART;TZID="a:20240101":20261201T090000', True),
        ("UID:1\nDTSTAMP:20240101T090000Z", True),
        ("UID:1\nDTSTART:20240101T090000Z\nBEGIN:VEVENT\nDTSTART:20261201T090000Z\nEND:VEVENT", True),
    ],
)
def test_only_what_is_plainly_far_is_taken_out(event: str, kept: bool) -> None:
    inside = event.count("BEGIN:VEVENT")
    data = calendar(event)
    assert (without_far_events(data, FIRST, LAST).count(b"BEGIN:VEVENT") == 1 + inside) is kept


def test_an_event_that_shares_its_uid_is_left_with_the_other() -> None:
    moved = "UID:1\nRECURRENCE-ID:20261201T090000Z\nDTSTART:20240101T090000Z\nDTEND:20240101T100000Z"
    assert is_kept("UID:1\nDTSTART:20240101T090000Z\nDTEND:20240101T100000Z", moved)


def test_all_others_keep_their_line_numbers() -> None:
    broken = "UID:2\nDTSTART:20261332T090000Z"
    data = calendar("UID:1\nDTSTART:20240101T090000Z\nDTEND:20240101T100000Z", broken)
    found: list[Finding] = []
    busy_in(data, "mum.ics", DUBLIN, W49, found)
    assert [f.line for f in found] == [data.decode().splitlines().index("UID:2")]


DAYS = st.dates(date(2026, 11, 20), date(2026, 12, 16))


@st.composite
def events(draw: st.DrawFn) -> str:
    """An event around the week, in one of the ways in which calendars write them, once or again and again."""
    uid = draw(st.integers(1, 4))
    start = datetime.combine(draw(DAYS), datetime.min.time()) + timedelta(
        minutes=15 * draw(st.integers(0, 95))
    )
    end = start + timedelta(hours=draw(st.sampled_from([0, 1, 30, 200])))
    zone = draw(st.sampled_from(["", "Z", "Pacific/Kiritimati", "Pacific/Pago_Pago"]))
    before, after = (f";TZID={zone}", "") if len(zone) > 1 else ("", zone)
    lines = [f"UID:{uid}", f"DTSTART{before}:{start:%Y%m%dT%H%M%S}{after}"]
    if draw(st.booleans()):
        lines.append(f"DTEND{before}:{end:%Y%m%dT%H%M%S}{after}")
    rule = draw(st.sampled_from(["", "", "RRULE:FREQ=DAILY;COUNT=3", "DURATION:P3D"]))
    return "\n".join([*lines, *([rule] if rule else [])])


@settings(max_examples=60)
@given(st.lists(events(), max_size=5))
def test_the_busy_times_are_those_of_the_whole_calendar(many: list[str]) -> None:
    def times() -> tuple[tuple[Absence, ...], list[Finding]]:
        told: list[Finding] = []
        return busy_in(calendar(*many), "mum.ics", DUBLIN, W49, told), told

    found = times()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(busy_module, "without_far_events", lambda data, first, last: data)
        assert times()[0] == found[0]


def test_as_many_events_as_are_promised_are_read_and_no_more() -> None:
    def export(count: int) -> bytes:
        day = "DTSTART:20200101T090000Z\nDTEND:20200101T100000Z\nSUMMARY:Of years ago\nLOCATION:A room"
        rest = "TRANSP:OPAQUE\nSEQUENCE:0\nBEGIN:VALARM\nACTION:DISPLAY\nTRIGGER:-PT15M\nEND:VALARM"
        now = "UID:now\nDTSTART:20261201T090000Z\nDTEND:20261201T100000Z"
        return calendar(*(f"UID:{n}\n{day}\n{rest}" for n in range(count - 1)), now)

    assert len(busy_in(export(MOST_EVENTS), "staff.ics", DUBLIN, W49, [])) == 1
    with pytest.raises(CalendarRefused):
        busy_in(export(MOST_EVENTS + 1), "staff.ics", DUBLIN, W49, [])
