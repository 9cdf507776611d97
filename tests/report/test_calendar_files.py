"""Calendars are read back by readers that share no code with the writer: vobject and dateutil."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import vobject
from dateutil.tz import tzical
from hypothesis import example, given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from genplan.case import Week
from genplan.keeping.revision import revise
from genplan.plan import Probe, ProbeKind
from genplan.report.calendar_bytes import complaints, written
from genplan.report.calendars import calendar_files, file_id
from genplan.report.names_and_words import clean
from tests.fixtures.nightly import tries
from tests.fixtures.places import ROOT
from tests.fixtures.tiny import DUBLIN, FULL_NAME, WEEK, at, greeting, sitting, tiny_case, tiny_plan, zips

ZONES = (
    *("Europe/Dublin", "Europe/Paris", "America/New_York", "America/Sao_Paulo", "Africa/Cairo"),
    *("Africa/Casablanca", "Australia/Sydney", "Australia/Lord_Howe", "Pacific/Chatham"),
    *("Asia/Tehran", "Asia/Kathmandu", "UTC"),
)


def events(data: bytes) -> list[Any]:
    return list(vobject.readOne(data.decode()).contents.get("vevent", []))


def unfolded(data: bytes) -> str:
    return data.decode().replace("\r\n ", "")


def property_of(data: bytes, key: str) -> list[str]:
    return re.findall(rf"^{key}[;:](.*)\r$", unfolded(data), re.MULTILINE)


def test_there_is_a_file_for_everybody_and_every_place_with_sittings_or_without() -> None:
    files = calendar_files(tiny_case(), tiny_plan())
    assert list(files) == [
        "calendars/adult-aunt.ics",
        "calendars/adult-grandad.ics",
        "calendars/adult-mum.ics",
        "calendars/all.ics",
        "calendars/learner-wren-q.ics",
        "calendars/location-home.ics",
        "calendars/location-park.ics",
        "calendars/location-pool.ics",
    ]
    counts = {name: data.count(b"BEGIN:VEVENT") for name, data in files.items()}
    assert list(counts.values()) == [0, 1, 1, 2, 2, 1, 1, 0]
    # RFC 5545, 3.6: a calendar holds at least one component
    assert all(data.count(b"BEGIN:VTIMEZONE") == 1 for data in files.values())


def test_an_independent_reader_finds_what_was_planned() -> None:
    first, second = events(calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"])
    assert first.dtstart.value == at(1, "15:30")
    assert first.dtend.value == at(1, "15:50")
    assert first.summary.value == "W. with Grandad: 1 probe"
    assert first.location.value == "The park"
    assert first.status.value == "TENTATIVE"
    assert first.sequence.value == "0"
    # now is 29 November 12:00 in Dublin, in winter the same as UTC
    assert first.dtstamp.value == first.last_modified.value == datetime(2026, 11, 29, 12, tzinfo=UTC)
    assert second.summary.value == "W. with Mum; Zoë, 🦊: 1 probe"


def test_the_description_tells_the_adult_what_to_do_and_what_to_mind() -> None:
    first, second = events(calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"])
    assert first.description.value.splitlines()[:8] == [
        "Not settled yet: this time may still change.",
        "",
        "1. Zips up a jacket (new)",
        "- With: Two jackets with different zips",
        "- Say “Do up your coat”",
        "- 5 trials without help or teaching; met with 4 or more correct",
        "- Counts as correct: Starts and closes the zip to the chest within 30 s, no help",
        "",
    ]
    assert "must not meet egg" in first.description.value
    assert "says no, walks away or is distressed" in first.description.value
    assert "- Room: hall" in second.description.value
    assert "something sharp" in second.description.value
    # 4/5 of four trials: 3.2, so all 4 are needed
    assert "4 trials without help or teaching; met with all 4 correct" in second.description.value


def test_a_kept_plan_is_confirmed_and_no_longer_open() -> None:
    files = calendar_files(tiny_case(), tiny_plan(), kept=True)
    (event,) = events(files["calendars/adult-grandad.ics"])
    assert event.status.value == "CONFIRMED"
    assert "Not settled" not in event.description.value


def test_no_calendar_holds_the_name_or_the_id_of_the_child() -> None:
    for data in calendar_files(tiny_case(), tiny_plan()).values():
        text = unfolded(data)
        assert "Quillfeather" not in text
        assert FULL_NAME not in text
        assert "wren" not in text.lower()


def test_a_location_says_only_that_it_is_in_use() -> None:
    files = calendar_files(tiny_case(), tiny_plan())
    (event,) = events(files["calendars/location-park.ics"])
    assert event.summary.value == "The park: in use"
    assert "description" not in event.contents
    text = unfolded(files["calendars/location-park.ics"])
    assert not [word for word in ("W.", "Grandad", "Zips", "jackets", "probe") if word in text]
    # importing it beside another calendar must not replace the event that tells more
    assert not set(property_of(files["calendars/location-park.ics"], "UID")) & set(
        property_of(files["calendars/all.ics"], "UID")
    )


def test_an_adult_sees_own_sittings_only_and_but_for_its_title_the_same_event_as_everybody() -> None:
    files = calendar_files(tiny_case(), tiny_plan())
    mine, all_ = files["calendars/adult-mum.ics"], files["calendars/all.ics"]
    assert "Grandad" not in unfolded(mine)
    block = re.search(rb"BEGIN:VEVENT\r\nSUMMARY:.*?(DTSTART.*?END:VEVENT\r\n)", mine, re.DOTALL)
    assert block is not None
    assert block[1] in all_


def test_an_adult_s_own_event_is_titled_for_that_adult() -> None:
    case, plan = tiny_case(), tiny_plan()
    (event,) = events(calendar_files(case, plan)["calendars/adult-grandad.ics"])
    assert event.summary.value == "W.: Zips up a jacket"
    told = revise((), plan.sittings, plan.now, settled=True)
    gone = calendar_files(case, tiny_plan(), revise(told, (), plan.now, settled=True))
    (event,) = events(gone["calendars/adult-grandad.ics"])
    assert event.summary.value == "Cancelled: W.: Zips up a jacket"


def test_an_event_has_the_address_and_says_what_to_do_afterwards_and_no_general_text() -> None:
    case = tiny_case()
    park = replace(case.locations["park"], address="2 Mill Lane")
    case = replace(case, locations={**case.locations, "park": park})
    files = calendar_files(case, tiny_plan())
    (event,) = events(files["calendars/adult-grandad.ics"])
    assert event.location.value == "The park, 2 Mill Lane"
    lines = event.description.value.splitlines()
    assert lines[-1].startswith("Afterwards: write down how it went")
    # what is special here, when to stop, who stays near; the rest stands on pages and sheets
    care = lines[lines.index("Take care") + 1 : -2]
    assert len(care) == 3
    assert not any("prescribes no treatment" in line for line in lines)
    # whoever reads the door's calendar learns no more than before
    assert "Mill" not in unfolded(files["calendars/location-park.ics"])


def test_uids_stay_when_the_time_moves_and_differ_between_sittings() -> None:
    before = property_of(calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"], "UID")
    moved = tiny_plan(sitting(start=at(3, "10:00")), greeting())
    after = property_of(calendar_files(tiny_case(), moved)["calendars/all.ics"], "UID")
    assert sorted(before) == sorted(after)
    assert len(set(before)) == 2
    assert all(uid.endswith("@genplan.invalid") for uid in before)


def test_lines_end_in_crlf_and_are_folded_at_75_octets_between_characters() -> None:
    words = "Grüße, 🦊🦊🦊 und \\ ; so weiter 👩‍👧 " * 9
    case = tiny_case(zips=zips(name=words, correct_when=words))
    data = calendar_files(case, tiny_plan(sitting()))["calendars/all.ics"]
    assert data.count(b"\n") == data.count(b"\r\n")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
    for line in data.split(b"\r\n"):
        line.decode()
    (event,) = events(data)
    assert f"1. {words.strip()} (new)" in event.description.value


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("a\r\nBEGIN:VEVENT\r\nX-EVIL:1", "a BEGIN:VEVENT X-EVIL:1"),
        ("bell\a and nul\0", "bell and nul"),
        ("half \ud83d pair", "half � pair"),
        ("back\\slash, comma; semicolon: colon", "back\\slash, comma; semicolon: colon"),
        ("\\n is no line end", "\\n is no line end"),
        ("turned \u202eround", "turned round"),
    ],
)
def test_no_text_of_a_user_breaks_out_of_its_field(text: str, read: str) -> None:
    case = tiny_case(zips=zips(name=text))
    data = calendar_files(case, tiny_plan(sitting()))["calendars/all.ics"]
    assert data.count(b"BEGIN:VEVENT") == 1
    assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f]", data)
    (event,) = events(data)
    assert f"1. {read} (new)" in event.description.value.splitlines()


@settings(max_examples=tries(40, by_day=15))
@given(st.text(), st.text())
@example("C:\\New", "\\N")
def test_any_text_is_one_line_of_one_event(name: str, alias: str) -> None:
    case = tiny_case(zips=zips(name=name))
    case = replace(case, learners={"wren-q": replace(case.learners["wren-q"], alias=alias)})
    (event,) = events(calendar_files(case, tiny_plan(sitting()))["calendars/all.ics"])
    assert event.summary.value.strip() == f"{clean(alias)} with Grandad: 1 probe".strip()
    assert event.description.value.splitlines()[2] == f"1. {clean(name)} (new)"


@pytest.mark.parametrize("zone", ZONES)
def test_the_time_zone_in_the_file_agrees_with_the_database(zone: str, nightly: bool) -> None:
    here = ZoneInfo(zone)
    plan = tiny_plan(sitting(start=at(1, "15:30", here)), zone=here)
    data = calendar_files(tiny_case(here), plan)["calendars/all.ics"]
    read = tzical(io.StringIO(data.decode())).get(zone)
    # twice a day, by day every 36 h, from the spring before the plan's week to the end of the third year after it
    moment, wrong = datetime(2026, 3, 1, tzinfo=UTC), []
    while moment.year < 2030:
        wall = moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
        if is_plain(wall, zone) and wall.replace(tzinfo=read).utcoffset() != offset(wall, zone):
            wrong.append(wall)
        moment += timedelta(hours=12 if nightly else 36)
    assert not wrong


def offset(wall: datetime, zone: str) -> timedelta | None:
    return wall.replace(tzinfo=ZoneInfo(zone)).utcoffset()


def is_plain(wall: datetime, zone: str) -> bool:
    """Neither skipped nor repeated: there readers may differ."""
    return offset(wall.replace(fold=0), zone) == offset(wall.replace(fold=1), zone)


def test_the_time_zone_of_ireland_needs_no_negative_daylight_saving() -> None:
    text = unfolded(calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"])
    summer = re.search(r"BEGIN:DAYLIGHT\r\nDTSTART:20270328T010000.*?END:DAYLIGHT", text, re.DOTALL)
    # 28 March 2027, 01:00 local to 02:00 (zone database, release 2026f)
    assert summer is not None
    assert "TZOFFSETFROM:+0000" in summer[0]
    assert "TZOFFSETTO:+0100" in summer[0]
    assert "RDATE" not in text


def test_a_week_in_which_the_clocks_change_keeps_its_wall_clock() -> None:
    # Dublin, 29 March 2026: Saturday 09:30 is 09:30Z, Sunday 09:30 is 08:30Z
    week = Week.of(date(2026, 3, 29))
    plan = tiny_plan(
        sitting("a", start=at(5, "09:30", DUBLIN, week)),
        sitting("b", start=at(6, "09:30", DUBLIN, week)),
        week=week,
    )
    data = calendar_files(tiny_case(), plan)["calendars/all.ics"]
    starts = property_of(data, "DTSTART;TZID=Europe/Dublin")
    assert starts == ["20260328T093000", "20260329T093000"]
    utc = [e.dtstart.value.astimezone(UTC) for e in events(data)]
    assert utc == [datetime(2026, 3, 28, 9, 30, tzinfo=UTC), datetime(2026, 3, 29, 8, 30, tzinfo=UTC)]


def test_a_time_in_the_repeated_hour_is_written_in_utc() -> None:
    # Dublin, 25 October 2026: 01:30 comes twice; the second is 01:30Z. The end, 02:10, is plain, goes along
    week = Week.of(date(2026, 10, 25))
    second = at(6, "01:30", DUBLIN, week).replace(fold=1)
    seat = sitting(start=second, minutes=40)
    data = calendar_files(tiny_case(), tiny_plan(seat, week=week))["calendars/all.ics"]
    (event,) = events(data)
    assert event.dtstart.value == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert property_of(data, "DTEND") == ["20261025T021000Z"]


def test_the_same_plan_gives_the_same_bytes_whatever_the_hash_seed(nightly: bool) -> None:
    program = (
        "import hashlib\n"
        "from tests.fixtures import tiny\n"
        "from genplan.report.calendars import calendar_files\n"
        "files = calendar_files(tiny.tiny_case(), tiny.tiny_plan())\n"
        "print(hashlib.sha256(b''.join(files.values())).hexdigest())"
    )
    others = (("1", "Asia/Tokyo"), ("0", "UTC"))
    sums = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={"PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()
        for seed, zone in (others if nightly else others[:1])
    }
    here = b"".join(calendar_files(tiny_case(), tiny_plan()).values())
    assert sums == {sha256(here).hexdigest()}


def test_no_event_carries_an_alarm_or_a_method() -> None:
    for data in calendar_files(tiny_case(), tiny_plan()).values():
        assert b"VALARM" not in data
        assert b"METHOD" not in data


def parsed(change: tuple[str, str]) -> Calendar:
    text = calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"].decode()
    assert change[0] in text
    return Calendar.from_ical(text.replace(*change))


def test_a_calendar_of_ours_has_no_complaints() -> None:
    assert complaints(parsed(("VERSION:2.0", "VERSION:2.0"))) == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("VERSION:2.0\r\n", ""), "lacks VERSION"),
        (("Dublin:20261201T155000", "Dublin:20261201T153000"), "ends before"),
        (("SUMMARY:W. with Grandad: 1 probe\r\n", ""), "lacks SUMMARY"),
        (("STATUS:TENTATIVE", "DTSTAMP:20260101T000000Z"), "lacks DTSTAMP, or has it twice"),
        (("DTSTART;TZID=Europe/Dublin", "DTSTART;TZID=Europe/Paris"), "no VTIMEZONE for Europe/Paris"),
    ],
)  # fmt: skip
def test_a_broken_calendar_is_complained_of(change: tuple[str, str], said: str) -> None:
    assert said in "; ".join(complaints(parsed(change)))


def test_two_events_with_one_uid_and_an_empty_calendar_are_complained_of() -> None:
    calendar = parsed(("VERSION:2.0", "VERSION:2.0"))
    calendar.add_component(calendar.walk("VEVENT")[0])
    assert any("is there twice" in c for c in complaints(calendar))
    calendar.subcomponents.clear()
    assert complaints(calendar) == ("the calendar is empty",)


def test_a_sitting_that_ends_before_it_starts_is_not_written() -> None:
    with pytest.raises(ValueError, match="ends before it has begun"):
        calendar_files(tiny_case(), tiny_plan(sitting(minutes=-5)))


def test_an_id_cannot_lead_a_file_elsewhere() -> None:
    assert file_id("opa-jürgen.2") == "opa-jürgen.2"
    assert file_id("../a:b") == "..%2Fa%3Ab"
    assert file_id("a%2Fb") != file_id("a/b")


def test_two_probes_are_counted_and_listed_in_their_order() -> None:
    two = (
        Probe(
            target="zips",
            combination=("mum", "home", "jackets", "Zip it up"),
            kind=ProbeKind.RETEST,
            trials=1,
            new_tuples=0,
        ),
        Probe(
            target="greets",
            combination=("mum", "home", "cards", "hall"),
            kind=ProbeKind.NEW,
            trials=5,
            new_tuples=3,
        ),
    )
    plan = tiny_plan(sitting(adult="mum", location="home", probes=two))
    (event,) = events(calendar_files(tiny_case(), plan)["calendars/all.ics"])
    assert event.summary.value.endswith(": 2 probes")
    lines = event.description.value.splitlines()
    assert [x for x in lines if re.match(r"\d\.", x)] == [
        "1. Zips up a jacket (retest)",
        "2. Greets, on being greeted (new)",
    ]
    assert "- 1 trial without help or teaching; met with 1 or more correct" in lines


def test_the_week_is_named() -> None:
    data = calendar_files(tiny_case(), tiny_plan())["calendars/all.ics"]
    assert property_of(data, "NAME") == [f"Week {WEEK}"]


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=400))
def test_a_component_is_written_as_the_library_writes_it(text: str) -> None:
    """Lines of any length, characters of several octets, and what is escaped at the end of a line among them."""
    event = Event()
    event.add("description", text)
    event.add("summary", "x" * (len(text) % 80) + "\\,;")
    assert written(event) == event.to_ical()
