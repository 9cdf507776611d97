"""Busy calendars against answers worked out by hand."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.case import Week
from genplan.casefile import load
from genplan.casefile.busy import busy_in, wall_clock
from genplan.casefile.busy_times import busy_times
from genplan.casefile.calendar_limits import CalendarRefused
from genplan.findings import Finding, Severity
from tests.fixtures.busy_calendars import DUBLIN, HOUR, W49, calendar
from tests.fixtures.casefile_cases import changed, write

NEW_YORK = ZoneInfo("America/New_York")


def busy(data: bytes, week: Week = W49, zone: ZoneInfo = DUBLIN) -> tuple[list[str], list[Finding]]:
    findings: list[Finding] = []
    found = busy_in(data, "busy/x.ics", zone, week, findings)
    return [f"{a.start:%a %H:%M}-{a.end:%a %H:%M}" for a in found], findings


@pytest.mark.parametrize(
    ("event", "expected"),
    [
        (HOUR, ["Tue 09:00-Tue 10:00"]),  # floating: the case's own zone
        ("DTSTART:20261201T090000Z\nDURATION:PT90M", ["Tue 09:00-Tue 10:30"]),
        ("DTSTART;TZID=Europe/Paris:20261201T090000\nDURATION:PT1H", ["Tue 08:00-Tue 09:00"]),
        ("DTSTART;TZID=Eastern Standard Time:20261201T090000\nDURATION:PT1H", ["Tue 14:00-Tue 15:00"]),
        ("DTSTART;VALUE=DATE:20261201", ["Tue 00:00-Wed 00:00"]),
        ("DTSTART;VALUE=DATE:20261201\nDTEND;VALUE=DATE:20261203", ["Tue 00:00-Thu 00:00"]),
        # From the Saturday before, and from the Sunday on into the week after: cut at the ends of the week.
        ("DTSTART;VALUE=DATE:20261128\nDTEND;VALUE=DATE:20261202", ["Mon 00:00-Wed 00:00"]),
        ("DTSTART:20261206T220000\nDTEND:20261208T060000", ["Sun 22:00-Mon 00:00"]),
        ("DTSTART:20261207T000000\nDURATION:PT1H", []),
        ("DTSTART:20261129T230000\nDURATION:PT1H", []),
        ("DTSTART:20261201T090000", []),  # no length (RFC 5545, 3.6.1)
        (HOUR + "\nTRANSP:TRANSPARENT", []),
        (HOUR + "\nSTATUS:CANCELLED", []),
        (HOUR + "\nSTATUS:TENTATIVE\nTRANSP:OPAQUE", ["Tue 09:00-Tue 10:00"]),
        ("DTSTART;VALUE=DATE:19621203\nRRULE:FREQ=YEARLY", ["Thu 00:00-Fri 00:00"]),  # a birthday
        (
            "DTSTART;TZID=Europe/Dublin:20261101T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY\n"
            "EXDATE;TZID=Europe/Dublin:20261201T090000,20261203T090000",
            [f"{d} 09:00-{d} 10:00" for d in ("Mon", "Wed", "Fri", "Sat", "Sun")],
        ),
        (
            "DTSTART:20261101T090000Z\nDURATION:PT1H\nRDATE;VALUE=PERIOD:20261202T090000Z/PT2H",
            ["Wed 09:00-Wed 11:00"],
        ),
    ],
)
def test_one_event(event: str, expected: list[str]) -> None:
    assert busy(calendar(event)) == (expected, [])


def test_touching_and_overlapping_events_are_one_stretch() -> None:
    other = "DTSTART:20261201T093000\nDTEND:20261201T110000"
    third = "DTSTART:20261201T110000\nDTEND:20261201T120000"
    assert busy(calendar(third, HOUR, other))[0] == ["Tue 09:00-Tue 12:00"]


def test_a_moved_and_a_cancelled_instance_of_a_series() -> None:
    """Mondays to Fridays at 09:00; Tuesday's is moved to 14:00 and Thursday's cancelled."""
    series = (
        "DTSTART;TZID=Europe/Dublin:20261109T090000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"
    )
    at = "RECURRENCE-ID;TZID=Europe/Dublin:202612"
    moved = f"{at}01T090000\nDTSTART;TZID=Europe/Dublin:20261201T140000\nDURATION:PT1H"
    gone = f"{at}03T090000\nDTSTART;TZID=Europe/Dublin:20261203T090000\nDURATION:PT1H\nSTATUS:CANCELLED"
    found, findings = busy(calendar(series, moved, gone, uids=(7, 7, 7)))
    assert found == [
        "Mon 09:00-Mon 10:00",
        "Tue 14:00-Tue 15:00",
        "Wed 09:00-Wed 10:00",
        "Fri 09:00-Fri 10:00",
    ]
    assert findings == []


def test_free_and_busy_periods() -> None:
    """VFREEBUSY: BUSY by default; FREE is not busy, BUSY-TENTATIVE is."""
    periods = (
        "BEGIN:VFREEBUSY\nUID:f\nDTSTAMP:20260101T000000Z\n"
        "FREEBUSY:20261201T090000Z/20261201T100000Z,20261202T090000Z/PT30M\n"
        "FREEBUSY;FBTYPE=FREE:20261203T090000Z/PT1H\n"
        "FREEBUSY;FBTYPE=BUSY-TENTATIVE:20261204T090000Z/PT1H\nEND:VFREEBUSY\n"
    )
    expected = ["Tue 09:00-Tue 10:00", "Wed 09:00-Wed 09:30", "Fri 09:00-Fri 10:00"]
    assert busy(calendar(rest=periods)) == (expected, [])


@pytest.mark.parametrize(
    ("week", "expected"),
    [
        (Week(2026, 10), ["Fri 14:00-Fri 15:00"]),  # 6 March: 09:00 at -5 h is 14:00Z, Dublin on GMT
        (Week(2026, 11), ["Fri 13:00-Fri 14:00"]),  # 13 March: New York at -4 h already
        (Week(2026, 14), ["Fri 14:00-Fri 15:00"]),  # 3 April: both on summer time
        (
            Week(2026, 44),
            ["Fri 13:00-Fri 14:00"],
        ),  # 30 October: Dublin back on GMT, New York not before 1 November
    ],
)
def test_a_foreign_series_across_changes_of_the_clock(week: Week, expected: list[str]) -> None:
    weekly = "DTSTART;TZID=America/New_York:20260102T090000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY"
    assert busy(calendar(weekly), week)[0] == expected


def test_the_hour_that_a_clock_shows_twice_and_the_one_it_leaves_out() -> None:
    """25 October 2026, 01:00Z: 02:00 becomes 01:00. 00:15Z to 01:30Z is 01:15 to 02:00, then 01:00 to 01:30.
    29 March 2026, 01:00Z: 01:00 becomes 02:00. 00:30Z to 01:30Z is 00:30 to 02:30."""
    autumn = calendar("DTSTART:20261025T001500Z\nDTEND:20261025T013000Z")
    spring = calendar("DTSTART:20260329T003000Z\nDTEND:20260329T013000Z")
    assert busy(autumn, Week(2026, 43))[0] == ["Sun 01:00-Sun 02:00"]
    assert busy(spring, Week(2026, 13))[0] == ["Sun 00:30-Sun 02:30"]


@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)).map(
        lambda d: d.replace(second=0, microsecond=0)
    ),
    st.integers(1, 6000),
    st.sampled_from(
        ["Europe/Dublin", "America/New_York", "Australia/Lord_Howe", "Africa/Cairo", "Asia/Tehran"]
    ),
)
def test_every_instant_of_a_stretch_is_covered_on_the_wall_clock(
    start: datetime, length: int, name: str
) -> None:
    zone, utc = ZoneInfo(name), ZoneInfo("UTC")
    begin = start.replace(tzinfo=utc)
    pieces = list(wall_clock(begin, begin + timedelta(minutes=length), zone))
    for minute in {0, length // 3, length // 2, length - 1}:
        wall = (begin + timedelta(minutes=minute)).astimezone(zone).replace(tzinfo=None)
        assert any(a <= wall < b for a, b in pieces)


@pytest.mark.parametrize(
    ("event", "key", "found", "hint", "expected"),
    [
        ("SUMMARY:x", "DTSTART", "without a start", "not counted", []),
        ("DTSTART:2026\nDTEND:20261201T100000", "DTSTART", "cannot be read", "not counted", []),
        ("DTSTART:20261201T110000\nDTEND:2026", "DTEND", "cannot be read", "not counted", []),
        (
            "DTSTART:20261201T110000\nDURATION:PT1H\nRRULE:FREQ=WEEKLYY",
            "RRULE",
            "cannot be read",
            "first date",
            ["11-12"],
        ),
        (
            "DTSTART:20261201T110000\nDURATION:PT1H\nEXDATE:2026",
            "EXDATE",
            "cannot be read",
            "as busy",
            ["11-12"],
        ),
        (
            "DTSTART;TZID=Mars/Base:20261201T110000\nDURATION:PT1H",
            "TZID",
            "'Mars/Base'",
            "Europe/Dublin",
            ["11-12"],
        ),
        ("DTSTART:20261201T120000\nDTEND:20261201T110000", "DTEND", "ends before", "busy", ["11-12"]),
        ("DTSTART:20261201T110000\nDURATION:PT1H\nSUMMARY", "", "a line that cannot", "compare", ["11-12"]),
        ("DTSTART:20261101T110000\nDURATION:P5000000D", "", "cannot be worked out", "'away'", []),
    ],
)
def test_what_cannot_be_read_is_told_and_the_rest_is_read(
    event: str, key: str, found: str, hint: str, expected: list[str]
) -> None:
    times, findings = busy(calendar(HOUR, event))
    assert times == ["Tue 09:00-Tue 10:00", *(f"Tue {t[:2]}:00-Tue {t[3:]}:00" for t in expected)]
    assert [(f.key, f.severity) for f in findings] == [(key, Severity.WARNING)]
    assert found in findings[0].found
    assert hint in findings[0].hint
    assert findings[0].line in (0, 10)  # 3 lines of head, 6 of the first event


@pytest.mark.parametrize(
    ("data", "line", "found"),
    [
        (b"", 0, "no calendar"),
        (b"hello", 0, "no calendar"),
        (calendar(HOUR)[:-30], 0, "breaks off"),
        (calendar(HOUR + "\nRRULE:FREQ=SECONDLY"), 9, "secondly"),
        (calendar(HOUR + "\nRRULE:FR\n EQ=MINUTELY"), 9, "minutely"),
        (calendar(HOUR + "\nRRULE:FREQ=HOURLY"), 9, "hourly"),
        (calendar(HOUR + "\nRRULE:FREQ=DAILY;INTERVAL=0"), 9, "interval '0'"),
        (calendar(HOUR + "\nRRULE:FREQ=DAILY;INTERVAL=-1"), 9, "interval '-1'"),
        (calendar("DTSTART:18000101T000000\nDURATION:PT1H\nRRULE:FREQ=DAILY"), 0, "since the year 1800"),
        (
            calendar(
                HOUR
                + "\nRRULE:FREQ=DAILY;BYHOUR="
                + ",".join(map(str, range(24)))
                + ";BYSECOND="
                + "1," * 600
                + "1"
            ),
            0,
            "run through 5279185 dates",
        ),
        (b"BEGIN:VEVENT\n" * 20_001, 0, "20001 events"),
        (b" " * 20_000_001, 0, "20 MB"),
    ],
)
def test_calendars_that_are_refused_whole(data: bytes, line: int, found: str) -> None:
    with pytest.raises(CalendarRefused, match=found) as told:
        busy(data)
    assert told.value.line == line
    assert told.value.expected


def test_the_adults_of_a_case(tmp_path: Path) -> None:
    (tmp_path / "busy").mkdir()
    (tmp_path / "busy" / "mum.ics").write_bytes(calendar(HOUR, "SUMMARY:x"))
    it = load(write(tmp_path, case=changed("locations: [home]", "busy: busy/mum.ics")))
    assert it.case is not None
    found = busy_times(it, it.case, W49)
    assert list(found.absences) == ["mum"]
    assert [(a.start, a.kind) for a in found.absences["mum"]] == [(datetime(2026, 12, 1, 9), "busy")]
    assert [(f.file, f.line) for f in found.findings] == [("busy/mum.ics", 10)]
    assert busy_times(tmp_path, it.case, W49) == found


def test_some_weeks_in_a_row_are_read_at_once(tmp_path: Path) -> None:
    """An hour each Tuesday for six weeks, of which three are asked for."""
    (tmp_path / "busy").mkdir()
    (tmp_path / "busy" / "mum.ics").write_bytes(calendar(HOUR + "\nRRULE:FREQ=WEEKLY;COUNT=6"))
    it = load(write(tmp_path, case=changed("locations: [home]", "busy: busy/mum.ics")))
    assert it.case is not None
    found = busy_times(it, it.case, W49, Week(2026, 51))
    assert [a.start.date().isoformat() for a in found.absences["mum"]] == [
        "2026-12-01",
        "2026-12-08",
        "2026-12-15",
    ]
    assert [a for w in (49, 50, 51) for a in busy_times(it, it.case, Week(2026, w)).absences["mum"]] == list(
        found.absences["mum"]
    )


def test_a_busy_file_that_has_gone_is_an_error_with_the_line_of_its_key(tmp_path: Path) -> None:
    file = tmp_path / "busy" / "mum.ics"
    file.parent.mkdir()
    file.write_bytes(calendar(HOUR))
    it = load(write(tmp_path, case=changed("locations: [home]", "busy: busy/mum.ics")))
    assert it.case is not None
    file.unlink()
    gone = busy_times(it, it.case, W49)
    assert [(f.file, f.line, f.severity) for f in gone.findings] == [("case.yaml", 11, Severity.ERROR)]
    file.write_bytes(b"hello")
    refused = busy_times(it, it.case, W49)
    assert [(f.file, f.severity) for f in refused.findings] == [("busy/mum.ics", Severity.ERROR)]


def test_a_link_that_leads_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret.ics").write_bytes(calendar(HOUR))
    case = write(tmp_path / "case", case=changed("locations: [home]", "busy: mum.ics"))
    (case / "mum.ics").symlink_to(tmp_path / "secret.ics")
    assert ["leads out" in f.found for f in load(case).findings] == [True]
