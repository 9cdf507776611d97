"""Hostile calendars end within seconds and a bounded memory, and only the file itself is refused."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from genplan import fence
from genplan.case import Case, Week
from genplan.casefile import apart, load
from genplan.casefile.busy_times import Busy, busy_times

pytestmark = pytest.mark.usefixtures("cold_readers")

DUBLIN = ZoneInfo("Europe/Dublin")
W49 = Week(2026, 49)
HEAD, TAIL = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//\r\n", "END:VCALENDAR\r\n"
GOOD = "DTSTART:20261201T090000\r\nDTEND:20261201T100000"

CASE = """\
format: 1
timezone: Europe/Dublin
learners: {lark: {free: {daily: "09:00-18:00"}}}
adults:
  bad: {free: {daily: "09:00-18:00"}, busy: busy/bad.ics}
  good: {free: {daily: "09:00-18:00"}, busy: busy/good.ics}
locations: {home: {}}
material_sets: {hats: {}}
targets: {puts-on: {learner: lark, correct_when: It is on}}
"""


def calendar(*events: str) -> bytes:
    parts = (
        f"BEGIN:VEVENT\r\nUID:{i}\r\nDTSTAMP:20260101T000000Z\r\n{e}\r\nEND:VEVENT\r\n"
        for i, e in enumerate(events)
    )
    return (HEAD + "".join(parts) + TAIL).encode()


def case_with(folder: Path, bad: bytes) -> tuple[Path, Case]:
    (folder / "busy").mkdir()
    (folder / "case.yaml").write_text(CASE)
    (folder / "busy" / "bad.ics").write_bytes(bad)
    (folder / "busy" / "good.ics").write_bytes(calendar(GOOD))
    case = load(folder).case
    assert case
    return folder, case


def read(folder: Path, bad: bytes) -> Busy:
    folder, case = case_with(folder, bad)
    found = busy_times(folder, case, W49)
    assert [f"{a.start:%a %H:%M}" for a in found.absences["good"]] == ["Tue 09:00"]
    return found


def repeats(rule: str) -> str:
    return f"DTSTART:20200229T090000\r\nDTEND:20200229T100000\r\nRRULE:{rule}"


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=MONTHLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=YEARLY;BYYEARDAY=366;BYMONTH=1",
    ],
)
def test_a_rule_for_a_day_that_no_year_has_gives_no_date(tmp_path: Path, rule: str) -> None:
    found = read(tmp_path, calendar(repeats(rule), GOOD))
    assert [f for f in found.findings if f.severity == "error"] == []
    assert len(found.absences["bad"]) == 1


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (calendar(repeats("FREQ=SECONDLY")), "repeats secondly"),
        (calendar(*["DTSTART:20261201T090000"] * 100_000), "100000 events"),
        (HEAD.encode() + b"SUMMARY:" + b"x" * 50_000_000 + b"\r\n" + TAIL.encode(), "a calendar of 50 MB"),
        pytest.param(b"x" * 19_000_000, "text that is no calendar", marks=pytest.mark.nightly),
    ],
    ids=["each second", "too many", "too large", "no calendar"],
)
def test_what_is_too_big_or_too_fine_is_refused_and_the_others_are_read(
    tmp_path: Path, bad: bytes, words: str
) -> None:
    found = read(tmp_path, bad)
    errors = [f for f in found.findings if f.severity == "error"]
    assert [(f.file, words in f.found) for f in errors] == [("busy/bad.ics", True)]
    assert found.absences["bad"] == ()


KILLED = "nothing, since the process that read it was killed by something other than this program"


@pytest.mark.parametrize(
    ("program", "seconds", "told"),
    [
        ("import time; time.sleep(60)", 6, "that take more than 6 seconds to work out"),
        ("import os; os._exit(3)", 60, "breaks the reader"),
        ("import os; os.kill(os.getpid(), 11)", 60, "breaks the reader"),
        ("import os; os.kill(os.getpid(), 24)", 60, "that take more than 10 seconds to work out"),
        ("import os; os.kill(os.getpid(), 9)", 60, KILLED),
    ],
    ids=["never ends", "ends", "breaks", "is out of work", "is killed"],
)
@pytest.mark.skipif(sys.platform != "linux", reason="signals by their numbers there")
def test_a_reader_that_never_ends_or_dies_is_ended_and_the_next_file_is_read(
    tmp_path: Path, program: str, seconds: int, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The child is made to misbehave at one file by its name, as a fault of the library would. It has the time to
    start on a busy machine."""
    patched = tmp_path / "patched"
    patched.mkdir()
    (patched / "sitecustomize.py").write_text(
        "import sys\n"
        "if 'genplan.casefile.busy_child' in ' '.join(sys.orig_argv):\n"
        "    import genplan.casefile.busy as b\n"
        "    true = b.busy_in\n"
        "    def spoiled(data, name, *rest):\n"
        "        if 'bad' in name:\n"
        f"            {program}\n"
        "        return true(data, name, *rest)\n"
        "    b.busy_in = spoiled\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(patched))
    monkeypatch.setattr(fence, "WALL_SECONDS", seconds)
    (tmp_path / "case").mkdir()
    found = read(tmp_path / "case", calendar(GOOD))
    (error,) = found.findings
    assert error.file == "busy/bad.ics"
    assert told in error.found
    assert (error.hint == apart.HINT) is (told != KILLED)
    assert ("memory is short" in error.hint) is (told == KILLED)


@pytest.mark.skipif(
    not Path("/proc/self/limits").exists(), reason="the limits are read from /proc, which only Linux has"
)
def test_the_child_has_its_limits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = tmp_path / "seen"
    patched = tmp_path / "patched"
    patched.mkdir()
    (patched / "sitecustomize.py").write_text(
        "import sys\n"
        "if 'genplan.casefile.busy_child' in ' '.join(sys.orig_argv):\n"
        "    import genplan.casefile.busy as b\n"
        "    true = b.busy_in\n"
        "    def noted(*given):\n"
        f"        open({str(seen)!r}, 'w').write(open('/proc/self/limits').read())\n"
        "        return true(*given)\n"
        "    b.busy_in = noted\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(patched))
    (tmp_path / "case").mkdir()
    read(tmp_path / "case", calendar(GOOD))
    limits = {line[:25].strip(): line[25:].split() for line in seen.read_text().splitlines()}
    assert int(limits["Max cpu time"][0]) <= fence.CPU_SECONDS + 5
    assert int(limits["Max address space"][0]) <= fence.MEMORY_BYTES


@pytest.mark.skipif(os.name != "posix", reason="an interrupt is a signal there")
def test_ctrl_c_is_no_fault_of_a_file_that_is_being_read() -> None:
    ended = fence.run_fenced("tests.fixtures.interrupts_itself", given=b"", seconds=60)
    assert (ended.written, ended.code) == (b"goes on\n", 0)
