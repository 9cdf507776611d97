"""results.csv as people and spreadsheets write it: what is read, what is refused and in which words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest

from genplan.errors import FileError
from genplan.evidence.agreement import agreement
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.procedure import procedure_kept
from genplan.evidence.results import parse_results, read_results
from genplan.findings import Finding, Severity
from tests.fixtures.evidence_case import CASE, HEADER, append_result, write

ROW = "2026-11-20,16:30,zips,probe,mum,home,coats,5,4,1,ann,4,cheerful"
NOW = datetime(2026, 11, 29, 12)


def findings(
    folder: Path, *rows: str, header: str = HEADER, now: datetime | None = NOW
) -> tuple[Finding, ...]:
    return read_results(write(folder, *rows, header=header), CASE, now)[1]


def cells(**changes: str) -> str:
    """The good row with changed cells."""
    row = dict(zip(HEADER.split(","), ROW.split(","), strict=True))
    return ",".join({**row, **changes}.values())


def test_no_file_is_an_empty_log(tmp_path: Path) -> None:
    assert read_results(tmp_path, CASE) == (Log(), ())


@pytest.mark.parametrize("data", [b"", b"\n\n", b"\xef\xbb\xbf", b"\xef\xbb\xbf\r\n"])
def test_an_empty_file_is_an_empty_log(data: bytes) -> None:
    assert parse_results(data, CASE)[1:] == (Log(), ())


def test_a_row_becomes_a_result(tmp_path: Path) -> None:
    log, found = read_results(write(tmp_path, ROW), CASE, NOW)
    expected = Result(
        line=2,
        date=date(2026, 11, 20),
        time=time(16, 30),
        target="zips",
        kind=ResultKind.PROBE,
        combination=("mum", "home", "coats"),
        trials=5,
        correct=4,
        prompted=1,
        observer="ann",
        observer_correct=4,
        note="cheerful",
    )
    assert (log.results, found) == ((expected,), ())


def test_the_header_may_be_in_any_order_and_leave_out_what_is_optional(tmp_path: Path) -> None:
    header = "correct,trials,material_set,location,adult,kind,target,date"
    log, found = read_results(
        write(tmp_path, "4,5,coats,home,mum,probe,zips,2026-11-20", header=header), CASE
    )
    assert found == ()
    assert log.results[0].combination == ("mum", "home", "coats")


def test_an_extra_dimension_has_a_column_of_its_own(tmp_path: Path) -> None:
    rows = ["Zip it up,2026-11-20,asks,probe,mum,home,coats,5,4", ",2026-11-20,zips,probe,mum,home,coats,5,4"]
    header = "wording,date,target,kind,adult,location,material_set,trials,correct"
    log, found = read_results(write(tmp_path, *rows, header=header), CASE)
    assert found == ()
    assert [r.combination for r in log.results] == [
        ("mum", "home", "coats", "Zip it up"),
        ("mum", "home", "coats"),
    ]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_forms_that_spreadsheets_write(end: str, bom: bytes, delimiter: str) -> None:
    text = end.join([HEADER, ROW, "", ROW.replace("mum", "grandad"), ",,,,,,,,,,,,"]).replace(",", delimiter)
    _, log, found = parse_results(bom + text.encode(), CASE, NOW)
    assert found == ()
    assert [(r.line, r.combination[0]) for r in log.results] == [(2, "mum"), (4, "grandad")]


def test_a_note_may_hold_quotes_commas_and_line_breaks_and_lines_still_count(tmp_path: Path) -> None:
    rows = [cells(note='"said ""no"",\nthen\nwalked away"'), cells(date="2026-11-21"), cells(date="soon")]
    log, found = read_results(write(tmp_path, *rows), CASE, NOW)
    assert log.results[0].note == 'said "no",\nthen\nwalked away'
    assert [r.line for r in log.results] == [2, 5]
    assert [f.line for f in found] == [6]


def test_a_defused_cell_is_read_as_it_was_meant(tmp_path: Path) -> None:
    notes = ["'=1+1", "'+353", "'-", "'@home", "''=x", "'tis", "a=b"]
    log, found = read_results(
        write(tmp_path, *(cells(note=n, time=f"1{i}:00") for i, n in enumerate(notes))), CASE
    )
    assert found == ()
    assert [r.note for r in log.results] == ["=1+1", "+353", "-", "@home", "'=x", "'tis", "a=b"]


def test_rows_are_in_order_of_time_and_lines_stay(tmp_path: Path) -> None:
    rows = [cells(date="2026-11-22"), cells(time="17:00"), cells(time=""), cells()]
    log, _ = read_results(write(tmp_path, *rows), CASE)
    assert [r.line for r in log.results] == [4, 5, 3, 2]


@pytest.mark.parametrize(
    ("changes", "key", "found", "hint"),
    [
        ({"date": "03/12/2026"}, "date", "found '03/12/2026'", "a spreadsheet may have changed it"),
        ({"date": "2026-11-31"}, "date", "'2026-11-31' is not a day of the calendar", ""),
        ({"date": "3/12/26"}, "date", "found '3/12/26'", ""),
        ({"date": "0001-01-01"}, "date", "the year 0001", ""),
        ({"date": "9999-12-31"}, "date", "the year 9999", ""),
        ({"date": "٢٠٢٦-11-20"}, "date", "found", ""),
        ({"date": ""}, "date", "found an empty cell", ""),
        ({"time": "9.30"}, "time", "found '9.30'", "which came first decides"),
        ({"time": "13:30 pm"}, "time", "found '13:30 pm'", ""),
        ({"time": "24:00"}, "time", "found '24:00'", ""),
        ({"time": "4 pm"}, "time", "found '4 pm'", ""),
        ({"kind": "Probe"}, "kind", "found 'Probe'", "did you mean 'probe'?"),
        ({"kind": "maintainance"}, "kind", "found 'maintainance'", "did you mean 'maintenance'?"),
        ({"kind": ""}, "kind", "found an empty cell", ""),
        ({"target": "zip"}, "target", "found 'zip'", "did you mean 'zips'?"),
        ({"adult": "granddad"}, "adult", "found 'granddad'", "did you mean 'grandad'?"),
        ({"location": "hom"}, "location", "found 'hom'", "did you mean 'home'?"),
        ({"location": ""}, "location", "found an empty cell", ""),
        ({"material_set": "xyz"}, "material_set", "found 'xyz'", "correct the row; a set of the past stays"),
        ({"trials": "5.0"}, "trials", "found '5.0'", ""),
        ({"trials": "five"}, "trials", "found 'five'", ""),
        ({"trials": "-5"}, "trials", "found '-5'", ""),
        ({"trials": "9" * 5000}, "trials", "found '999", ""),
        ({"trials": "0", "correct": "0", "prompted": "", "observer_correct": ""}, "trials", "found 0", ""),
        (
            {"trials": "", "correct": "", "prompted": "", "observer_correct": ""},
            "trials",
            "an empty cell",
            "",
        ),
        ({"correct": ""}, "correct", "an empty cell", ""),
        ({"correct": "6", "prompted": ""}, "correct", "found 6 of 5 trials", ""),
        ({"prompted": "6"}, "prompted", "found 6 of 5 trials", ""),
        ({"prompted": "2"}, "prompted", "4 correct and 2 prompted of 5 trials", "without help"),
        ({"observer_correct": "6"}, "observer_correct", "found 6 of 5 trials", ""),
        ({"note": "bell\a"}, "note", "a control character (U+0007)", ""),
        ({"note": "nul\0"}, "note", "a control character (U+0000)", ""),
    ],
)
def test_a_cell_that_cannot_be_read(
    tmp_path: Path, changes: dict[str, str], key: str, found: str, hint: str
) -> None:
    first = next(f for f in findings(tmp_path, ROW, cells(**changes)) if f.key == key)
    assert (first.file, first.line, first.severity) == ("results.csv", 3, Severity.ERROR)
    assert first.found.startswith(found)
    assert hint in first.hint


@pytest.mark.parametrize(
    "changes",
    [
        {"time": "00:00"},
        {"correct": "5", "prompted": "0"},
        {"correct": "0", "prompted": "5"},
        {"correct": "4", "prompted": "1"},
        {"observer_correct": "5"},
        {"trials": "9999"},
        {"kind": "maintenance"},
        {"kind": "teaching"},
        {"kind": "teaching", "trials": "", "correct": "", "prompted": "", "observer_correct": ""},
        {
            "kind": "not run",
            "trials": "",
            "correct": "",
            "prompted": "",
            "observer_correct": "",
            "note": "asleep",
        },
        {"adult": " mum "},
    ],
)
def test_a_near_miss_is_read(tmp_path: Path, changes: dict[str, str]) -> None:
    assert findings(tmp_path, cells(**changes)) == ()


def test_what_was_not_run_has_no_counts(tmp_path: Path) -> None:
    found = findings(tmp_path, cells(kind="not run", note="asleep"))
    assert [f.key for f in found] == ["correct", "observer_correct", "prompted", "trials"]
    assert all(f.severity is Severity.ERROR for f in found)


def test_counts_need_trials_beside_them(tmp_path: Path) -> None:
    found = findings(tmp_path, cells(kind="teaching", trials="", prompted="", observer_correct=""))
    assert [(f.key, f.found) for f in found] == [("correct", "found 4 without trials")]


@pytest.mark.parametrize(
    ("wording", "words"), [("Zip it upp", "did you mean 'Zip it up'?"), ("", "correct the row")]
)
def test_an_unknown_value_of_an_extra_dimension(tmp_path: Path, wording: str, words: str) -> None:
    row = f"2026-11-20,,asks,probe,mum,home,coats,5,4,,,,,{wording}"
    (found,) = findings(tmp_path, row, header=HEADER + ",wording")
    assert (found.line, found.key) == (2, "wording")
    assert words in found.hint


def test_a_value_of_a_dimension_that_the_target_does_not_vary(tmp_path: Path) -> None:
    (found,) = findings(tmp_path, ROW + ",Zip it up", header=HEADER + ",wording")
    assert found.expected == "an empty cell: 'zips' does not vary wording"


def test_all_problems_are_found_at_once(tmp_path: Path) -> None:
    rows = [cells(date="soon", adult="mun"), ROW, cells(trials="x"), "too,short"]
    log, found = read_results(write(tmp_path, *rows), CASE, NOW)
    assert [(f.line, f.key) for f in found] == [(2, "adult"), (2, "date"), (4, "trials"), (5, "")]
    assert [r.line for r in log.results] == [3]


@pytest.mark.parametrize(
    ("header", "key", "found", "hint"),
    [
        (HEADER.replace("note", "notes"), "notes", "unknown column 'notes'", "did you mean 'note'?"),
        (HEADER.replace("note", "date"), "header", "column 'date' is there twice", ""),
        (HEADER.replace("trials", "prompted2"), "header", "no column 'trials'", ""),
        (HEADER.replace("note", "no\0te"), "header", "column 13 has a control character in its name", ""),
    ],
)
def test_a_header_that_cannot_be_used(tmp_path: Path, header: str, key: str, found: str, hint: str) -> None:
    problems = findings(tmp_path, ROW, header=header)
    match = next(f for f in problems if f.key == key)
    assert match.line == 1
    assert match.found == found
    assert hint in match.hint


def test_no_header_at_all(tmp_path: Path) -> None:
    write(tmp_path, header=ROW)
    found = read_results(tmp_path, CASE)[1]
    assert any("without the name of a column" in f.found for f in found)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (ROW + ",x", "a cell behind those of the header or in a column without a name: 'x'"),
        (ROW.removesuffix(",cheerful"), "12 cells"),
        (ROW.replace("cheerful", '"cheerful" indeed'), "goes on after its closing quote"),
        (ROW.replace("cheerful", '"never closed'), "never closed"),
        (ROW.replace("cheerful", "x" * 140_000), "131,072"),
        (ROW.replace("cheerful", '"' + "x" * 140_000 + '"'), "131,072"),
    ],
)
def test_a_row_of_the_wrong_form(tmp_path: Path, row: str, words: str) -> None:
    found = findings(tmp_path, ROW, row)
    assert [f.line for f in found] == [3]
    assert words in found[0].found


def test_rows_after_a_broken_one_are_still_read(tmp_path: Path) -> None:
    log, found = read_results(write(tmp_path, ROW.replace("cheerful", '"a" b'), ROW), CASE, NOW)
    assert [f.line for f in found] == [2]
    assert [r.line for r in log.results] == [3]


def test_text_that_is_not_utf8(tmp_path: Path) -> None:
    data = "\n".join([HEADER, ROW, ROW.replace("cheerful", "très gai")]).encode("latin-1")
    (tmp_path / "results.csv").write_bytes(data)
    (found,) = [f for f in read_results(tmp_path, CASE)[1] if "UTF-8" in f.expected]
    assert found.line == 3
    assert found.found == "a character that is not UTF-8 (byte 0xe8 behind 'coats,5,4,1,ann,4,tr')"
    assert found.hint == "save the file again as 'CSV UTF-8'"


def test_utf16_is_named() -> None:
    _, log, found = parse_results(f"{HEADER}\n{ROW}\n".encode("utf-16"), CASE)
    assert log == Log()
    assert [f.found for f in found] == ["found text in the encoding UTF-16 or UTF-32"]


def test_a_folder_in_the_place_of_the_file(tmp_path: Path) -> None:
    (tmp_path / "results.csv").mkdir()
    with pytest.raises(FileError, match=r"results\.csv could not be read"):
        read_results(tmp_path, CASE)


def test_warnings_leave_the_row_in_the_log(tmp_path: Path) -> None:
    rows = [
        cells(date="2026-11-30"),
        cells(date="2026-11-29", time="12:01"),
        cells(date="2026-11-29", time="12:00"),
        ROW,
        ROW,
        cells(material_set="fleece"),
        cells(kind="not run", trials="", correct="", prompted="", observer_correct="", note=""),
    ]
    log, found = read_results(write(tmp_path, *rows), CASE, NOW)
    assert len(log.results) == 7
    assert {f.severity for f in found} == {Severity.WARNING}
    assert [(f.line, f.found) for f in found] == [
        (2, "2026-11-30 16:30 is still ahead"),
        (3, "2026-11-29 12:01 is still ahead"),
        (6, "the same as line 5"),
        (7, "this combination is not possible: 'zips' does not vary material set 'fleece'"),
        (8, "an empty cell"),
    ]


def test_now_may_be_aware_and_is_then_seen_from_the_cases_zone(tmp_path: Path) -> None:
    """Dublin has UTC in winter and UTC+1 in summer: 15 July 12:00Z is 13:00 there."""
    row = cells(date="2026-07-15", time="12:59")
    assert findings(tmp_path, row, now=datetime(2026, 7, 15, 12, tzinfo=UTC)) == ()
    row = cells(date="2026-07-15", time="13:01")
    assert len(findings(tmp_path, row, now=datetime(2026, 7, 15, 12, tzinfo=UTC))) == 1


def test_a_combination_that_the_case_rules_out_is_a_warning(tmp_path: Path) -> None:
    adults = {**CASE.adults, "mum": replace(CASE.adults["mum"], locations=frozenset({"park"}))}
    (found,) = read_results(write(tmp_path, ROW), replace(CASE, adults=adults))[1]
    assert (found.line, found.severity) == (2, Severity.WARNING)
    assert found.found == "this combination is not possible: Mum does not go to Home"


def test_a_set_was_barred_only_while_the_child_was_too_young(tmp_path: Path) -> None:
    """Born in April 2021, so 36 months old by 1 May 2024: the day of the row decides."""
    sets = {**CASE.material_sets, "coats": replace(CASE.material_sets["coats"], small_parts=True)}
    rows = [cells(date="2024-04-29"), cells(date="2024-05-01")]
    found = read_results(write(tmp_path, *rows), replace(CASE, material_sets=sets))[1]
    assert [f.line for f in found] == [2]
    assert "small part" in found[0].found


def test_a_note_stays_as_it_was_written_and_names_are_compared_in_one_form(tmp_path: Path) -> None:
    """A no-break space: in a note it stays, in a name that is compared it is a space."""
    assert (
        findings(
            tmp_path,
            cells(
                kind="not\u00a0run",
                trials="",
                correct="",
                prompted="",
                observer="",
                observer_correct="",
                note="5\u00a0min late",
            ),
        )
        == ()
    )
    (result,) = read_results(tmp_path, CASE, NOW)[0].results
    assert result.kind is ResultKind.NOT_RUN
    assert result.note == "5\u00a0min late"


def test_of_many_lines_that_are_not_utf8_the_first_are_told_and_the_rest_counted(tmp_path: Path) -> None:
    (tmp_path / "results.csv").write_bytes(HEADER.encode() + b"\n" + b"\xff\n" * 100)
    told = [f for f in read_results(tmp_path, CASE, NOW)[1] if "not UTF-8" in f.found]
    # lines 2, 3 and 4 in one, and from line 5 on the other 97
    assert [f.line for f in told] == [2, 5]
    assert told[0].found.endswith("(also on line 3, 4)")
    assert told[-1].found == "97 more lines from here on with bytes that are not UTF-8"


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("9:10", "09:10"),
        ("16:10:00", "16:10"),
        ("4:10 pm", "16:10"),
        ("12:05 AM", "00:05"),
        ("12:05 p.m.", "12:05"),
        ("0:00", "00:00"),
    ],
)
def test_a_time_as_a_spreadsheet_writes_it(tmp_path: Path, written: str, read: str) -> None:
    log, found = read_results(write(tmp_path, cells(time=written)), CASE, NOW)
    assert found == ()
    assert f"{log.results[0].time:%H:%M}" == read


@pytest.mark.parametrize("written", ["9.10", "24:00", "4 pm", "0:61", "13:10 pm", "0.6736", "afternoon"])
def test_a_time_that_says_nothing_is_left_out_where_the_day_is_enough(tmp_path: Path, written: str) -> None:
    log, found = read_results(write(tmp_path, cells(time=written)), CASE, NOW)
    assert [(f.line, f.key, f.severity) for f in found] == [(2, "time", Severity.WARNING)]
    assert found[0].hint == "the row counts without its time"
    assert log.results[0].time is None


def test_such_a_time_is_an_error_where_the_order_of_a_day_decides(tmp_path: Path) -> None:
    rows = [cells(time="9.10", correct="5", prompted=""), cells(time="16:10", correct="0")]
    found = findings(tmp_path, *rows)
    assert [(f.line, f.key, f.severity) for f in found] == [(2, "time", Severity.ERROR)]
    # near miss: the other row of that day is of another combination
    rows[1] = cells(time="16:10", adult="dad")
    assert [f.severity for f in findings(tmp_path, *rows)] == [Severity.WARNING]


@pytest.mark.parametrize("written", ["2026/11/20", "2026-11-20 00:00:00", "2026.11.20", "2026-11-20T00:00"])
def test_a_date_with_the_year_first_is_read_without_a_word(tmp_path: Path, written: str) -> None:
    log, found = read_results(write(tmp_path, cells(date=written)), CASE, NOW)
    assert found == ()
    assert log.results[0].date.isoformat() == "2026-11-20"


def test_dates_in_another_order_get_one_sentence_if_they_can_only_mean_one_day(tmp_path: Path) -> None:
    rows = [
        cells(date="20/11/2026"),
        cells(date="21.11.2026"),
        cells(date="11-22-2026"),
        cells(date="2026-11-23"),
    ]
    log, found = read_results(write(tmp_path, *rows), CASE, NOW)
    assert [r.date.day for r in log.results] == [20, 21, 22, 23]
    assert [(f.line, f.severity, f.found) for f in found] == [
        (2, Severity.WARNING, "'20/11/2026', read as 2026-11-20, and 2 more like it")
    ]


def test_a_date_that_may_be_two_days_is_never_guessed(tmp_path: Path) -> None:
    """Not even beside others that can only be day first: somebody else may have written it."""
    found = findings(tmp_path, cells(date="20/11/2026"), cells(date="03/04/2026"), cells(date="5/5/2026"))
    assert [(f.line, f.severity) for f in found] == [(2, Severity.WARNING), (3, Severity.ERROR)]
    assert found[1].found == "found '03/04/2026', which may be 2026-03-04 or 2026-04-03"


def test_cells_that_spreadsheets_leave_behind_are_no_error(tmp_path: Path) -> None:
    """A trailing separator, an empty column that nobody named, and one of a dimension that is not varied any more."""
    assert findings(tmp_path, ROW + ",,", ROW.replace("mum", "dad"), header=HEADER + ",") == ()
    assert findings(tmp_path, ROW + ",,", header=HEADER + ",company,") == ()
    assert findings(tmp_path, ROW + ",,,") == ()


def test_a_row_can_be_added_beside_columns_without_a_name(tmp_path: Path) -> None:
    """Also one that needs a further column: rows that end before the columns without a name are filled up."""
    write(tmp_path, ROW, ROW.replace("mum", "dad") + ",,", header=HEADER + ",,")
    new = {"date": "2026-11-21", "target": "asks", "kind": "probe", "adult": "mum", "location": "home"}
    new |= {"material_set": "coats", "wording": "Zip it up", "trials": "5", "correct": "5"}
    append_result(tmp_path, CASE, new, NOW)
    log, found = read_results(tmp_path, CASE, NOW)
    assert found == ()
    assert [len(r.combination) for r in log.results] == [3, 3, 4]
    assert (tmp_path / "results.csv").read_text("utf-8").startswith(f"{HEADER},,,wording\n{ROW},,,\n")


def test_a_column_that_no_target_has_any_more_is_told_of_and_counts_for_nothing(tmp_path: Path) -> None:
    log, found = read_results(write(tmp_path, ROW + ",alone", header=HEADER + ",company"), CASE, NOW)
    assert [r.line for r in log.results] == [2]
    assert [(f.line, f.key, f.severity) for f in found] == [(1, "company", Severity.WARNING)]
    assert found[0].found == "unknown column 'company', whose 1 cell (the first on line 2) count for nothing"


def test_a_column_that_is_a_slip_of_one_that_is_missing_is_an_error(tmp_path: Path) -> None:
    (found,) = findings(tmp_path, ROW, header=HEADER.replace("prompted", "promted"))
    assert (found.key, found.severity, found.hint) == ("promted", Severity.ERROR, "did you mean 'prompted'?")
    # near miss: the column is there beside it
    row = "x," + ROW
    assert [f.severity for f in findings(tmp_path, row, header="promted," + HEADER)] == [Severity.WARNING]


def test_rows_of_what_was_taken_out_of_the_case_get_one_sentence(tmp_path: Path) -> None:
    rows = [cells(target="plaits-hair", date=f"2026-11-{day:02d}") for day in range(1, 10)]
    (found,) = findings(tmp_path, *rows)
    assert found.line == 2
    assert found.found == "found 'plaits-hair' (also on line 3, 4, 5, 6, 7 and 3 more)"
    assert "state: paused" in found.hint


def test_who_ran_a_probe_is_no_second_person_in_any_figure(tmp_path: Path) -> None:
    header = f"{HEADER},steps_kept"
    rows = [
        cells(observer="Mum", time="09:00", observer_correct="4"),
        cells(observer="ann", observer_correct="4"),
    ]
    log, found = read_results(write(tmp_path, *(f"{row},7/8" for row in rows), header=header), CASE)
    about = [f for f in found if f.key == "observer"]
    assert [(f.line, f.severity, f.found) for f in about] == [(2, Severity.WARNING, "'mum', who ran it")]
    assert (agreement(log.results).observed, agreement(log.results).probes) == (1, 2)
    assert [(one.observed, one.probes) for one in procedure_kept(log.results)] == [(1, 2)]


def test_a_second_person_is_one_however_the_rows_write_the_name(tmp_path: Path) -> None:
    """By id, by name, in other letters; who is no adult of the case is written as in the first row."""
    adult = CASE.adults["dad"]
    case = replace(CASE, adults={**CASE.adults, "dad": replace(adult, name="Papa Jo")})
    written = ["dad", "Dad", "papa jo", "Papa Jo", "A Nurse", "a nurse", ""]
    rows = [
        f"2026-11-{day:02},,zips,probe,mum,home,coats,5,5,,{name},{5 if name else ''},"
        for day, name in enumerate(written, 2)
    ]
    log, findings = read_results(write(tmp_path, *rows), case)
    assert findings == ()
    assert [r.observer for r in log.results] == ["dad"] * 4 + ["A Nurse"] * 2 + [""]
    twice = replace(case, adults={**case.adults, "grandad": replace(adult, id="grandad", name="Papa Jo")})
    assert [r.observer for r in read_results(tmp_path, twice)[0].results][2:4] == ["papa jo"] * 2
