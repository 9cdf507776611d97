"""Files that are made to keep a reader busy. Each ends in a sentence after a counted amount of work, far below what the
file holds: no test here looks at a clock. The sizes are those that were reported; limits are lowered where that shows
the same."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import yaml

from genplan import findings as findings_module
from genplan.case import Week
from genplan.casefile import busy, diagnostics, folder, lint, load, tree
from genplan.casefile.calendar_limits import CalendarRefused
from genplan.errors import CaseError, FileError
from genplan.evidence import filled_sheet, row_by_itself, sheet_faults, spreadsheet
from genplan.evidence.log import Log
from genplan.evidence.results import parse_results
from genplan.findings import Finding, Severity
from tests.fixtures.corpus import SMALL, base
from tests.fixtures.telling import whole_case

DUBLIN, W49 = ZoneInfo("Europe/Dublin"), Week(2026, 49)


class Counter:
    """Counts the calls of a function, which does what it did."""

    def __init__(self, true: Callable[..., Any]) -> None:
        self.true, self.calls = true, 0

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        self.calls += 1
        return self.true(*arguments, **named)


def counted(monkeypatch: pytest.MonkeyPatch, where: Any, name: str) -> Counter:
    counter = Counter(getattr(where, name))
    monkeypatch.setattr(where, name, counter)
    return counter


def told(tmp_path: Path, text: str) -> tuple[Finding, ...]:
    """What is said of a case of one file; no more than anybody reads."""
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    found = load(tmp_path).findings
    assert len(found) <= diagnostics.MOST_ERRORS + diagnostics.MOST_WARNINGS + 2
    return found


@pytest.fixture
def events(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many events of all YAML texts were looked at."""
    seen, true = [0], yaml.parse

    def parse(*arguments: Any, **named: Any) -> Iterator[Any]:
        for event in true(*arguments, **named):
            seen[0] += 1
            yield event

    monkeypatch.setattr(tree.yaml, "parse", parse)
    return seen


@pytest.mark.parametrize(
    "text",
    [
        "a: [" + "1," * 2_300_000 + "1]\n",  # 4.6 MB: took more than 40 s and 750 MB
        "a:\n" + "- 1\n" * 1_150_000,
        "a: {" + "".join(f"{i}: 1, " for i in range(400_000)) + "}\n",
        "a: [" + "[1], " * 900_000 + "1]\n",
    ],
    ids=["one line", "lines", "keys", "lists"],
)
def test_one_endless_list(
    tmp_path: Path, text: str, events: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder, "MOST_NODES", 2_000)
    (only,) = told(tmp_path, text)
    assert only.found == "more than 200000 keys and values in the files of the case"
    assert events[0] < 3 * 2_000


def test_many_files_are_no_more_than_one(
    tmp_path: Path, events: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder, "MOST_NODES", 2_000)
    for i in range(100):
        (tmp_path / f"part-{i:03d}.yaml").write_text("other_allergens: [" + "a, " * 900 + "a]\n")
    assert any("more than 200000 keys" in f.found for f in load(tmp_path).findings)
    assert events[0] < 3 * 2_000
    monkeypatch.setattr(folder, "MOST_FILES", 99)
    assert [f.found for f in load(tmp_path).findings] == ["100 .yaml files"]


def more(section: str, lines: str) -> str:
    """The small case with more things in a section."""
    return SMALL.replace(f"{section}:\n", f"{section}:\n{lines}", 1)


def in_target(line: str) -> str:
    return SMALL.replace("    never: [{adult: mum, location: park}]", f"    {line}")


MANY = {
    "unknown keys": more("learners", "  x: {" + "".join(f"fre{i}: 1, " for i in range(9_000)) + "}\n"),
    "unknown ids": in_target("material_sets: [" + ", ".join(f"q{i}" for i in range(9_000)) + "]"),
    "broken times": SMALL.replace('"08:00-20:00"', "[" + ", ".join(f"{i}x" for i in range(9_000)) + "]"),
}


