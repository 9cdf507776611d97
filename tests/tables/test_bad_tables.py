"""Tables that cannot be read: everything is told at once, by sheet and cell, and nothing is written."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable
from datetime import date, time
from functools import partial
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.errors import CaseError, FileError, GenplanError
from genplan.evidence import workbook as reader
from genplan.evidence.workbook import MOST_BYTES, sheets_for
from genplan.language import Speech, speaking
from genplan.tables import grids
from tests.fixtures.given_tables import SHEETS, Sheets, book_of, csv_of, packed_ods
from tests.fixtures.random_cases import NOW


def with_row(name: str, *row: str) -> Sheets:
    return {**SHEETS, name: [*SHEETS[name], list(row)]}


def with_cell(name: str, row: int, column: int, text: Any) -> Sheets:
    rows = [list(r) for r in SHEETS[name]]
    rows[row - 1][column] = text
    return {**SHEETS, name: rows}


def told(tmp_path: Path, tables: Path) -> list[str]:
    """What is told of tables that were to become a case; nothing was made."""
    with pytest.raises(GenplanError) as error:
        workflow.read_tables(tmp_path / "case", [tables], NOW, write=True)
    assert not (tmp_path / "case").exists()
    problem = error.value
    return [f.sentence() for f in problem.findings] if isinstance(problem, CaseError) else [str(problem)]


def test_the_tables_make_a_case_as_they_are(tmp_path: Path) -> None:
    done = workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", SHEETS)], NOW, write=True)
    assert ("targets", "pours-ada") in done.made
    assert [s for f in done.findings if "by the policy's" not in (s := f.sentence())] == []


@pytest.mark.parametrize(
    ("sheets", "sentence"),
    [
        (with_row("children", "Ada", ""), "children.csv:2: column A: 'Ada', a name that more than one have; expected"
         " names"
         " that are told apart. Is it one person? Then join the rows into one: several hours of a day stand in one"
         " cell, such as 9-12, 13-15. If they are several, give each of them an id in a column 'id', such as ada-b."),
        (with_cell("children", 2, 1, "3/5/2020"), "children.csv:2: column B: '3/5/2020', which may be 2020-03-05"
         " or 2020-05-03; expected a month such as 2021-04. Write the one that is meant year first, such as 2020-03-05,"
         " or make the cell a date of the spreadsheet."),
        (with_cell("adults", 2, 2, "Ada, Bem"), "adults.csv:2: column C: the unknown learner 'Bem'; expected a name"
         " or an"
         " id that has a row. Did you mean 'Ben'?"),
        (with_cell("hours", 2, 1, "3-5"), "hours.csv:2: column B: '3-5', which may be before noon or after"
         " it; expected hours such as 15:00-17:30, 3-5pm or 9-12, 13-15. Is it the afternoon? Then write 15:00-17:00,"
         " or with pm; else 03:00-05:00."),
        (with_cell("hours", 2, 1, "mornings"), "hours.csv:2: column B: 'mornings' without hours; expected hours such as"
         " 15:00-17:30, 3-5pm or 9-12, 13-15. From when to when? Such as 9:00-12:00."),
        (with_cell("hours", 2, 1, "9-12 and afternoon"), "hours.csv:2: column B: 'afternoon' without hours; expected"),
        (with_cell("hours", 2, 1, "17:00-9:00"), "hours.csv:2: column B: '17:00-9:00', which ends before it begins;"
         " expected hours such as 15:00-17:30, 3-5pm or 9-12, 13-15. Write 09:00-17:00, or 17:00-21:00 if that is"
         " meant."),
        (with_cell("hours", 2, 1, "14-8"), "hours.csv:2: column B: '14-8', which ends before it begins; expected"),
        ({**SHEETS, "hours": [["who", "hours"], ["Ada", "Mon mornings, Wed 15-17"], ["Ben", "Mon 3-5pm"]]},
         "hours.csv:2: column B: 'mornings' without hours; expected"),
        (with_cell("hours", 4, 0, "Rose"), "hours.csv:4: column A: 'Rose', whom no row speaks of; expected a name or"
         " an id"
         " that has a row. Did you mean 'Rosa'?"),
        (with_cell("skills", 2, 3, "2026-05-04"), "skills.csv:2: column D: '2026-05-04'; expected the correct of the"
         " trials,"
         " such as 4/5. The spreadsheet took it for a date, and it was probably typed as 4/5: set the column to"
         " text and type it again."),
        (with_cell("skills", 2, 3, "007"), "skills.csv:2: column D: '007'; expected the correct of the trials, such"
         " as 4/5."),
        (with_cell("skills", 1, 3, "passmark"), "skills.csv:1: column D: the unknown heading 'passmark'; expected"
         " one of id,"
         " name, learner,"),
        (with_cell("skills", 1, 3, "name"), "skills.csv:1: column D: 'name', which column A holds already; expected"
         " each"
         " column once. Keep one of the two."),
        (
            {**SHEETS, "case": [*SHEETS["case"], ["policy", "family"], ["policy.rest_minutes", "5"]]},
            "case.csv:4: column B: a value beside the one of 'policy' (at line 3); expected one of the two. Write"
            " 'policy.like' for what the rest is like.",
        ),
        (
            {**SHEETS, "case": [*SHEETS["case"], ["policy.rest_minutes", "5"], ["policy", "family"]]},
            "case.csv:4: column B: a value beside the one of 'policy.rest_minutes' (at line 3); expected one of the"
            " two. Write 'policy.like' for what the rest is like.",
        ),
        (with_row("case", "timezone", "Europe/Paris"), "case.csv:3: column B: a second value for 'timezone' (first at"
         " line 2);"),
        ({**SHEETS, "changes": [["away", "from"], ["Roza", "2026-12-01"]]}, "changes.csv:2: column A: 'Roza', which is"
         " no adult or learner; expected a name or an id that has a row. Did you mean 'Rosa'?"),
        ({**SHEETS, "places": [["name"], ["Room 1"], ["Yard"]], "ways": [["from", "to", "minutes"],
         ["Room 1", "Yard", "10"], ["Yard", "Room 1", "20"]]}, "ways.csv:3: column C: '20' minutes, and '10' for the"
         " same way (line 2); expected one number: a way counts there and back. Keep one of the two."),
        (with_cell("case", 2, 0, "time zone"), "case.csv:2: column A: the unknown key 'time zone'; expected one of"
         " case_id,"
         " timezone,"),
        ({**SHEETS, "hous": [["when"], ["3-5pm"]]}, "hous.csv: hous: the unknown sheet 'hous'; expected one of"
         " children,"
         " adults,"
         " hours,"),
        ({**SHEETS, "staff": [["name", "role"], ["Rosa", "cook"]]}, "staff.csv:2: column B: another value than in"
         " adults.csv: line 2; expected one value. Make them the same, or empty one of the two cells."),
        ({**SHEETS, "rota": [["name", "mon"], ["Rosa", "9-4"]]}, "rota.csv:2: column A: another value than in"
         " hours.csv: line 4; expected one value."),
        ({**SHEETS, "places": [["Our rooms", "where we work"], ["Room 1", "x"]]}, "places.csv:1: column A: no"
         " known heading among 'Our rooms' and 'where we work'; expected the heading 'name', and beside it some"
         " of id,"),
        ({**SHEETS, "places": [["Rooms of ours"], ["", "capacity", "what"], ["Hall", "5", "x"]]}, "places.csv:2:"
         " column B: no known heading but 'capacity' among 'capacity' and 'what'; expected the heading 'name', and"
         " beside it some of id,"),
        ({**SHEETS, "adults": [["name", "rle"], ["Rosa", "aide"]]}, "adults.csv:1: column B: the unknown heading"
         " 'rle'; expected one of id, name,"),
        ({k: v for k, v in SHEETS.items() if k not in ("places", "skills")}, "t: nothing that is filled in on a sheet"
         " of places or skills; expected children, adults, places and skills, which a new case needs. Name all"
         " files that make up the case at once: genplan tables read t OTHER.xlsx CASE."),
        (with_cell("case", 2, 0, ".".join(["defaults"] * 3000)), "case.csv:2: column A: the unknown key 'defaults.def"),
        (with_row("children", *["x"] * 201), "children.csv:4: column GS: a cell far to the right; expected 200"),
        (with_row("adults", "all: lunch 12-12.45, nobody works then"), "adults.csv:3: column A: 'all: lunch 12-12.45,"
         " nobody works then', which reads like a remark; expected the name of the adult. Put # before it if it is a"
         " remark; a name that is so long needs an id beside it."),
        (with_row("children", "", "2020-01"), "children.csv:4: column B: a row without a name; expected the name of the"
         " learner. Fill it in."),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_cell_is_told_by_the_cell(tmp_path: Path, sheets: Sheets, sentence: str) -> None:
    found = [
        s.replace(str(tmp_path / "case"), "CASE") for s in told(tmp_path, csv_of(tmp_path / "t", sheets))
    ]
    assert any(s.startswith(sentence) for s in found), found


def test_everything_is_told_at_once(tmp_path: Path) -> None:
    sheets = {
        **with_cell("hours", 2, 1, "soon"),
        "children": with_cell("children", 2, 1, "yesterday")["children"],
    }
    found = told(tmp_path, csv_of(tmp_path / "t", sheets))
    assert [s.split(":")[0] for s in found] == ["hours.csv", "children.csv"]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ("name;born\r\nAda;2020-05\r\n".encode("utf-8-sig"), ""),
        (b"name\tborn\nAda\t2020-05\n\n\n,\n", ""),
        ("name,born\nÁine,2020-05\n".encode("cp1252"), ""),
        ("Name;Born\nÁine;2020-05\n".encode("cp1252"), ""),
        (b"name,born\nAda\x81,2020-05\n", "children.csv:2: a character that is not UTF-8 (byte 0x81 behind"),
        ("name,born\nAda,\n".encode("utf-16"), "children.csv:1: found text in the encoding UTF-16 or UTF-32"),
        (b'name,born\n"Ada,2020\n', "children.csv:2: a quote that opens on this line is never closed"),
    ],
)  # fmt: skip
def test_encodings_and_separators_of_csv(tmp_path: Path, data: bytes, sentence: str) -> None:
    folder = csv_of(tmp_path / "t", {**SHEETS, "adults": [["name"], ["Rosa"]], "hours": [["who"]],
                                     "skills": [["name", "learner"], ["Pours", "all"]]})  # fmt: skip
    (folder / "children.csv").write_bytes(data)
    if sentence:
        assert any(s.startswith(sentence) for s in told(tmp_path, folder))
    else:
        assert workflow.read_tables(tmp_path / "case", [folder], NOW, write=False).is_new


# workbooks; they are opened in this process, so that no other has to start


@pytest.fixture
def in_this_process(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("python_calamine")
    monkeypatch.setattr(reader, "_ask", lambda path, data: sheets_for(data))


def merged(book: Any) -> None:
    book["children"].merge_cells("A2:A3")


def formula(book: Any) -> None:
    book["adults"]["B2"] = '="ai"&"de"'


def error_cell(book: Any) -> None:
    book["adults"]["B2"] = "#REF!"
    book["adults"]["B2"].data_type = "e"


@pytest.mark.usefixtures("in_this_process")
@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (merged, "t.xlsx: children!A2: cells that are merged (A2:A3); expected a value in each cell of its own. Take"
         " the"
         " merging back and fill in each cell."),
        (formula, "t.xlsx: adults!B2: a formula that was never worked out; expected a value. Open the file in a"
         " spreadsheet"
         " program and save it there, or put the values in place of the formulas."),
        (error_cell, "t.xlsx: adults!B2: a formula that has come to an error; expected a value. Mend the formula, or"
         " type"
         " the value."),
    ],
)  # fmt: skip
def test_cells_that_hold_no_value_are_told(
    tmp_path: Path, change: Callable[[Any], None], sentence: str
) -> None:
    assert sentence in told(tmp_path, book_of(tmp_path / "t.xlsx", SHEETS, change))


@pytest.mark.usefixtures("in_this_process")
def test_times_dates_titles_and_empty_rows_of_a_workbook(tmp_path: Path) -> None:
    hours: list[list[Any]] = [
        ["Hours this autumn"], [], ["who", "days", "from", "to"], ["# told by phone"],
        ["Ada", "Mon", time(15), time(17)], [], ["Ben", "Tue", time(15), time(17)],
        ["Rosa", "Mon-Fri", time(9), time(17)], [None, " "],
    ]  # fmt: skip
    children: list[list[Any]] = [
        ["name", "born", "needs"],
        ["Ada", date(2020, 5, 3), 2],
        ["Ben", "2020-06", 1.5],
    ]
    path = book_of(tmp_path / "t.xlsx", {**SHEETS, "hours": hours, "children": children, "# sums": [["x"]]},
                   lambda book: book["hours"].merge_cells("A1:D1"))  # fmt: skip
    workflow.read_tables(tmp_path / "case", [path], NOW, write=True)
    text = (tmp_path / "case" / "case.yaml").read_text("utf-8")
    assert 'mon-fri: "09:00-17:00"' in text
    assert "born: 2020-05-03" in text.replace('"', "")
    assert "needs: 1.5" in text


SPANNED = """<table:table table:name="children"><table:table-row>
<table:table-cell office:value-type="string"><text:p>name</text:p></table:table-cell>
<table:table-cell office:value-type="string"><text:p>born</text:p></table:table-cell></table:table-row><table:table-row>
<table:table-cell office:value-type="string"><text:p>Ada</text:p></table:table-cell>
<table:table-cell table:number-rows-spanned="2" office:value-type="string"><text:p>2020-05</text:p></table:table-cell>
</table:table-row></table:table>"""


@pytest.mark.usefixtures("in_this_process")
def test_merged_cells_of_an_ods_file_are_told(tmp_path: Path) -> None:
    packed_ods(tmp_path / "t.ods", SPANNED)
    assert any(
        s.startswith("t.ods: children!B2: cells that are merged (B2:B3)")
        for s in told(tmp_path, tmp_path / "t.ods")
    )


def test_what_would_be_a_formula_is_a_text(tmp_path: Path) -> None:
    pytest.importorskip("openpyxl")
    import openpyxl

    from genplan.tables.files import NO_MOMENT, csv_files, workbook
    from genplan.tables.writing import Written

    texts = ("=1+1", "+1", "-1", "@x", '=HYPERLINK("http://x")')
    tables = [Written("children", ("id", "name"), (), tuple((f"c{i}", t) for i, t in enumerate(texts)))]
    book = openpyxl.load_workbook(io.BytesIO(workbook(tables, NO_MOMENT)))
    cells = [book["children"].cell(2 + i, 2) for i in range(len(texts))]
    assert [(c.value, c.data_type, c.quotePrefix) for c in cells] == [(t, "s", True) for t in texts]
    lines = csv_files(tables)["children.csv"].decode("utf-8-sig").splitlines()[2:]
    assert all(line.split(",")[1].lstrip('"').startswith("'") for line in lines)


def test_names_that_look_like_formulas_come_back(tmp_path: Path) -> None:
    folder = csv_of(tmp_path / "t", with_cell("children", 2, 0, "'=Ada"))
    sheets = grids.read_grids([folder])[0]
    assert next(g for g in sheets if g.name == "children").rows[1][1][0] == "=Ada"


# files


def test_a_file_of_100_mb_is_not_opened(tmp_path: Path) -> None:
    path = tmp_path / "t.xlsx"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    assert told(tmp_path, path) == [
        f"t.xlsx could not be read: it is larger than {MOST_BYTES // 1_000_000} MB, so it is some other file."
        " Nothing was changed. Check that you may open it, and try again."
    ]


def test_a_zip_bomb_is_not_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "MOST_UNPACKED", 2_000_000)
    held = io.BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as packed, packed.open("xl/worksheets/sheet1.xml", "w") as part:
        part.write(bytes(3_000_000))
    assert len(held.getvalue()) < 10_000
    assert sheets_for(held.getvalue())["problem"] == "it unpacks to 3 MB"


def test_a_cell_far_off_ends_the_other_process_alone(tmp_path: Path) -> None:
    pytest.importorskip("python_calamine")

    def far(book: Any) -> None:
        book["children"]["XFD1048576"] = "far"

    assert (
        "a cell far from the others makes it huge"
        in told(tmp_path, book_of(tmp_path / "t.xlsx", SHEETS, far))[0]
    )


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("t.xlsx", b"PK\x03\x04 no", "t.xlsx cannot be read as a spreadsheet: "),
        ("t.xlsx", b"", "t.xlsx cannot be read as a spreadsheet: "),
        ("t.docx", b"", "t.docx is no .xlsx, .ods or .csv file, nor a folder of CSV files."),
    ],
)
@pytest.mark.usefixtures("in_this_process")
def test_other_files_are_refused(tmp_path: Path, name: str, data: bytes, sentence: str) -> None:
    (tmp_path / name).write_bytes(data)
    assert told(tmp_path, tmp_path / name)[0].startswith(sentence)


def test_a_file_that_is_not_there_and_a_folder_without_tables(tmp_path: Path) -> None:
    assert told(tmp_path, tmp_path / "t.xlsx")[0].startswith("t.xlsx could not be read: it is not there")
    (tmp_path / "t").mkdir()
    assert "holds no .csv file" in told(tmp_path, tmp_path / "t")[0]


def test_a_sheet_of_nothing_but_headings_says_nothing(tmp_path: Path) -> None:
    workflow.empty_tables(tmp_path / "t")
    assert any(
        "on a sheet of adults, children, places or skills" in s for s in told(tmp_path, tmp_path / "t")
    )
    with pytest.raises(FileError, match="is there already"):
        workflow.empty_tables(tmp_path / "t")


@pytest.mark.parametrize(
    ("sheet", "rows"),
    [
        ("children", [["called by", "born", "alias"], ["Ada", "2020-05", "A."], ["Ben", "2020-05", "B."]]),
        ("hours", [["whom", "mon", "tue"], ["Ada", "3-5pm", ""], ["Ben", "3-5pm", ""]]),
        ("ways", [["from", "too", "minutes"], ["Room 1", "Yard", "5"], ["Room 1", "Hall", "5"]]),
    ],
)
def test_a_heading_that_is_not_known_is_told_once_and_not_of_each_row(
    tmp_path: Path, sheet: str, rows: list[list[str]]
) -> None:
    only = {s: r for s, r in SHEETS.items() if sheet != "children" or s in ("places", "things", "case")}
    named = [line for line in told(tmp_path, csv_of(tmp_path / "t", {**only, sheet: rows})) if sheet in line]
    assert len([line for line in named if line.startswith(f"{sheet}.csv")]) == 1
    assert "the unknown heading" in named[0]


def test_common_headings_of_names_are_known(tmp_path: Path) -> None:
    """In each sheet alone among headings that nobody knows, so that none is known by the others."""
    heads = {
        "children": "Child’s name",
        "adults": "Staff name",
        "places": "Room name",
        "things": "Item",
        "skills": "Skill name",
    }
    sheets = {name: [[heads.get(name, rows[0][0]), *rows[0][1:]], *rows[1:]] for name, rows in SHEETS.items()}
    sheets["skills"][0][1] = "Name of child"
    workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)
    text = (tmp_path / "case" / "case.yaml").read_text("utf-8")
    assert all(f"name: {name}" in text for name in ("Ada", "Rosa", "Room 1", "Cups", "Pours"))


@pytest.mark.parametrize("language", ["en", "de"])
def test_near_words_are_of_the_language_that_is_spoken(tmp_path: Path, language: str) -> None:
    """*Who* is near the German *wo*, and to English ears near nothing that heads a column of skills."""
    sheets = {**SHEETS, "skills": [["Who", "name", "learner"], ["Rosa", "Pours", "all"]]}
    with speaking(Speech(language)):
        found = told(tmp_path, csv_of(tmp_path / "t", sheets))
    (line,) = (one for one in found if one.startswith("skills.csv:1"))
    assert "'Who'" in line
    assert ("'wo'" in line) == (language == "de")


def test_beside_unknown_headings_all_else_that_is_wrong_is_told_too(tmp_path: Path) -> None:
    """The heading of the names as well as another is not known: dates and names are read all the same."""
    sheets = {
        **SHEETS,
        "children": [["Kid is called", "Born on", "Birthday", "Diet"],
                     ["Ada", "", "yesterday", "x"], ["Ben", "", "2020-13", "y"]],
        "adults": [["They are", "role", "learners"], ["Rosa", "aide", "Ada, Bem"]],
        "skills": [["What", "learner", "correct_when", "pass_mark"], ["Pours", "Ada, Ben", "No spill", "007"]],
    }  # fmt: skip
    found = told(tmp_path, csv_of(tmp_path / "t", sheets))
    wanted = ("children.csv:1: column A: the unknown heading 'Kid is called'",
              "children.csv:1: column D: the unknown heading 'Diet'",
              "children.csv:2: column C: 'yesterday'", "children.csv:3: column C: '2020-13'",
              "adults.csv:1: column A: the unknown heading 'They are'",
              "adults.csv:2: column C: the unknown learner 'Bem'",
              "skills.csv:1: column A: the unknown heading 'What'", "skills.csv:2: column D: '007'")  # fmt: skip
    assert [any(line.startswith(start) for line in found) for start in wanted] == [True] * len(wanted), found
    assert len(found) == len(wanted), found


def test_headings_that_are_only_near_to_known_ones_are_all_told(tmp_path: Path) -> None:
    rows = [["Our children"], ["Chldren", "Date of brith", "Shoes"], ["Ada", "2020-05", "28"]]
    found = told(tmp_path, csv_of(tmp_path / "t", {**SHEETS, "children": rows}))
    headed = [line for line in found if line.startswith("children.csv:2")]
    assert len(headed) == 3, found
    assert "Did you mean 'children'?" in headed[0]
    assert "Did you mean 'date of birth'?" in headed[1]


def test_a_date_that_can_only_be_one_day_is_taken(tmp_path: Path) -> None:
    """As in results.csv; also where it stands in another column of dates, and beside a month alone."""
    sheets = {
        **SHEETS,
        "children": [["name", "date of birth"], ["Ada", "23/07/2021"], ["Ben", "7.23.2021"]],
        "skills": [
            ["name", "learner", "correct_when", "mastered"],
            ["Pours", "Ada, Ben", "No spill", "24/09/2026"],
        ],
    }
    workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    assert [(b.year, b.month, b.day) for one in case.learners.values() if (b := one.born)] == [
        (2021, 7, 23)
    ] * 2
    assert {target.mastered_on for target in case.targets.values()} == {date(2026, 9, 24)}


@pytest.mark.parametrize(
    ("heading", "text", "sentence"),
    [
        ("Taught with", "Cups", "'Cups'; expected such as adult: mum, location: home. Write names alone into a column"
         " with the heading 'taught using'."),
        ("taught", "Rosa", "'Rosa'; expected such as adult: mum, location: home. Write names alone into a column"
         " with the heading 'taught by'."),
        ("taught", "Room 1", "'Room 1'; expected such as adult: mum, location: home. Write names alone into a column"
         " with the heading 'taught in'."),
        ("taught", "Cups, Rosa", "'Cups, Rosa'; expected such as adult: mum, location: home. Write the name, a colon"
         " and the value, or names alone into columns with the headings 'taught by', 'taught in' and 'taught using'."),
        ("first", "Hall by 18 December 2026", "'Hall by 18 December 2026'; expected such as location: park, by:"
         " 2026-12-18; the date may be left out. Write the name, a colon and the value."),
    ],
)  # fmt: skip
def test_a_cell_of_combinations_says_what_belongs_there(
    tmp_path: Path, heading: str, text: str, sentence: str
) -> None:
    rows = [[*SHEETS["skills"][0], heading], [*SHEETS["skills"][1], text]]
    found = told(tmp_path, csv_of(tmp_path / "t", {**SHEETS, "skills": rows}))
    assert found == [f"skills.csv:2: column E: {sentence}"]


def test_a_wish_is_written_as_its_message_says(tmp_path: Path) -> None:
    rows = [[*SHEETS["skills"][0], "first"], [*SHEETS["skills"][1], "location: Room 1, by: 2026-12-18"]]
    folder = csv_of(tmp_path / "t", {**SHEETS, "skills": rows})
    workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    assert {wish.by for target in case.targets.values() for wish in target.first} == {date(2026, 12, 18)}


# results as people keep them

DONE: Sheets = {
    **SHEETS,
    "Done so far": [
        ["Date", "Child", "Skill", "Who", "Where", "With", "Right", "Of"],
        ["2026-11-20", "Ada", "Pours", "Rosa", "Room 1", "Cups", "4", "5"],
        ["2026-11-21", "Ben", "Pours", "Rosa", "Room 1", "Cups", "2", "5"],
    ],
}


def test_results_with_a_column_for_the_child_and_none_for_the_kind_are_read(tmp_path: Path) -> None:
    done = workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", DONE)], NOW, write=True)
    assert done.rows == 2
    rows = (tmp_path / "case" / "results.csv").read_text("utf-8").splitlines()[1:]
    assert [row.split(",")[2:4] for row in rows] == [["pours-ada", "probe"], ["pours-ben", "probe"]]
    told = [f.sentence() for f in done.findings if "results" in f.sentence() or "'kind'" in f.sentence()]
    assert told == [
        "Done so far.csv: Done so far: the sheet 'Done so far', read as one of results by its headings. Put # before"
        " its name if it is not to be read.",
        "Done so far.csv:1: column A: no column 'kind', so each row is read as a probe. Where some are of teaching or"
        " were not run, add the column.",
    ]


def test_a_skill_that_the_child_of_the_row_has_not_is_refused(tmp_path: Path) -> None:
    skills = [["name", "learner", "correct_when"], ["Pours", "Ada", "No spill"], ["Cuts", "Ben", "Alone"]]
    found = told(tmp_path, csv_of(tmp_path / "t", {**DONE, "skills": skills}))
    assert found == [
        "Done so far.csv:3: column C: 'Pours', which Ben has not; expected a skill of that child. Mend one of the two,"
        " or add a row for it to the sheet of skills."
    ]


def test_names_and_days_in_results_are_told_with_what_else_is_wrong(tmp_path: Path) -> None:
    rows = [*DONE["Done so far"], ["soon", "Ada", "Pous", "Rsa", "Room 1", "Cups", "1", "5"]]
    found = told(
        tmp_path, csv_of(tmp_path / "t", {**with_cell("hours", 2, 1, "mornings"), "Done so far": rows})
    )
    assert sorted(s.split(";")[0].split(": ", 1)[1] for s in found) == [
        "column A: found 'soon'",
        "column B: 'mornings' without hours",
        "column C: the unknown target 'Pous'",
        "column D: the unknown adult 'Rsa'",
    ]


@pytest.mark.usefixtures("in_this_process")
def test_a_name_that_is_merged_over_rows_of_hours_is_read_for_each(tmp_path: Path) -> None:
    def split(book: Any) -> None:
        book["hours"].append(["Ada", "9-12", ""])
        book["hours"].append(["", "1-2pm", ""])
        book["hours"].merge_cells("A5:A6")

    book_of(tmp_path / "t.xlsx", SHEETS, split)
    workflow.read_tables(tmp_path / "case", [tmp_path / "t.xlsx"], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    assert len(case.learners["ada"].free.days[0]) == 3


def test_the_explaining_row_is_known_without_its_first_column(tmp_path: Path) -> None:
    workflow.empty_tables(tmp_path / "empty")
    head, words = list(csv.reader((tmp_path / "empty" / "adults.csv").read_text("utf-8-sig").splitlines()))[
        :2
    ]
    for heading in (head, words):
        del heading[0]
    adults = [head[:2], words[:2], ["Rosa", "aide"]]
    assert "#" not in words[0]
    done = workflow.read_tables(
        tmp_path / "case", [csv_of(tmp_path / "t", {**SHEETS, "adults": adults})], NOW, write=False
    )
    assert ("adults", "rosa") in done.made
    assert len([path for path in done.made if path[0] == "adults"]) == 1


def test_a_folder_that_holds_other_things_is_refused_before_anything_is_shown(tmp_path: Path) -> None:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "notes.txt").write_text("ours")
    with pytest.raises(FileError, match="holds files already; none was touched"):
        workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", SHEETS)], NOW, write=False)


def test_a_file_with_a_blank_in_its_name_is_quoted_where_a_command_is_advised(tmp_path: Path) -> None:
    file = csv_of(tmp_path / "t", {"our staff": [["Name", "Job"], ["Rosa", "aide"]]}) / "our staff.csv"
    assert any('genplan tables read "our staff.csv" OTHER.xlsx' in s for s in told(tmp_path, file))


def test_a_mark_of_other_trials_than_a_probe_has_is_said(tmp_path: Path) -> None:
    tables = csv_of(tmp_path / "t", with_cell("skills", 2, 3, "3/3"))
    done = workflow.read_tables(tmp_path / "case", [tables], NOW, write=False)
    assert [s for f in done.findings if "trials" in (s := f.sentence())] == [
        "skills.csv:2: column D: 3/3, and a probe has 5 trials, of which 5 have to be correct then. Write 'trials: 3'"
        " too if that is meant."
    ]


def test_of_many_rows_that_are_still_ahead_a_few_are_named_in_one_sentence(tmp_path: Path) -> None:
    rows = [[f"2026-12-{day:02d}", "Ada", "Pours", "Rosa", "Room 1", "Cups", "4", "5"] for day in range(1, 7)]
    tables = csv_of(tmp_path / "t", {**DONE, "Done so far": [DONE["Done so far"][0], *rows]})
    (found,) = told(tmp_path, tables)
    assert found.startswith(
        "6 rows are still ahead, such as Done so far.csv:2: 1 December 2026, Pours, Rosa, Room 1, Cups"
    )
    assert found.count("counts as run") + found.count("count as run") == 1
    assert "3 December 2026" in found
    assert "4 December 2026" not in found


@pytest.mark.parametrize(
    ("born", "told", "refused"),
    [
        ("2027-01-01", "a birth in 2027-01-01, which is after today, 2026-11-29", True),
        ("December 2026", "a birth in 2026-12, which is after today", True),
        ("1921-03", "a birth in 1921-03, 105 years ago", True),
        ("2002-05", "a birth in 2002-05, 24 years ago", False),
        ("2026-11", "", False),
        ("2020-05", "", False),
    ],
)
def test_a_birth_that_no_child_has_is_asked_about(
    tmp_path: Path, born: str, told: str, refused: bool
) -> None:
    sheets = {**SHEETS, "children": [["name", "born"], ["Ada", born], ["Ben", ""]]}
    folder = csv_of(tmp_path / "t", sheets)
    if refused:
        with pytest.raises(CaseError) as error:
            workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
        findings = error.value.findings
    else:
        findings = workflow.read_tables(tmp_path / "case", [folder], NOW, write=True).findings
    births = [f.sentence() for f in findings if "a birth in" in f.sentence()]
    assert len(births) == bool(told)
    assert all(told in s and "children.csv:2" in s for s in births)


@pytest.mark.parametrize(
    ("sheet", "heading", "cell", "read"),
    [
        ("things", "copies", "2 copies", 2),
        ("things", "copies", "3 Stk.", 3),
        ("things", "copies", "1 lost", 0),
        ("things", "copies", "12 missing", 0),
        ("things", "copies", "2 kaputt", 0),
        ("things", "copies", "1 dozen", 0),
        ("places", "capacity", "2 at a time", 2),
        ("places", "capacity", "3 Kinder", 3),
        ("places", "capacity", "2 hours", 0),
        ("places", "capacity", "10 metres", 0),
    ],
)
def test_a_number_is_read_with_a_unit_and_with_no_other_word(
    tmp_path: Path, sheet: str, heading: str, cell: str, read: int
) -> None:
    name = SHEETS[sheet][1][0]
    folder = csv_of(tmp_path / "t", {**SHEETS, sheet: [["name", heading], [name, cell]]})
    if read:
        workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
        case = load(tmp_path / "case").case
        assert case is not None
        (thing,) = (case.material_sets if sheet == "things" else case.locations).values()
        assert getattr(thing, heading) == read
        return
    with pytest.raises(CaseError) as error:
        workflow.read_tables(tmp_path / "case", [folder], NOW, write=True)
    (finding,) = error.value.findings
    assert cell in finding.sentence()
    assert finding.key == "column B"


def test_a_date_among_hours_is_called_one(tmp_path: Path) -> None:
    """A spreadsheet makes the 9th of December of 9-12."""
    hours = [["who", "mon", "hours"], ["Rosa", "2026-12-09", ""], ["Ada", "", "2026-12-09"]]
    with pytest.raises(CaseError) as error:
        workflow.read_tables(
            tmp_path / "case", [csv_of(tmp_path / "t", {**SHEETS, "hours": hours})], NOW, write=True
        )
    told = [f.sentence() for f in error.value.findings]
    assert sum("The cell is a date" in s for s in told) == 2, told


def test_names_whose_umlauts_are_two_signs_are_the_same(tmp_path: Path) -> None:
    """As a Mac writes them, in cells and in the names of files."""
    apart = partial(unicodedata.normalize, "NFD")
    sheets = {
        **SHEETS,
        "children": [["name"], ["Äneas"], ["Ben"]],
        "adults": [["name", "learners"], ["Rosa", apart("Äneas, Ben")]],
        "hours": [["who", "mon"], [apart("Äneas"), "3-5pm"], ["Ben", "3-5pm"], ["Rosa", "9-5"]],
        apart("Fähigkeiten"): [["name", "learner", "correct_when"], ["Pours", apart("Äneas"), "No spill"]],
    }
    del sheets["skills"]
    workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)
    case = load(tmp_path / "case").case
    assert case is not None
    assert {c.name for c in case.learners.values()} == {"Äneas", "Ben"}
    assert {t.learner for t in case.targets.values()} == {"aeneas"}


def test_a_way_that_is_given_there_and_back_is_no_table_of_places(tmp_path: Path) -> None:
    sheets = {
        **SHEETS,
        "places": [["name"], ["Hall"], ["Yard"]],
        "ways": [["From", "To", "Minutes"], ["Hall", "Yard", "5 min"], ["Yard", "Hall", "5 min"]],
    }
    workflow.read_tables(tmp_path / "case", [csv_of(tmp_path / "t", sheets)], NOW, write=True)
    assert "minutes: 5" in (tmp_path / "case" / "case.yaml").read_text("utf-8")
