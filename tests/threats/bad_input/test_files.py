"""Things in the place of a file that no bytes can stand for: pipes, folders, huge ones, spreadsheets that are traps."""

from __future__ import annotations

import io
import os
import zipfile
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.casefile.invisible_characters import escape_invisible
from genplan.errors import FileError
from genplan.evidence.append_rows import append_results
from genplan.evidence.filled_sheet import read_filled
from genplan.evidence.log import Log
from genplan.evidence.results import MOST_BYTES, read_results
from genplan.keeping.store import read_kept
from tests.fixtures.corpus import SMALL
from tests.fixtures.telling import WEEK, whole_case

POSIX = pytest.mark.skipif(os.name != "posix", reason="there are no such files on this system")


def holes(path: Path, size: int) -> None:
    """A file of that size that takes no room."""
    with path.open("wb") as file:
        file.truncate(size)


@POSIX
def test_a_pipe_never_holds_anything_up(tmp_path: Path) -> None:
    case = whole_case(tmp_path)
    (tmp_path / "weeks" / str(WEEK)).mkdir(parents=True)
    told = tmp_path / "weeks" / str(WEEK) / "told.json"
    for path in (tmp_path / "results.csv", tmp_path / "filled.csv", told):
        os.mkfifo(path)
    with pytest.raises(
        FileError, match=r"results\.csv could not be read: it is no file that holds text\. Nothing"
    ):
        read_results(tmp_path, case)
    with pytest.raises(FileError, match="no file that holds text"):
        append_results(tmp_path, case, [{"date": "2026-11-20"}])
    with pytest.raises(FileError, match=r"filled\.csv could not be read: it is no file"):
        read_filled(tmp_path / "filled.csv", case, Log())
    with pytest.raises(FileError, match=r"told\.json could not be read: it is no file"):
        read_kept(tmp_path, WEEK, case)
    (tmp_path / "case.yaml").unlink()
    os.mkfifo(tmp_path / "case.yaml")
    assert (
        load(tmp_path).findings[0].sentence() == "case.yaml: something that is no file; expected a text file."
    )


def test_a_file_beyond_all_measure_is_not_read(tmp_path: Path) -> None:
    case = whole_case(tmp_path)
    holes(tmp_path / "results.csv", MOST_BYTES + 1)
    with pytest.raises(FileError, match="it is larger than 20 MB, so it is some other file"):
        read_results(tmp_path, case)
    holes(tmp_path / "case.yaml", 5_000_001)
    assert load(tmp_path).findings[0].found == "a file of 5.0 MB"


def test_a_file_as_large_as_it_may_be_is_read(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text(SMALL + "#" * (5_000_000 - len(SMALL)))
    assert load(tmp_path).findings == ()


@POSIX
def test_a_file_name_that_is_no_text_is_told(tmp_path: Path) -> None:
    whole_case(tmp_path)
    (tmp_path / os.fsdecode(b"m\xffre.yaml")).write_text("adults: {}\n")
    (told,) = load(tmp_path).findings
    assert (told.file, told.sentence().isprintable()) == ("m⟨U+DCFF⟩re.yaml", True)
    assert escape_invisible("m\udcffre") == "m⟨U+DCFF⟩re"


def workbook(path: Path, sheet: bytes) -> None:
    """An .xlsx file with this XML in the place of its sheet."""
    import openpyxl

    whole, out = io.BytesIO(), io.BytesIO()
    book = openpyxl.Workbook()
    book.active["A1"] = "date"
    book.save(whole)
    with zipfile.ZipFile(whole) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, sheet if name.endswith("sheet1.xml") else old.read(name))
    path.write_bytes(out.getvalue())


HEAD = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
TAIL = b"</sheetData></worksheet>"
CELL = b'<row r="%d"><c r="%s"><v>1</v></c></row>'


@pytest.mark.parametrize(
    "sheet",
    [
        pytest.param(
            HEAD + CELL % (1, b"A1") + CELL % (1048576, b"XFD1048576") + TAIL, id="a cell far from the others"
        ),
        pytest.param(
            HEAD + CELL % (1, b"A1") + CELL % (999999999, b"A999999999") + TAIL, id="a row that no sheet has"
        ),
        pytest.param(HEAD + b'<row r="1"><c r="A', id="a sheet that breaks off"),
        pytest.param(b"\x00" * 100, id="no sheet"),
    ],
)
def test_a_spreadsheet_that_is_a_trap_is_refused(tmp_path: Path, sheet: bytes) -> None:
    case = whole_case(tmp_path)
    workbook(tmp_path / "filled.xlsx", sheet)
    with pytest.raises(
        FileError, match=r"filled\.xlsx cannot be read as a spreadsheet.*\. Nothing was added\."
    ):
        read_filled(tmp_path / "filled.xlsx", case, Log())