@pytest.mark.parametrize("text", MANY.values(), ids=MANY.keys())
def test_of_many_errors_no_more_are_looked_for_than_are_told(
    tmp_path: Path, text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted = counted(monkeypatch, diagnostics.Diagnostics, "mark")
    monkeypatch.setattr(diagnostics.Diagnostics, "mark", lambda self, path: noted(self, path))
    found = told(tmp_path, text)
    assert [f.found for f in found if not f.line] == ["more than 200 faults; the others are not told"]
    assert noted.calls == diagnostics.MOST_ERRORS


def test_a_hint_is_looked_for_among_a_bounded_number_of_words(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    monkeypatch.setattr(
        findings_module, "get_close_matches", lambda word, words, **_: asked.append(len(words)) or []
    )
    findings_module.nearest("s55555", [f"s{i}" for i in range(100_000)])
    findings_module.nearest("s555", [f"s{i}" for i in range(1_000)])
    assert asked == [1000, 1000]


EACH_CAN_BE_LOOKED_AT = {
    "targets": SMALL.replace("location: park}", "location: home}")
    + "".join(
        f"  t{i}: {{learner: wren, also_vary: {{w: [{', '.join(map(str, range(90)))}]}}}}\n"
        for i in range(60)
    ),
    "never": in_target("never: [" + "{adult: mum, location: park}, " * 3_000 + "{location: home}]"),
    "first": in_target("first: [" + "{location: park}, " * 3_000 + "{location: home}]"),
}


@pytest.mark.parametrize("text", EACH_CAN_BE_LOOKED_AT.values(), ids=EACH_CAN_BE_LOOKED_AT.keys())
def test_combinations_of_all_targets_are_counted_before_any_is_looked_at(
    tmp_path: Path, text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lint, "MOST_COMPARED", 5_000)
    looked = counted(monkeypatch, lint, "possible_at_any_age")
    found = [f for f in told(tmp_path, text) if f.severity is Severity.ERROR]
    assert [(f.file, f.key, f.expected) for f in found] == [("case.yaml", "targets", "at most 5000")]
    assert looked.calls == 0


def test_names_in_texts_are_compared_word_by_word(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A thousand children of different names and a thousand texts: not a million comparisons."""
    text = more("learners", "".join(f"  w{i}: {{name: Wren{i}}}\n" for i in range(1_000)))
    text += "".join(f"  t{i}: {{learner: w{i}, correct_when: Says Wren{i}}}\n" for i in range(1_000))
    holds = counted(monkeypatch, lint, "holds")
    assert any("the name of" in f.found and "Wren1" in f.found for f in told(tmp_path, text))
    assert holds.calls < 5_000


def test_children_of_one_name_and_texts_full_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = more("learners", "".join(f"  w{i}: {{name: Wren}}\n" for i in range(1_000)))
    text += "".join(f"  t{i}: {{learner: wren, correct_when: Says Wren}}\n" for i in range(1_000))
    holds = counted(monkeypatch, lint, "holds")
    found = told(tmp_path, text)
    assert "more than 500 warnings; the others are not told" in [f.found for f in found]
    assert load(tmp_path).case is not None
    assert holds.calls < 10_000


def test_thousands_of_changes_are_joined_once_for_each_thing(tmp_path: Path) -> None:
    lines = (
        f'  - {{away: mum, from: "2026-{1 + i % 12:02d}-01 {i % 24:02d}:{i // 24 % 60:02d}"}}\n'
        for i in range(3_000)
    )
    (tmp_path / "case.yaml").write_text(SMALL + "changes:\n" + "".join(lines), encoding="utf-8")
    case = load(tmp_path).case
    assert case is not None
    # 12 months and 24 times 60 minutes meet again after 1440 lines: the first 12 * 24 * … differ in month or minute
    assert len(case.adults["mum"].away) == len({(1 + i % 12, i % 24, i // 24 % 60) for i in range(3_000)})


ROW = "2026-11-20,16:30,zips,probe,mum,home,jackets,Zip it up,5,4,1,dad,4,fine\n"
HEAD = base("results").splitlines()[0] + "\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (HEAD + "\n" * 200_001, "200002 ends of lines"),
        (HEAD + "x\n" * 100_000, "more than 200 faults"),
        (HEAD + '"a" b\n' * 100_000, "goes on after its closing quote"),
        (HEAD + "".join(ROW.replace("zips", f"zip{i}") for i in range(1_000)), "more than 200 faults"),
        (",".join(["date", *(f"c{i}" for i in range(100_000))]) + "\n1\n", "100001 columns"),
        (HEAD + '"' + "x\n" * 100_000, "131,072 characters"),
    ],
    ids=["lines", "rows", "quotes", "targets", "columns", "an open quote"],
)
def test_a_results_file_ends_after_so_many_lines_or_faults(
    tmp_path: Path, text: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = whole_case(tmp_path)
    readers = counted(monkeypatch, row_by_itself, "read_counts")
    found = parse_results(text.encode(), case)[2]
    assert any(said in f.found for f in found)
    assert len(found) < 210
    assert readers.calls <= sheet_faults.MOST_FAULTS


def test_a_filled_sheet_ends_after_so_many_faults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    case = whole_case(tmp_path)
    (tmp_path / "f.csv").write_text(HEAD + "".join(ROW.replace("zips", f"zip{i}") for i in range(2_000)))
    read = counted(monkeypatch, filled_sheet, "read_row")
    with pytest.raises(CaseError, match="more than 200 faults"):
        filled_sheet.read_filled(tmp_path / "f.csv", case, Log())
    assert read.calls <= sheet_faults.MOST_FAULTS


def test_a_spreadsheet_is_cut_off_before_it_is_handed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book, out = openpyxl.Workbook(), io.BytesIO()
    for _ in range(60):
        book.active.append(["x" * 1_000, True, True, True])
    book.save(out)
    monkeypatch.setattr(spreadsheet, "MOST_CHARACTERS", 20_000)
    assert "more than 0 million characters" in spreadsheet.answer_for(out.getvalue())["problem"]
    monkeypatch.setattr(spreadsheet, "MOST_CHARACTERS", 5_000_000)
    monkeypatch.setattr(spreadsheet, "MOST_FAULTS", 5)
    assert len(spreadsheet.answer_for(out.getvalue())["findings"]) == 5


def calendar(*events: str) -> bytes:
    parts = (f"BEGIN:VEVENT\r\nUID:{i}\r\n{e}\r\nEND:VEVENT\r\n" for i, e in enumerate(events))
    return (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//\r\n" + "".join(parts) + "END:VCALENDAR\r\n"
    ).encode()


ZONES = b"BEGIN:VTIMEZONE\r\nEND:VTIMEZONE\r\n" * 6_000


def weekly(since: int) -> str:
    return f"DTSTART:{since}0106T090000Z\r\nDTEND:{since}0106T093000Z\r\nRRULE:FREQ=WEEKLY"


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (calendar(*[weekly(2020)] * 19_000), "19000 events, 19000 repetitions"),  # took 21 s
        (calendar("X:1\r\n" * 250_000 + weekly(2020)), "lines, 1 events"),
        (calendar(weekly(2020)).replace(b"BEGIN:VEVENT", ZONES + b"BEGIN:VEVENT"), "6000 time zones"),
    ],
    ids=["weekly events", "lines", "time zones"],
)
def test_a_calendar_is_refused_before_it_is_parsed(
    data: bytes, found: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    parsed = counted(monkeypatch, busy, "_parse")
    with pytest.raises(CalendarRefused, match=found):
        busy.busy_in(data, "mum.ics", DUBLIN, W49, [])
    assert parsed.calls == 0


def test_repetitions_of_all_calendars_in_a_file_count_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two thousand weekly events over six years: 2000 times 371 dates, in twenty calendars of a hundred."""
    expanded = counted(monkeypatch, busy.recurring_ical_events, "of")
    with pytest.raises(CalendarRefused, match="2000 events that run through 744000 dates up to 2026-W49"):
        busy.busy_in(calendar(*[weekly(2020)] * 100) * 20, "mum.ics", DUBLIN, W49, [])
    assert expanded.calls == 0


def test_what_happens_once_and_far_from_the_week_is_not_expanded(monkeypatch: pytest.MonkeyPatch) -> None:
    once = "DTSTART:20{0:02d}1201T090000Z\r\nDTEND:20{0:02d}1201T100000Z"
    days = [once.format(year) for year in range(100)]
    handed: list[int] = []
    true = busy.recurring_ical_events.of
    monkeypatch.setattr(
        busy.recurring_ical_events, "of", lambda c: handed.append(len(c.walk("VEVENT"))) or true(c)
    )
    stretches = busy.busy_in(calendar(*days), "mum.ics", DUBLIN, W49, [])
    assert [f"{a.start:%Y-%m-%d %H:%M}" for a in stretches] == ["2026-12-01 09:00"]
    assert handed == [1]


ONCE = "DTSTART:20250101T090000Z\r\nDTEND:20250101T100000Z"


@pytest.mark.parametrize(
    ("events", "days"),
    [
        ([f"{ONCE}\r\nRDATE:20261202T090000Z"], {2}),
        (["DTSTART:20250101T090000Z\r\nDURATION:P900D"], {30}),
        # the one instance of the first event, moved into the week
        ([ONCE, "DTSTART:20261205T090000Z\r\nDURATION:PT1H\r\nRECURRENCE-ID:20250101T090000Z"], {5}),
    ],
    ids=["a further date", "long", "moved"],
)
def test_what_seems_far_and_is_not_counts(events: list[str], days: set[int]) -> None:
    data = calendar(*events).replace(b"UID:1", b"UID:0")
    assert {a.start.day for a in busy.busy_in(data, "mum.ics", DUBLIN, W49, [])} == days


@pytest.mark.parametrize(
    "data",
    [
        calendar("BEGIN:VEVENT\r\n" * 5_000 + "END:VEVENT\r\n" * 4_999 + "END:VEVENT"),  # 5,001 warnings
        pytest.param(calendar(*["X:1"] * 5_000), marks=pytest.mark.nightly),
    ],
    ids=["nested", "without a start"],
)
def test_the_same_fault_of_many_events_is_one_warning(data: bytes) -> None:
    found: list[Finding] = []
    busy.busy_in(data, "mum.ics", DUBLIN, W49, found)
    assert [(f.found.partition(" (")[0], f.severity) for f in found] == [
        ("an event without a start", Severity.WARNING)
    ]
    assert "more)" in found[0].found


def test_different_faults_of_many_events_are_counted() -> None:
    zones = (
        f"DTSTART;TZID=Nowhere{i}:20261201T090000\r\nDTEND;TZID=Nowhere{i}:20261201T093000"
        for i in range(200)
    )
    found: list[Finding] = []
    busy.busy_in(calendar(*zones), "mum.ics", DUBLIN, W49, found)
    assert len(found) == busy.MOST_TOLD + 1
    assert found[-1].found == "150 more findings"


def test_a_plan_or_kept_week_of_any_size_is_not_read_whole(tmp_path: Path) -> None:
    from genplan.keeping.store import MOST_BYTES, read_kept

    case = whole_case(tmp_path)
    week = tmp_path / "weeks" / str(W49)
    week.mkdir(parents=True)
    (week / "told.json").write_bytes(b'{"x": [' + b"{}," * (MOST_BYTES // 3) + b"{}]}")
    with pytest.raises(FileError, match="larger than 10 MB"):
        read_kept(tmp_path, W49, case)
