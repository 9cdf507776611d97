"""Filled sheets: read whole or refused with the line and the reason, never misread."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, datetime, time
from pathlib import Path

import pytest

from genplan.errors import CaseError, FileError, UsageError
from genplan.evidence.append_rows import append_results
from genplan.evidence.filled_sheet import MOST_BYTES, FilledSheet, read_filled
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.planned_probes import not_recorded, read_planned
from genplan.evidence.results import read_results
from tests.fixtures.evidence_case import CASE, HEADER, write
from tests.fixtures.places import ROOT

PLAN = "week,sitting,learner,target,kind,adult,location,material_set,wording,start,end,trials"
ASKS = (
    "2026-W49,s1,wren,asks,new,mum,home,coats,Zip it up,2026-12-01T15:30:00+00:00,2026-12-01T15:50:00+00:00,5"
)
ZIPS = "2026-W49,s1,wren,zips,maintenance,dad,park,jackets,,2026-12-01T15:30:00+00:00,2026-12-01T15:50:00+00:00,5"
MORE = "correct,prompted,note,not_run_because"


def sheet(folder: Path, *lines: str, name: str = "filled.csv", data: bytes | None = None) -> FilledSheet:
    (folder / name).write_bytes(data if data is not None else ("\n".join(lines) + "\n").encode())
    return read_filled(folder / name, CASE, read_results(folder, CASE)[0])


def refused(folder: Path, *lines: str) -> list[str]:
    with pytest.raises(CaseError) as error:
        sheet(folder, *lines)
    return [f"{f.file}:{f.line}:{f.key}" for f in error.value.findings]


def test_a_plan_filled_in(tmp_path: Path) -> None:
    found = sheet(tmp_path, f"{PLAN},{MORE}", f"{ASKS},4,1,,", f"{ZIPS},,,,")
    assert found.empty == (3,)
    results, _ = append_results(tmp_path, CASE, found.rows)
    row = results[0]
    assert (row.target, row.kind, row.date, row.time) == (
        "asks",
        ResultKind.PROBE,
        date(2026, 12, 1),
        time(15, 30),
    )
    assert (row.correct, row.trials, row.prompted, row.combination[3]) == (4, 5, 1, "Zip it up")


@pytest.mark.parametrize("text", ["4 of 5", "4/5", "4 von 5", " 4 OF 5", "4of5"])
def test_so_many_of_so_many_is_a_count_with_its_trials(tmp_path: Path, text: str) -> None:
    """A plan says the trials, a table of results may leave them out."""
    found = sheet(tmp_path, f"{PLAN},{MORE}", f"{ASKS},{text},1 of 5,,")
    table = "date,target,kind,adult,location,material_set,trials,correct"
    more = sheet(tmp_path, table, f"2026-12-02,zips,probe,dad,park,jackets,,{text}")
    rows, _ = append_results(tmp_path, CASE, (*found.rows, *more.rows))
    assert [(r.correct, r.trials, r.prompted) for r in rows] == [(4, 5, 1), (4, 5, None)]


@pytest.mark.parametrize(("cells", "key"), [("4 of 4,,,", "correct"), ("5,4/6,,", "prompted")])
def test_so_many_of_other_trials_than_the_row_has_is_refused(tmp_path: Path, cells: str, key: str) -> None:
    with pytest.raises(CaseError) as error:
        sheet(tmp_path, f"{PLAN},{MORE}", f"{ASKS},{cells}")
    (finding,) = error.value.findings
    text = cells.split(",")[key == "prompted"]
    assert (finding.line, finding.key, finding.found) == (2, key, f"found '{text}' in a row of 5 trials")
    assert finding.expected == "a number of these 5, or another number under 'trials'"


@pytest.mark.parametrize("text", ["4 to 5", "5 of 4", "4 of", "0/0", "4-5", "4 bis 5", "4.5"])
def test_what_is_no_share_of_trials_is_no_count(tmp_path: Path, text: str) -> None:
    assert refused(tmp_path, f"{PLAN},{MORE}", f"{ASKS},{text},,,") == ["filled.csv:2:correct"]


def test_a_reason_makes_it_not_run(tmp_path: Path) -> None:
    found = sheet(tmp_path, f"{PLAN},{MORE}", f"{ZIPS},,,later,ill")
    row = append_results(tmp_path, CASE, found.rows)[0][0]
    assert (row.kind, row.trials, row.correct, row.note) == (ResultKind.NOT_RUN, None, None, "ill; later")


@pytest.mark.parametrize("kind", ["not run", "nicht durchgeführt", "Nicht  durchgeführt", "not done"])
def test_what_was_not_run_is_understood_in_every_language_and_kept_in_english(
    tmp_path: Path, kind: str
) -> None:
    planned = ZIPS.replace(",maintenance,", f",{kind},")
    found = sheet(tmp_path, f"{PLAN},{MORE}", f"{planned},,,krank,")
    row = append_results(tmp_path, CASE, found.rows)[0][0]
    assert (row.kind, row.trials, row.note) == (ResultKind.NOT_RUN, None, "krank")
    assert ",not run," in (tmp_path / "results.csv").read_text("utf-8")


def test_the_local_day_of_a_start_with_an_offset_counts(tmp_path: Path) -> None:
    # 23:30 UTC on 1 July is half past midnight on 2 July in Dublin
    late = ZIPS.replace("2026-12-01T15:30:00+00:00", "2026-07-01T23:30:00+00:00")
    found = sheet(tmp_path, f"{PLAN},{MORE}", f"{late},5,,,")
    assert (found.rows[0]["date"], found.rows[0]["time"]) == ("2026-07-02", "00:30")


def test_a_sheet_handed_in_twice_adds_nothing(tmp_path: Path) -> None:
    lines = (f"{PLAN},{MORE}", f"{ASKS},4,1,,", f"{ZIPS},3,,,")
    append_results(tmp_path, CASE, sheet(tmp_path, *lines).rows)
    again = sheet(tmp_path, *lines)
    assert (again.rows, again.known) == ((), ((2, 2), (3, 3)))


def test_a_row_more_than_is_known_is_added(tmp_path: Path) -> None:
    row = "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,dad,4,"
    write(tmp_path, row)
    found = sheet(tmp_path, HEADER, row, row)
    assert (len(found.rows), found.known) == (1, ((2, 2),))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_what_spreadsheets_write(tmp_path: Path, delimiter: str, bom: bytes) -> None:
    text = "\r\n".join([HEADER, "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,dad,4,ok", ""])
    found = sheet(tmp_path, data=bom + text.replace(",", delimiter).encode())
    assert found.rows[0]["correct"] == "4"


BAD = [
    (f"{ZIPS},6,,,".replace(",5,6", ",5,6"), "filled.csv:2:correct"),
    (f"{ZIPS},four,,,", "filled.csv:2:correct"),
    (f'{ZIPS},"4,0",,,', "filled.csv:2:correct"),
    (f"{ZIPS},4.0,,,", "filled.csv:2:correct"),
    (f"{ZIPS},,,hm,", "filled.csv:2:correct"),
    (f"{ZIPS},3,,,ill", "filled.csv:2:correct"),
    (f"{ZIPS.replace('2026-12-01T15:30:00+00:00', '01/12/2026 15:30')},3,,,", "filled.csv:2:start"),
    (f"{ZIPS.replace('maintenance', 'old')},3,,,", "filled.csv:2:kind"),
    (f"{ZIPS.replace('zips', 'zip')},3,,,", "filled.csv:2:target"),
    (f"{ZIPS.replace('dad', 'Dad')},3,,,", "filled.csv:2:adult"),
    (f"{ZIPS},3,,", "filled.csv:2:"),
    (f"{ASKS.replace('Zip it up', 'Zip')},3,,,", "filled.csv:2:wording"),
]


@pytest.mark.parametrize(("line", "where"), BAD)
def test_what_cannot_be_read_is_refused_by_its_line(tmp_path: Path, line: str, where: str) -> None:
    write(tmp_path, "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,dad,4,")
    before = (tmp_path / "results.csv").read_bytes()
    assert where in refused(tmp_path, f"{PLAN},{MORE}", line, f"{ASKS},4,1,,")
    assert (tmp_path / "results.csv").read_bytes() == before


def test_a_start_that_cannot_be_read_is_told_once(tmp_path: Path) -> None:
    """It is where the date comes from, and that is not said to be missing as well."""
    line = ZIPS.replace("2026-12-01T15:30:00+00:00", "01/12/2026 15:30")
    assert refused(tmp_path, f"{PLAN},{MORE}", f"{line},3,,,") == ["filled.csv:2:start"]


def test_each_fault_of_a_row_is_told(tmp_path: Path) -> None:
    """A count beside a reason for not running it, and a date in another form."""
    row = "01/12/2026,,zips,probe,mum,home,coats,,3,,,,,ill"
    found = refused(tmp_path, f"{HEADER},not_run_because", row)
    assert set(found) == {"filled.csv:2:correct", "filled.csv:2:date"}


@pytest.mark.parametrize(
    "day", ["01/12/2026", "01-12-2026", "1/12", "3/4/26", "3.4.26", "3 Dec 26", "31.2.", "Thursday", ""]
)
def test_dates_are_never_guessed(tmp_path: Path, day: str) -> None:
    assert refused(tmp_path, HEADER, f"{day},,zips,probe,mum,home,coats,5,4,,,,") == ["filled.csv:2:date"]


@pytest.mark.parametrize(
    ("day", "meant"),
    [
        ("1.12.2026", date(2026, 12, 1)),
        ("01.12.2026 00:00", date(2026, 12, 1)),
        ("1 December 2026", date(2026, 12, 1)),
        ("1. Dezember 2026", date(2026, 12, 1)),
        ("1.12.", date(2026, 12, 1)),
        ("3.12.", None),  # still ahead: this year or the last?
        ("4.6.", date(2026, 6, 4)),
        ("29.2.", None),
        ("1 Dec", date(2026, 12, 1)),
        ("26-Nov", date(2026, 11, 26)),
        ("Dec 1", date(2026, 12, 1)),
        ("Nov-26", None),  # spreadsheets make this of November 2026
        ("Nov 26", None),
        ("Nov. '26", None),
        ("Dez 26", None),
    ],
)
def test_days_as_people_write_them(tmp_path: Path, day: str, meant: date | None) -> None:
    """Without a year the last such day until today; how a day was read is said where it does not say it itself."""
    row = f"{day},,zips,probe,mum,home,coats,5,4,,,,"
    (tmp_path / "filled.csv").write_text(f"{HEADER}\n{row}\n", "utf-8")
    if meant is None:
        with pytest.raises(CaseError):
            read_filled(tmp_path / "filled.csv", CASE, Log(), date(2026, 12, 2))
        return
    found = read_filled(tmp_path / "filled.csv", CASE, Log(), date(2026, 12, 2))
    assert found.rows[0]["date"] == meant.isoformat()
    told = [f.found for f in found.warnings]
    assert all(f"read as {meant}" in sentence for sentence in told)
    assert bool(told) == (day not in ("1 December 2026", "1. Dezember 2026"))


def test_a_row_that_counts_is_a_probe_where_its_kind_is_empty_and_that_is_said(tmp_path: Path) -> None:
    rows = ("2026-12-01,,zips,,mum,home,coats,5,4,,,,", "2026-12-01,10:00,zips,,dad,park,coats,,4/5,,,,")
    found = sheet(tmp_path, HEADER, *rows)
    assert [(row["kind"], row["trials"]) for row in found.rows] == [("probe", "5"), ("probe", "5")]
    (warning,) = found.warnings
    assert (warning.line, warning.key) == (2, "kind")
    assert "in 2 rows that count something (this is the first), each read as a probe" in warning.found


@pytest.mark.parametrize(
    ("columns", "row"),
    [
        ("", "2026-12-01,,zips,,mum,home,coats,,,,,,tired"),
        (",done", "2026-12-01,,zips,,mum,home,coats,5,4,,,,,yes"),
    ],
)
def test_a_row_without_a_kind_that_may_be_of_another_is_refused(
    tmp_path: Path, columns: str, row: str
) -> None:
    """One with a note alone; one with the tick of a teaching."""
    assert "filled.csv:2:kind" in refused(tmp_path, HEADER + columns, row)


def test_files_that_are_no_sheet(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="could not be read"):
        read_filled(tmp_path / "none.csv", CASE, Log())
    with pytest.raises(FileError, match="larger than 5 MB"):
        sheet(tmp_path, data=b"x" * (MOST_BYTES + 1))
    with pytest.raises(FileError, match="cannot be read as a spreadsheet"):
        sheet(tmp_path, "hello", name="filled.xlsx")
    for data in (b"", b"\xff\xfed\x00", b"a,b\n1,2\n", b"date\x00,target\n"):
        with pytest.raises(CaseError):
            sheet(tmp_path, data=data)
    # the bytes that every zip file begins with, as .xlsx and .ods are (PKWARE's APPNOTE, 4.3.7)
    assert refused(tmp_path, "PK\x03\x04 and so on") == ["filled.csv:1:"]
    without_day = HEADER.replace("date,time,", "")
    assert "filled.csv:1:header" in refused(tmp_path, without_day, "zips,probe,mum,home,coats,5,4,1,dad,4,")


def workbook(path: Path, *rows: list[object], second: bool = False) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    if second:
        book.create_sheet("other")
    book.save(path)


def test_a_spreadsheet_file_with_dates_of_its_own(tmp_path: Path) -> None:
    rows = [
        date(2026, 11, 20),
        time(16, 30),
        "zips",
        "probe",
        "mum",
        "home",
        "coats",
        5,
        4,
        None,
        "",
        None,
        "a\nb",
    ]
    workbook(tmp_path / "f.xlsx", HEADER.split(","), rows, second=True)
    found = read_filled(tmp_path / "f.xlsx", CASE, Log())
    row = append_results(tmp_path, CASE, found.rows)[0][0]
    assert (row.date, row.time, row.trials, row.correct, row.note) == (
        date(2026, 11, 20), time(16, 30), 5, 4, "a b",
    )  # fmt: skip
    assert "only the first sheet" in found.warnings[0].found


@pytest.mark.parametrize(
    ("cell", "where"),
    [(4.5, "correct"), (True, "column 9"), ("=2+2", "correct"), (date(2026, 4, 5), "correct")],
)
def test_cells_of_a_spreadsheet_that_are_no_count(tmp_path: Path, cell: object, where: str) -> None:
    rows = [date(2026, 11, 20), None, "zips", "probe", "mum", "home", "coats", 5, cell, None, "x", None, ""]
    workbook(tmp_path / "f.xlsx", HEADER.split(","), rows)
    with pytest.raises(CaseError) as error:
        read_filled(tmp_path / "f.xlsx", CASE, Log())
    found = {(f.line, f.key): f for f in error.value.findings}
    assert ("probably typed as 4/5" in found[2, where].sentence()) == isinstance(cell, date)


def test_without_the_extra_library_a_sentence_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    with pytest.raises(UsageError, match=r"genplan\[excel\]"):
        sheet(tmp_path, "x", name="f.ods")


def test_what_is_planned_and_not_written_down(tmp_path: Path) -> None:
    (tmp_path / "plan.csv").write_text("\n".join([PLAN, ASKS, ZIPS, ""]))
    probes = read_planned(tmp_path / "plan.csv", CASE)
    assert [(p.target, p.kind, p.trials) for p in probes] == [
        ("asks", ResultKind.PROBE, 5),
        ("zips", ResultKind.MAINTENANCE, 5),
    ]
    day = date(2026, 12, 1)
    assert not_recorded(probes, Log(), date(2026, 12, 2)) == ()
    write(tmp_path, "2026-12-01,16:30,zips,not run,dad,park,jackets,,,,,,ill")
    log, _ = read_results(tmp_path, CASE, datetime(2026, 12, 2))
    assert [p.target for p in not_recorded(probes, log, day)] == ["asks"]


def test_a_plan_that_does_not_fit_the_case_is_refused_with_every_line(tmp_path: Path) -> None:
    (tmp_path / "plan.csv").write_text(
        "\n".join([PLAN, ASKS.replace("mum", "uncle"), ZIPS.replace("new", "x"), ""])
    )
    with pytest.raises(CaseError, match=r"plan.csv:2: adult: found 'uncle'"):
        read_planned(tmp_path / "plan.csv", CASE)
    with pytest.raises(FileError):
        read_planned(tmp_path / "none.csv", CASE)


PROGRAM = """
import sys
from pathlib import Path
from genplan import files
from tests.fixtures.evidence_case import CASE
from genplan.evidence.filled_sheet import read_filled
from genplan.evidence.log import Log
from genplan.evidence.append_rows import append_results
files.LOCK_SECONDS = 60
append_results(Path(sys.argv[1]), CASE, read_filled(Path(sys.argv[2]), CASE, Log()).rows)
"""


def test_sheets_handed_in_at_once_lose_nothing(tmp_path: Path) -> None:
    started = []
    for day in range(1, 5):
        rows = [f"2026-11-{day:02d},1{i}:00,zips,probe,mum,home,coats,5,{i % 5},,,," for i in range(10)]
        (tmp_path / f"{day}.csv").write_text("\n".join([HEADER, *rows, ""]))
        words = [sys.executable, "-c", PROGRAM, str(tmp_path), str(tmp_path / f"{day}.csv")]
        started.append(subprocess.Popen(words, cwd=ROOT))
    assert [p.wait(timeout=120) for p in started] == [0] * 4
    log, findings = read_results(tmp_path, CASE)
    assert (len(log.results), findings) == (40, ())


def test_a_sheet_as_windows_writes_it_is_read_and_that_is_said(tmp_path: Path) -> None:
    row = "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,,,müde"
    (tmp_path / "filled.csv").write_bytes(f"{HEADER}\r\n{row}\r\n".encode("cp1252"))
    found = read_filled(tmp_path / "filled.csv", CASE, Log())
    assert [r["note"] for r in found.rows] == ["müde"]
    assert any("read as Windows-1252: 'müde'" in f.found for f in found.warnings)
    (tmp_path / "filled.csv").write_bytes(f"{HEADER}\n{row}\n".encode())
    assert read_filled(tmp_path / "filled.csv", CASE, Log()).warnings == ()
