"""Why the system could not do something is said in the program's words and the language spoken."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from genplan.errors import FileError, reason_of, unreadable
from genplan.evidence.filled_sheet import read_filled
from genplan.evidence.log import Log
from genplan.evidence.workbook import read_workbook
from genplan.language import Speech, speaking
from genplan.tables.grids import read_grids
from tests.fixtures.evidence_case import CASE


@pytest.mark.parametrize(
    ("number", "english", "german"),
    [
        (errno.ENOENT, "it is not there", "es ist nicht da"),
        (errno.EACCES, "it is not allowed", "es ist nicht erlaubt"),
        (errno.ENOSPC, "no room is left on the disk", "auf der Platte ist kein Platz mehr"),
        (errno.EISDIR, "it is a folder", "es ist ein Ordner"),
    ],
)
def test_the_common_ones(number: int, english: str, german: str) -> None:
    error = OSError(number, os.strerror(number))
    assert reason_of(error) == english
    with speaking(Speech("de")):
        assert reason_of(error) == german


def test_what_cannot_be_read_is_told_with_its_path_the_reason_and_what_to_do() -> None:
    error = unreadable("case/case.yaml", PermissionError(errno.EACCES, "Permission denied"))
    assert error.exit_code == 3
    assert str(error) == (
        "case/case.yaml could not be read: it is not allowed. Nothing was changed. Check that you may open it, and try"
        " again."
    )


def test_tables_workbooks_and_filled_sheets_that_cannot_be_read_are_told_in_the_one_sentence(
    tmp_path: Path,
) -> None:
    missing = FileNotFoundError(errno.ENOENT, "No such file or directory")
    for name, read in (
        ("t.csv", lambda path: read_grids([path])),
        ("t.xlsx", read_workbook),
        ("t.csv", lambda path: read_filled(path, CASE, Log())),
    ):
        with pytest.raises(FileError) as told:
            read(tmp_path / name)
        assert str(told.value) == str(unreadable(name, missing))


def test_others_are_told_as_the_system_says_them() -> None:
    assert reason_of(OSError(errno.EMFILE, "Too many open files")) == "Too many open files"
    assert reason_of(OSError("odd")) == "odd"
