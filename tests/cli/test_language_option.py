"""`--language`, before the command's name or behind it, and what the case says without it."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

import pytest

from genplan.cli import main
from genplan.cli.parser import read_words
from genplan.cli.spoken import as_the_case_says, asked_for
from genplan.language import Speech, Words


@pytest.mark.parametrize(
    "typed",
    ["--language de check my-case", "check --language de my-case", "check my-case --language=de"],
)
def test_it_may_stand_anywhere(typed: str) -> None:
    assert read_words(typed.split()).language == "de"
    assert asked_for(typed.split()) == Speech("de")


def test_without_it_the_case_says(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("language: de\npolicy: family\n")
    assert as_the_case_says(read_words(["check", str(tmp_path)])) == Speech("de", Words.PLAIN)
    assert as_the_case_says(read_words(["--language", "en", "check", str(tmp_path)])) == Speech(
        "en", Words.PLAIN
    )
    assert as_the_case_says(Namespace(language=None)) == Speech()


def test_a_language_that_there_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked_for(["--language=xx"]) == Speech()
    with pytest.raises(SystemExit):
        read_words(["check", "my-case", "--language", "xx"])
    assert "'xx' is not one of en, de" in capsys.readouterr().err


def test_what_is_wrong_with_the_words_is_said_in_the_language_of_the_case(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The case is known by its folder before the words are read; `--language` goes before it."""
    (tmp_path / "case.yaml").write_text("language: de\npolicy: family\n")
    case = str(tmp_path)
    for typed, said in (
        (["change", case], "Eines dieser Argumente fehlt"),
        (["change", case, "--away"], "ein Wert dahinter wird erwartet"),
        (["change", case, "--away", "mum", "--from", "neulich"], "ist kein Datum wie"),
        (["record", case, "--kind", "x"], "gehört nicht zu"),
        (["plan", case, "--no-such"], "ist hier nicht bekannt"),
        (["--language", "en", "plan", case, "--no-such"], "is not known here"),
        (["plan", case + "x", "--no-such"], "is not known here"),
    ):
        assert main(typed) == 2
        assert said in capsys.readouterr().err, typed
