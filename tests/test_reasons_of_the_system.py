"""Why the system could not do something is said in the program's words and the language spoken."""

from __future__ import annotations

import errno
import os

import pytest

from genplan.errors import reason_of, unreadable
from genplan.language import Speech, speaking


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


def test_others_are_told_as_the_system_says_them() -> None:
    assert reason_of(OSError(errno.EMFILE, "Too many open files")) == "Too many open files"
    assert reason_of(OSError("odd")) == "odd"
