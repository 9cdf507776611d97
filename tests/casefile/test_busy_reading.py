"""Whose answer an invitation waits for, what is only tentative, where an event is, and series in UTC."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.casefile import load
from genplan.casefile.busy import busy_in
from genplan.casefile.busy_reading import AS_BEFORE, BusyReading, reading_for
from genplan.casefile.busy_times import busy_times
from genplan.findings import Finding
from tests.fixtures.busy_calendars import DUBLIN, HOUR, W49, calendar
from tests.fixtures.small_case import TEXT, WEEK

MUM, DAD = "mailto:mum@example.org", "MAILTO:Dad@Example.org"
ORGANISER = "\nORGANIZER:mailto:boss@example.org"


def read(data: bytes, reading: BusyReading = AS_BEFORE, week: Week = W49) -> tuple[list[str], list[Finding]]:
    findings: list[Finding] = []
    found = busy_in(data, "busy/x.ics", DUBLIN, week, findings, None, reading)
    return [f"{a.start:%a %H:%M}-{a.end:%H:%M}{' ' + a.place if a.place else ''}" for a in found], findings


def invited(**answers: str) -> str:
    """An hour to which people were invited, with what each answered."""
    lines = (f"\nATTENDEE;CN=x;PARTSTAT={answer}:mailto:{who}@example.org" for who, answer in answers.items())
    return HOUR + ORGANISER + "".join(lines)


BUSY = ["Tue 09:00-10:00"]
OF_MUM = BusyReading(emails=("mum@example.org",))


@pytest.mark.parametrize(
    ("event", "reading", "expected", "told"),
    [
        (invited(mum="DECLINED", dad="ACCEPTED"), OF_MUM, [], 0),
        (invited(mum="declined", dad="ACCEPTED"), OF_MUM, [], 0),
        (invited(mum="ACCEPTED", dad="DECLINED"), OF_MUM, BUSY, 0),
        (invited(dad="DECLINED"), OF_MUM, BUSY, 0),  # somebody else's answer, for certain
        (invited(mum="NEEDS-ACTION"), OF_MUM, BUSY, 0),
        (invited(mum="DECLINED"), AS_BEFORE, [], 1),  # the only one: read as the owner's, and told
        (invited(mum="DECLINED", dad="ACCEPTED"), AS_BEFORE, BUSY, 1),  # nobody knows whose calendar it is
        (invited(mum="TENTATIVE", dad="ACCEPTED"), OF_MUM, BUSY, 0),
        (invited(mum="TENTATIVE", dad="ACCEPTED"), replace(OF_MUM, tentative=False), [], 0),
        (invited(mum="ACCEPTED", dad="TENTATIVE"), replace(OF_MUM, tentative=False), BUSY, 0),
        (HOUR + "\nSTATUS:TENTATIVE", AS_BEFORE, BUSY, 0),
        (HOUR + "\nSTATUS:TENTATIVE", BusyReading(tentative=False), [], 0),
    ],
)
def test_whose_answer_counts(event: str, reading: BusyReading, expected: list[str], told: int) -> None:
    found, findings = read(calendar(event), reading)
    assert (found, len(findings)) == (expected, told)
    assert all(f.line == 4 and "'email'" in f.hint for f in findings)


def test_a_calendar_that_is_called_by_an_address_is_of_that_person() -> None:
    event = invited(mum="DECLINED", dad="ACCEPTED")
    assert read(calendar(event, rest="X-WR-CALNAME:mum@example.org\n")) == ([], [])
    assert read(calendar(event, rest="X-WR-CALNAME:dad@example.org\n")) == (BUSY, [])


def test_one_meeting_of_a_series_that_was_declined_is_free_and_the_others_are_not() -> None:
    series = (
        "DTSTART:20261130T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3\nATTENDEE;PARTSTAT=ACCEPTED:" + MUM
    )
    once = f"RECURRENCE-ID:20261201T090000\n{HOUR}\nATTENDEE;PARTSTAT=DECLINED:{MUM}"
    data = calendar(series, once, uids=(7, 7))
    assert read(data, OF_MUM) == (["Mon 09:00-10:00", "Wed 09:00-10:00"], [])


def test_a_tentative_busy_period() -> None:
    rest = (
        "BEGIN:VFREEBUSY\nUID:f\nDTSTAMP:20260101T000000Z\n"
        "FREEBUSY;FBTYPE=BUSY-TENTATIVE:20261201T090000Z/PT1H\nEND:VFREEBUSY\n"
    )
    assert read(calendar(rest=rest))[0] == BUSY
    assert read(calendar(rest=rest), BusyReading(tentative=False))[0] == []


PLACES = BusyReading(
    margin=20,
    places=(("school", "school"), ("hillside school", "school")),
    addresses=(("1 park road", "park"),),
)


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("", "Tue 09:00-10:00"),
        ("Somewhere else", "Tue 08:40-10:20"),
        ("https://meet.example.org/abc", "Tue 09:00-10:00"),
        ("Hillside School", "Tue 09:00-10:00 school"),
        ("HILLSIDE  SCHOOL\\, Room 4", "Tue 09:00-10:00 school"),
        ("Hillside School of Music", "Tue 08:40-10:20"),
        ("The park\\, 1 Park Road\\, Dublin", "Tue 09:00-10:00 park"),
        ("11 Park Road", "Tue 08:40-10:20"),
    ],
)
def test_where_an_event_is(place: str, expected: str) -> None:
    event = f"{HOUR}\nLOCATION:{place}" if place else HOUR
    assert read(calendar(event), PLACES) == ([expected], [])


def test_a_whole_day_somewhere_has_no_margin() -> None:
    event = "DTSTART;VALUE=DATE:20261201\nLOCATION:Somewhere else"
    assert read(calendar(event), PLACES)[0] == ["Tue 00:00-00:00"]


SERIES = "DTSTART:20260901T080000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY"
IN_DUBLIN = "X-WR-TIMEZONE:Europe/Dublin\n"


def test_a_series_in_utc_in_a_calendar_with_a_zone_is_busy_in_both_readings_and_told() -> None:
    """1 September 2026, 08:00Z, is 09:00 in Dublin on summer time; in December 08:00Z is 08:00 there."""
    found, (told,) = read(calendar(HOUR, SERIES, rest=IN_DUBLIN, uids=(1, 2)))
    assert found == ["Tue 08:00-10:00"]
    assert (told.file, told.line) == ("busy/x.ics", 11)  # 4 lines of head, 6 of the first event
    assert "Tue 08:00 if UTC is meant, Tue 09:00 by the clock of that zone" in told.found
    assert "utc_series" in told.hint


@pytest.mark.parametrize(("chosen", "expected"), [("utc", "Tue 08:00-09:00"), ("local", "Tue 09:00-10:00")])
def test_a_key_says_which_reading_of_a_series_in_utc_is_meant(chosen: str, expected: str) -> None:
    data = calendar(SERIES, rest=IN_DUBLIN)
    assert read(data, BusyReading(utc_series=chosen)) == ([expected], [])


@pytest.mark.parametrize(
    ("data", "week"),
    [
        (calendar(SERIES), W49),  # no zone of its own: UTC is meant
        (calendar(SERIES, rest="X-WR-TIMEZONE:UTC\n"), W49),
        (calendar(SERIES, rest=IN_DUBLIN), Week(2026, 40)),  # before the clocks change
        (calendar(SERIES.replace("T080000Z", "T090000"), rest=IN_DUBLIN), W49),
        (calendar(HOUR.replace("0000\n", "0000Z\n"), rest=IN_DUBLIN), W49),  # once only
    ],
)
def test_where_both_readings_are_the_same_nothing_is_told(data: bytes, week: Week) -> None:
    found, findings = read(data, week=week)
    assert len(found) == 1
    assert findings == []


CASE = TEXT.replace("  mum: {", "  mum: {busy: busy/mum.ics, ").replace(
    "home: {", "home: {address: 2 Elm Lane, "
)
ROUTES = "travel_minutes: {otherwise: 30}\n"


def the_case(folder: Path, data: bytes, text: str = CASE + ROUTES) -> Path:
    (folder / "busy").mkdir(parents=True)
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    (folder / "busy" / "mum.ics").write_bytes(data)
    return folder


def test_the_keys_of_an_adult_and_the_places_of_the_case_reach_the_reader(tmp_path: Path) -> None:
    keys = "email: [Mum@example.org], tentative_busy: no, busy_margin_minutes: 25, utc_series: utc, "
    event = f"{HOUR}\nLOCATION:2 Elm Lane"
    folder = the_case(tmp_path, calendar(event), CASE.replace("mum: {", "mum: {" + keys) + ROUTES)
    loaded = load(folder)
    assert loaded.case is not None
    reading = reading_for(loaded.case, loaded.case.adults["mum"])
    assert (reading.emails, reading.tentative, reading.margin) == (("mum@example.org",), False, 25)
    assert reading.utc_series == "utc"
    (absence,) = busy_times(loaded, loaded.case, W49).absences["mum"]
    assert absence.place == "home"


@pytest.mark.parametrize(
    ("place", "first", "last"),
    [
        ("home", "16:00", "18:00"),
        ("yard", "17:30", "18:00"),
    ],  # the event ends at 17:00; the way to the yard takes 30
)
def test_a_busy_event_at_a_place_of_the_case_takes_the_way_from_there(
    tmp_path: Path, place: str, first: str, last: str
) -> None:
    from genplan.planning.openings import hours

    event = "DTSTART:20261201T150000\nDTEND:20261201T170000\nLOCATION:Home"
    loaded = load(the_case(tmp_path, calendar(event)))
    assert loaded.case is not None
    busy = busy_times(loaded, loaded.case, WEEK).absences
    free = hours(loaded.case, WEEK, datetime(2026, 11, 29, 12, tzinfo=DUBLIN), busy)
    day = [w for w in free.adult_at("mum", place) if 1440 <= w.start < 2880]
    expected = max(17 * 60, int(first[:2]) * 60 + int(first[3:]))
    assert [(w.start - 1440, w.end - 1440) for w in day] == [(expected, int(last[:2]) * 60)]


def test_check_looks_at_the_week_that_is_asked_for(tmp_path: Path) -> None:
    folder = the_case(tmp_path, calendar(SERIES, rest=IN_DUBLIN))
    now = datetime(2026, 10, 5, 12)  # summer time: both readings are one
    assert workflow.check(folder, now) == ()
    assert ["series in UTC" in f.found for f in workflow.check(folder, now, WEEK)] == [True]
